"""Alternatives side by side as plain records, for JSON and tables of other programs."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from storagecalc.study.axes import Spread
from storagecalc.study.dates import month_date
from storagecalc.study.decision.needs import NeedResult, Standing, standings
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import Measure, measures_of

if TYPE_CHECKING:
    from pandas import DataFrame


def records(evaluation: Evaluation) -> list[dict[str, Any]]:
    """One plain record an alternative, in file order, fit for JSON: no NaN, no infinity.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid.
    """
    return [_record(evaluation, standing) for standing in standings(evaluation)]


def compare(evaluation: Evaluation) -> "DataFrame":
    """One row an alternative: the scalars of its record, spreads as columns ending in p10 to p90.

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


def _record(evaluation: Evaluation, standing: Standing) -> dict[str, Any]:
    build, years = standing.build, standing.build.money.cost_by_year
    record: dict[str, Any] = {
        "name": build.name,
        "option": build.alternative.habit,
        "meets_needs": standing.meets_needs,
        "needs": [_need_record(need) for need in standing.needs],
        "needs_met_fraction": standing.needs_met_fraction,
        "net_present_cost_by_cause": _floats(build.money.present_cost_by_category),
        "kept": [
            {
                "name": each.name,
                "plannable_tb": float(each.plannable_tb),
                "months": int(each.stays_months),
            }
            for each in build.capacity.kept
        ],
        "gone_for_good_probability": None,
        "cost_per_shoot_day": {
            key: float(each.mean) for key, each in build.money.cost_per_shoot_day.items()
        },
        "cost_by_year": [float(cost) for cost in years.point],
        "cost_by_year_mean": [float(cost) for cost in years.mean],
        "purchases": [
            {
                "month": row.month,
                "what": row.what,
                "drives": row.drives,
                "count": row.count,
                "cost": row.cost,
            }
            for row in build.money.purchases
        ],
    }
    for measure, value in measures_of(build):
        record |= _plain(evaluation, measure, value)
    return record


def _plain(evaluation: Evaluation, measure: Measure, value: Any) -> dict[str, Any]:
    """A measure as JSON has it: mean and percentiles beside it, or months as a table of them."""
    key, shares = measure.key, ("p10", "p50", "p90")
    if measure.unit == "date":
        start = evaluation.scenario.start_date
        return {key: month_date(start, value).isoformat() if math.isfinite(value) else None}
    if not isinstance(value, Spread):
        return {key: _finite(value)}
    told = {share: _finite(getattr(value, share)) for share in shares}
    if measure.unit == "months":
        return {key: told}
    beside = {f"{key}_{share}": number for share, number in told.items()}
    return {key: _finite(value.point), f"{key}_mean": _finite(value.mean), **beside}


def verdict_record(evaluation: Evaluation) -> dict[str, Any]:
    """The verdict as JSON has it, alternatives by name."""
    found = verdict(evaluation)
    gap, second = found.gap_cost, found.second
    return {
        "outcome": found.outcome,
        "first": found.first.name,
        "second": None if second is None else second.name,
        "recommended": found.recommended.build.name,
        "level_with": [build.name for build in found.level_with],
        "clear": found.clear,
        "gap_cost": None
        if gap is None
        else {share: _finite(getattr(gap, share)) for share in ("mean", "p10", "p50", "p90")},
        "cheaper_fraction": found.cheaper_fraction,
    }


def _need_record(need: NeedResult) -> dict[str, Any]:
    return {
        "need": need.need,
        "required": need.required,
        "value": _finite(need.value),
        "met": need.met,
        "met_fraction": need.met_fraction,
    }


def _floats(costs: Mapping[str, Any]) -> dict[str, float]:
    return {name: float(cost) for name, cost in costs.items()}


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
