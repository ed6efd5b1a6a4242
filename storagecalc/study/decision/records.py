"""Alternatives side by side as plain records, for JSON and tables of other programs."""

import math
from typing import TYPE_CHECKING, Any

from storagecalc.study.axes import Spread
from storagecalc.study.dates import month_date
from storagecalc.study.decision.needs import NeedResult, need_results
from storagecalc.study.decision.verdict import ungridded
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import Measure, measures_of
from storagecalc.study.result import BuildResult

if TYPE_CHECKING:
    from pandas import DataFrame


def records(evaluation: Evaluation) -> list[dict[str, Any]]:
    """One plain record an alternative, in file order, fit for JSON: no NaN, no infinity.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid.
    """
    ungridded(evaluation)
    return [_record(evaluation, build) for build in evaluation.builds]


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


def _record(evaluation: Evaluation, build: BuildResult) -> dict[str, Any]:
    needs = need_results(evaluation, build)
    record: dict[str, Any] = {
        "name": build.name,
        "option": build.alternative.habit,
        "meets_needs": all(need.met for need in needs),
        "needs": [_need_record(need) for need in needs],
        "gone_for_good_probability": None,
        "cost_per_shoot_day": {
            key: each.cost_per_shoot_day for key, each in build.money.work_costs.items()
        },
        "cost_by_year": [float(cost) for cost in build.money.cost_by_year],
        "purchases": [
            {"month": row.month, "what": row.what, "count": row.count, "cost": row.cost}
            for row in build.money.purchases
        ],
    }
    for measure, value in measures_of(build):
        record |= _plain(evaluation, measure, value)
    return record


def _plain(evaluation: Evaluation, measure: Measure, value: Any) -> dict[str, Any]:
    """A measure as JSON has it: money with mean and percentiles beside it, months as a table."""
    key, shares = measure.key, ("p10", "p50", "p90")
    if measure.unit == "date":
        start = evaluation.scenario.start_date
        return {key: month_date(start, value).isoformat() if math.isfinite(value) else None}
    if not isinstance(value, Spread):
        return {key: _finite(value)}
    if measure.unit == "money":
        beside = {f"{key}_{share}": _finite(getattr(value, share)) for share in ("mean", *shares)}
        return {key: _finite(value.point), **beside}
    return {key: {share: _finite(getattr(value, share)) for share in shares}}


def _need_record(need: NeedResult) -> dict[str, Any]:
    return {
        "need": need.need,
        "required": need.required,
        "value": _finite(need.value),
        "met": need.met,
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
