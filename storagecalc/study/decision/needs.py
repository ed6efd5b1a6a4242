"""Whether an alternative meets the needs, each judged at the studio's own confidence."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.study.axes import at_share
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import NEEDS, Measure
from storagecalc.study.result import BuildResult


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedResult:
    """One need of one alternative: what is asked, the value that holds, and whether that will do.

    ``required`` and ``value`` are in the unit of the measure.
    """

    measure: Measure
    required: float
    value: float
    met: bool

    @property
    def need(self) -> str:
        """Its key in the scenario."""
        return self.measure.need

    @property
    def at_least(self) -> bool:
        """Whether more is better."""
        return self.measure.better == "more"

    @property
    def shortfall(self) -> float:
        """How far it is from what is asked, in the need's unit; 0 where it meets the need."""
        return 0.0 if self.met else abs(self.required - self.value)


def need_results(evaluation: Evaluation, result: BuildResult) -> tuple[NeedResult, ...]:
    """Every need the scenario states, for one alternative.

    Parameters
    ----------
    evaluation
        Without a grid.
    result
        One of its results.
    """
    confidence = evaluation.scenario.needs.confidence_fraction
    found = []
    for need, required in evaluation.asked.items():
        measure = NEEDS[need]
        more = measure.better == "more"
        value = _value(measure.judged(result), 1.0 - confidence if more else confidence)
        met = value >= required if more else value <= required
        found.append(NeedResult(measure=measure, required=required, value=value, met=met))
    return tuple(found)


def _value(judged: Any, share: float) -> float:
    """The value that a share of the futures stay at or below; one number holds in all of them."""
    return float(at_share(judged[None], share)[0] if isinstance(judged, np.ndarray) else judged)
