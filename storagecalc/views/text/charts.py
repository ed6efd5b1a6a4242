"""Titles that say the finding, names of lines, and each chart in a sentence."""

import math
from datetime import date

from storagecalc.study.dates import month_date
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.numbers import (
    quoted,
    chart_name,
    count,
    listed,
    money,
    month,
    plain,
    tb,
    years_span,
)

HELD_AXIS = "terabytes (TB)"
HELD_MIDDLE_NAME = "footage held, middle of every range"
# What stands beside the pointer; the chart library fills in the values of each line.
HELD_HOVER = "%{y:,.3~r} TB<extra>%{meta}</extra>"
COST_HOVER = "%{meta} %{y:,.3~r}<extra>%{fullData.name}</extra>"


def held_title(evaluation: Evaluation) -> str:
    """How many builds outlast the footage."""
    builds = evaluation.builds
    lasting = [build for build in builds if math.isinf(build.capacity.headroom_months.p50)]
    span = years_span(evaluation.scenario.horizon_months)
    if len(lasting) == len(builds):
        which = "every build" if len(builds) > 1 else "the build"
        return f"With every step it can take, {which} outlasts {span} more likely than not"
    if not lasting:
        return f"No build holds {span} of footage without a successor"
    names = listed(quoted(build.name) for build in lasting)
    last = "lasts" if len(lasting) == 1 else "last"
    return f"{count(len(lasting)).capitalize()} of {count(len(builds))} {last} {span}: {names}"


def held_band_name() -> str:
    """What the grey band holds."""
    return "eight of ten futures of footage held"


def capacity_name(build: BuildResult) -> str:
    """The line of a build's plannable space."""
    return f"space to plan with: {chart_name(build.name)}"


def held_summary(evaluation: Evaluation) -> str:
    """The chart in words."""
    held = evaluation.held_tb_by_month
    start = evaluation.scenario.start_date
    first, last = tb(float(held.point[0])), tb(float(held.point[-1]))
    fills = [
        f"{quoted(build.name)} as bought is full in {_month(start, build)}"
        for build in evaluation.builds
    ]
    return (
        f"Footage held goes from {first} to {last} in the middle of every range. {listed(fills)}."
    )


def cost_title(evaluation: Evaluation) -> str:
    """Which build has cost least by the end, and least on day one."""
    if len(evaluation.builds) == 1:
        return "What the build has cost so far"
    last = min(
        evaluation.builds, key=lambda build: float(build.money.total_cost_by_month.point[-1])
    )
    first = min(evaluation.builds, key=lambda build: build.money.upfront_cost)
    names = [quoted(build.name) for build in (first, last)]
    if first is last:
        return f"{names[0]} is cheapest on day one and at the end"
    return f"{names[0]} is cheapest on day one, {names[1]} at the end"


def cost_axis(evaluation: Evaluation) -> str:
    """Money paid since the start, and in what money."""
    return f"{chart_name(evaluation.scenario.currency)} paid so far"


def cost_band_name() -> str:
    """What a pale band holds."""
    return "eight of ten futures"


def cost_summary(evaluation: Evaluation) -> str:
    """The chart in words."""
    currency = evaluation.scenario.currency
    totals = [
        f"{quoted(build.name)} {money(float(build.money.total_cost_by_month.point[-1]), currency)}"
        for build in evaluation.builds
    ]
    best = verdict(evaluation).first
    return (
        f"By the end each build has cost, at the prices of the day: {listed(totals)}. In today's"
        f" money {quoted(best.name)} comes first among those that meet the needs, or first of all"
        " where none does."
    )


def _month(start: date, build: BuildResult) -> str:
    months = build.capacity.first_fill_months.point
    if not math.isfinite(months):
        return "no month looked at"
    return month(month_date(start, months))
