"""Builds side by side: which comes first, how sure that is, and one record or row a build."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from storagecalc.study.axes import Spread, at_share
from storagecalc.study.dates import month_date
from storagecalc.study.decision.needs import NeedResult
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult

if TYPE_CHECKING:
    from pandas import DataFrame

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
    if evaluation.gridded:
        raise ValueError("the evaluation has a grid of positions; pick one with at(position)")
    needs = {build.key: some for build, some in _pairs(evaluation)}
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


def ranked(evaluation: Evaluation) -> list[BuildResult]:
    """The builds that meet all needs, then the others; within each the least mean cost first."""
    pairs = sorted(
        _pairs(evaluation), key=lambda pair: (not _meets(pair[1]), pair[0].net_present_cost_mean)
    )
    return [build for build, _ in pairs]


def difference_by_cause(dearer: BuildResult, cheaper: BuildResult) -> dict[str, float]:
    """What the dearer build costs more in today's money, cause by cause, the largest part first.

    At the middle of every range; the parts add up to the difference of the net present costs.
    """
    parts = {
        cause: cost - cheaper.present_cost_by_cause[cause]
        for cause, cost in dearer.present_cost_by_cause.items()
    }
    return dict(sorted(parts.items(), key=lambda part: -abs(part[1])))


def _pairs(evaluation: Evaluation) -> list[tuple[BuildResult, tuple[NeedResult, ...]]]:
    return list(zip(evaluation.builds, evaluation.needs, strict=True))


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
    if first.habit is not None:
        return "moving work off first" if first.habit == "moving off" else "keeping less first"
    return "growing first" if first.orders > 1 else "one build first"


def _gap(first: BuildResult, second: BuildResult) -> Spread:
    gap = second.net_present_cost_by_draw - first.net_present_cost_by_draw
    low, middle, high = (float(at_share(gap[None], share)[0]) for share in (0.1, 0.5, 0.9))
    point = second.net_present_cost.point - first.net_present_cost.point
    return Spread(point=point, p10=low, p50=middle, p90=high)


def _cheaper_fraction(first: BuildResult, second: BuildResult | None) -> float:
    if second is None:
        return 1.0
    return float(np.mean(first.net_present_cost_by_draw < second.net_present_cost_by_draw))


def records(evaluation: Evaluation) -> list[dict[str, Any]]:
    """One plain record a build, in file order, fit for JSON: no NaN, no infinity.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid.
    """
    if evaluation.gridded:
        raise ValueError("the evaluation has a grid of positions; pick one with at(position)")
    start = evaluation.scenario.start_date
    return [_record(build, needs, start) for build, needs in _pairs(evaluation)]


def compare(evaluation: Evaluation) -> "DataFrame":
    """One row a build: the scalars of its record, spreads as columns ending in p10, p50 and p90.

    Parameters
    ----------
    evaluation
        From ``evaluate``, without a grid.
    """
    import pandas as pd

    rows = []
    for record in records(evaluation):
        row: dict[str, Any] = {}
        for key, value in record.items():
            if isinstance(value, dict):
                row |= {f"{key}_{share}": number for share, number in value.items()}
            elif not isinstance(value, list):
                row[key] = value
        rows.append(row)
    return pd.DataFrame(rows).set_index("name", drop=False)


def _record(build: BuildResult, needs: Sequence[NeedResult], start: date) -> dict[str, Any]:
    return {
        "name": build.name,
        "option": build.habit,
        "meets_needs": _meets(needs),
        "needs": [_need_record(need) for need in needs],
        "nominal_tb": build.ladder.nominal_tb,
        "usable_tb": build.ladder.usable_tb,
        "usable_tib": build.usable_tib,
        "plannable_tb": build.ladder.plannable_tb,
        **_cost_record(build),
        "first_fill_months": _percentiles(build.first_fill_months),
        "headroom_months": _percentiles(build.headroom_months),
        "first_order_by_date": _iso_date(start, build.first_order_months),
        "fills_within_horizon_fraction": build.fills_fraction,
        **_loss_record(build),
        "streams": build.speed.streams,
        "power_w": build.place.power_w,
        "noise_dba": build.place.noise_dba,
        "purchases": [
            {"month": row.month, "what": row.what, "count": row.count, "cost": row.cost}
            for row in build.purchases
        ],
    }


def _cost_record(build: BuildResult) -> dict[str, Any]:
    cost = build.net_present_cost
    return {
        "upfront_cost": build.upfront_cost,
        "net_present_cost": cost.point,
        "net_present_cost_mean": build.net_present_cost_mean,
        "net_present_cost_p10": cost.p10,
        "net_present_cost_p50": cost.p50,
        "net_present_cost_p90": cost.p90,
        "cost_per_usable_tb": build.cost_per_usable_tb,
        "cost_per_plannable_tb": build.cost_per_plannable_tb,
        "full_cost": build.full_cost,
        "full_cost_per_usable_tb": build.full_cost_per_usable_tb,
        "full_cost_per_plannable_tb": build.full_cost_per_plannable_tb,
        "levelised_cost_per_tb_year": build.levelised_cost_per_tb_year,
        "remedy_cost": build.remedy_cost,
        "unmet_tb_months": build.unmet_tb_months,
        "cost_per_shoot_day": {
            key: each.cost_per_shoot_day for key, each in build.work_costs.items()
        },
        "cost_by_year": [float(cost) for cost in build.cost_by_year],
    }


def _loss_record(build: BuildResult) -> dict[str, Any]:
    loss = build.loss
    return {
        "box_loss_probability": loss.box_loss_probability,
        "box_loss_probability_at_middle_rate": loss.box_loss_probability_at_middle_rate,
        "box_loss_probability_low": loss.box_loss_probability_low,
        "box_loss_probability_high": loss.box_loss_probability_high,
        "gone_for_good_probability": None,
        "expected_tb_lost": loss.expected_tb_lost,
        "drive_replacements": build.drive_replacements,
        "rebuild_h": loss.rebuild_h,
    }


def _need_record(need: NeedResult) -> dict[str, Any]:
    return {
        "need": need.need,
        "required": need.required,
        "value": _finite(need.value),
        "met": need.met,
    }


def _percentiles(months: Spread) -> dict[str, float | None]:
    return {name: _finite(getattr(months, name)) for name in ("p10", "p50", "p90")}


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _iso_date(start: date, months: float) -> str | None:
    return month_date(start, months).isoformat() if math.isfinite(months) else None
