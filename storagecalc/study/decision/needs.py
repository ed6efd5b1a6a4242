"""Whether a build meets the needs, each judged at the studio's own confidence."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.study.axes import at_share, by_position
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedResult:
    """One need of one build.

    ``need`` is its key in the scenario; ``required`` and ``value`` are in that key's unit, one
    number a position; ``at_least`` tells whether more is better.
    """

    need: str
    at_least: bool
    required: Any
    value: Any
    met: Any

    @property
    def shortfall(self) -> float:
        """How far a build is from what is asked, in the need's unit; 0 where it meets the need."""
        return 0.0 if self.met else abs(float(self.required) - float(self.value))


def need_results(numbers: Scenario, build: Build, result: BuildResult) -> tuple[NeedResult, ...]:
    """Every need the scenario states, for one build.

    Parameters
    ----------
    numbers
        The scenario at its middle.
    build
        The build at its middle.
    result
        Its answers before positions are picked.
    """
    confidence = numbers.needs.confidence_fraction
    judged = []
    for need, at_least, value in _values(build, result, confidence):
        required = getattr(numbers.needs, need)
        if required is None:
            continue
        required, value = by_position(required), by_position(value)
        met = value >= required if at_least else value <= required
        judged.append(
            NeedResult(need=need, at_least=at_least, required=required, value=value, met=met)
        )
    return tuple(judged)


def _values(
    build: Build, result: BuildResult, confidence: float
) -> Iterator[tuple[str, bool, Any]]:
    """Each need's key, whether more is better, and the value that holds with that confidence."""
    yield "headroom_months", True, at_share(result.headroom_months_by_draw, 1.0 - confidence)
    yield "loss_probability", False, result.loss.box_loss_probability_at_confidence
    yield "streams", True, result.speed.streams
    yield "noise_dba", False, result.place.noise_dba
    yield "depth_mm", False, build.depth_mm
    yield "upfront_cost", False, result.upfront_cost
    yield "copies", True, _whole_copies(result, confidence)
    yield "cost_per_year", False, at_share(result.dearest_later_year_cost_by_draw, confidence)


def _whole_copies(result: BuildResult, confidence: float) -> Any:
    """Copies that hold everything to the end with that confidence, the box among them."""
    lasting = [
        np.isinf(at_share(months, 1.0 - confidence))
        for months in result.copies_full_months_by_draw.values()
    ]
    return 1.0 + sum(lasting)
