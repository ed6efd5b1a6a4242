"""Whether an alternative meets the needs: each judged on the futures, and all of them at once."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.study.axes import at_share
from storagecalc.study.decision.kept import kept
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import NEEDS, Measure
from storagecalc.study.result import BuildResult

# A need is a close call within this of what is asked, of its value or of the futures that meet it.
CLOSE_FRACTION = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedResult:
    """One need of one alternative.

    ``required`` and ``value`` are in the unit of the measure; the value is what holds at the
    studio's confidence. ``met_fraction`` is the share of futures that meet the need,
    ``met_by_draw`` tells which, and ``met`` whether they are enough.
    """

    measure: Measure
    required: float
    value: float
    met_by_draw: Any
    met_fraction: float
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

    def is_close(self, confidence: float) -> bool:
        """Whether it is missed, or met by no more than a tenth; copies are counted and never close.

        Parameters
        ----------
        confidence
            The share of futures that is asked, from 0 to 1.
        """
        if not self.met or confidence <= self.met_fraction < confidence + CLOSE_FRACTION < 1.0:
            return True
        near = abs(self.value - self.required) <= CLOSE_FRACTION * abs(self.required)
        return near and self.measure.unit != "copies"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How one alternative stands with the needs, one by one and all at once.

    ``needs_met_fraction`` is the share of futures in which it meets all of them.
    """

    build: BuildResult
    needs: tuple[NeedResult, ...]
    needs_met_fraction: float
    meets_needs: bool

    def met_fraction_without(self, left_out: frozenset[str]) -> float:
        """The share of futures that meet all needs but those left out."""
        return _all_met_fraction(need for need in self.needs if need.need not in left_out)

    @property
    def missed(self) -> tuple[NeedResult, ...]:
        """The needs that too few futures meet."""
        return tuple(need for need in self.needs if not need.met)

    @property
    def costliest_need(self) -> NeedResult | None:
        """The need that fewest futures meet; None where nobody states one."""
        return min(self.needs, key=lambda need: need.met_fraction, default=None)


@kept
def standings(evaluation: Evaluation) -> tuple[Standing, ...]:
    """How every alternative stands with the needs, in their order.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid; pick a position with ``at`` first.
    """
    ungridded(evaluation)
    return tuple(_standing(evaluation, build) for build in evaluation.builds)


def is_met(measure: Measure, required: Any, judged: Any) -> Any:
    """Where what a need is judged on is as much, or as little, as required."""
    return judged >= required if measure.better == "more" else judged <= required


def close_calls(evaluation: Evaluation) -> tuple[tuple[NeedResult, ...], ...]:
    """Needs that some alternative misses or meets by no more than a tenth, with all that meet it.

    One entry a need, in it one result an alternative in their order.
    """
    confidence = evaluation.scenario.needs.confidence_fraction
    by_need = zip(*(each.needs for each in standings(evaluation)), strict=True)
    return tuple(same for same in by_need if any(one.is_close(confidence) for one in same))


def ungridded(evaluation: Evaluation) -> None:
    """Refuse an evaluation that still has a grid.

    Raises
    ------
    ValueError
        Where it has.
    """
    if evaluation.gridded:
        raise ValueError("the evaluation has a grid of positions; pick one with at(position)")


def _standing(evaluation: Evaluation, build: BuildResult) -> Standing:
    confidence = evaluation.scenario.needs.confidence_fraction
    needs = tuple(
        _need_result(NEEDS[need], required, NEEDS[need].judged(build), confidence)
        for need, required in evaluation.asked.items()
    )
    fraction = _all_met_fraction(needs)
    return Standing(
        build=build,
        needs=needs,
        needs_met_fraction=fraction,
        meets_needs=fraction >= confidence,
    )


def _need_result(measure: Measure, required: float, judged: Any, confidence: float) -> NeedResult:
    """One need; what is one number for all futures is met in all of them or in none."""
    by_draw = np.atleast_1d(np.asarray(judged, dtype=np.float64))
    met = is_met(measure, required, by_draw)
    # Turned round where more is better, so that the value fails exactly where the need does.
    sign = -1.0 if measure.better == "more" else 1.0
    return NeedResult(
        measure=measure,
        required=required,
        value=float(sign * at_share(sign * by_draw[None], confidence)[0]),
        met_by_draw=met,
        met_fraction=float(met.mean()),
        met=bool(met.mean() >= confidence),
    )


def _all_met_fraction(needs: Any) -> float:
    met: Any = np.ones(1, dtype=bool)
    for need in needs:
        met = met & need.met_by_draw
    return float(met.mean())
