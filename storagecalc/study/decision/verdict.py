"""Builds side by side: which comes first, how sure that is, and one record or row a build."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from storagecalc.study.axes import Spread, at_share
from storagecalc.study.decision.needs import NeedResult, need_results
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult

if TYPE_CHECKING:
    pass

Outcome = Literal[
    "only build",
    "none meets the needs",
    "only one meets the needs",
    "one build first",
    "growing first",
    "moving work off first",
    "keeping less first",
    "no clear difference",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the comparison comes to.

    ``first`` has the least mean net present cost among the builds that meet all needs, or among
    all where none does; ``second`` is the next. ``gap_cost`` is second less first, each future.
    ``cheaper_fraction`` is the share of futures in which the first costs less than the second.
    ``missed`` are the needs that the first falls short of.
    """

    outcome: Outcome
    first: BuildResult
    second: BuildResult | None
    gap_cost: Spread | None
    cheaper_fraction: float
    missed: tuple[NeedResult, ...]


def verdict(evaluation: Evaluation) -> Verdict:
    """Which build comes first, and whether the difference is clear.

    A difference on cost is clear where the first is cheaper in nine of ten futures.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid; pick a position with ``at`` first.
    """
    ungridded(evaluation)
    needs = {build.key: need_results(evaluation, build) for build in evaluation.builds}
    meeting = [key for key, some in needs.items() if _meets(some)]
    rivals = [build for build in ranked(evaluation) if build.key in (meeting or needs)]
    first, second = rivals[0], rivals[1] if len(rivals) > 1 else None
    gap = _gap(first, second) if second is not None else None
    return Verdict(
        outcome=_outcome(evaluation, meeting, first, second, gap),
        first=first,
        second=second,
        gap_cost=gap,
        cheaper_fraction=_cheaper_fraction(first, second),
        missed=tuple(need for need in needs[first.key] if not need.met),
    )


def ungridded(evaluation: Evaluation) -> None:
    """Refuse an evaluation that still has a grid.

    Raises
    ------
    ValueError
        Where it has.
    """
    if evaluation.gridded:
        raise ValueError("the evaluation has a grid of positions; pick one with at(position)")


def ranked(evaluation: Evaluation) -> list[BuildResult]:
    """Those that meet all needs, then the others; within each the least mean cost first."""
    return sorted(
        evaluation.builds,
        key=lambda build: (
            not _meets(need_results(evaluation, build)),
            build.money.net_present_cost.mean,
        ),
    )


def difference_by_category(dearer: BuildResult, cheaper: BuildResult) -> dict[str, float]:
    """What the dearer build costs more in today's money, by category, the largest first.

    At the middle of every range; the parts add up to the difference of the net present costs.
    """
    parts = {
        category: cost - cheaper.money.present_cost_by_category[category]
        for category, cost in dearer.money.present_cost_by_category.items()
    }
    return dict(sorted(parts.items(), key=lambda part: -abs(part[1])))


def _meets(needs: Sequence[NeedResult]) -> bool:
    return all(need.met for need in needs)


def _outcome(
    evaluation: Evaluation,
    meeting: Sequence[Any],
    first: BuildResult,
    second: BuildResult | None,
    gap: Spread | None,
) -> Outcome:
    if not meeting:
        return "none meets the needs"
    if len(evaluation.builds) == 1:
        return "only build"
    if second is None or gap is None:
        return "only one meets the needs"
    if gap.p10 <= 0:
        return "no clear difference"
    if first.alternative.habit is not None:
        return (
            "moving work off first"
            if first.alternative.habit == "moving off"
            else "keeping less first"
        )
    return "growing first" if first.capacity.order_count > 1 else "one build first"


def _gap(first: BuildResult, second: BuildResult) -> Spread:
    gap = second.money.net_present_cost_by_draw - first.money.net_present_cost_by_draw
    low, middle, high = (float(at_share(gap[None], share)[0]) for share in (0.1, 0.5, 0.9))
    point = second.money.net_present_cost.point - first.money.net_present_cost.point
    return Spread(point=point, mean=float(gap.mean()), p10=low, p50=middle, p90=high)


def _cheaper_fraction(first: BuildResult, second: BuildResult | None) -> float:
    if second is None:
        return 1.0
    return float(
        np.mean(first.money.net_present_cost_by_draw < second.money.net_present_cost_by_draw)
    )
