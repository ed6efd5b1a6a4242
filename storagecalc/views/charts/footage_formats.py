"""Footage held in several recording formats, against all the space the builds can ever have."""

from datetime import date
from typing import Any

from storagecalc.study.dates import month_date
from storagecalc.study.decision.formats_compared import FormatsCompared
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.charts.style import Trace, build_style, chart_layout, line
from storagecalc.views.text.footage import (
    HELD_AXIS,
    format_name,
    formats_summary,
    formats_title,
    full_space_name,
)
from storagecalc.views.text.numbers import chart_name

SPACE_LINE = {"color": "#767676", "width": 1.5}
SPACE_DASHES = ("dot", "dash", "dashdot", "longdash")
MS_PER_DAY = 86_400_000


def format_chart(compared: FormatsCompared) -> dict[str, Any]:
    """The middle of the footage held in each format, and a level line for each full space."""
    days = month_days(compared.scenario)
    lines = []
    for number, row in enumerate(compared.rows):
        held = row.evaluation.held_tb_by_month.point
        lines.append(line(chart_name(format_name(row)), days, held, build_style(number)))
    return {
        "data": lines + _spaces(compared.rows[0].evaluation.builds, [days[0], days[-1]]),
        "title": formats_title(compared),
        "layout": {**chart_layout(y_title=HELD_AXIS), "height": 420},
        "summary": formats_summary(compared),
    }


def month_days(scenario: Scenario) -> list[int]:
    """The first day of every month of the horizon, in ms since 1970 as the chart library counts."""
    months = range(scenario.horizon_months)
    firsts = (month_date(scenario.start_date, month) for month in months)
    return [(first - date(1970, 1, 1)).days * MS_PER_DAY for first in firsts]


def _spaces(builds: tuple[BuildResult, ...], ends: list[int]) -> list[Trace]:
    """One level line a size; builds of the same full size share it, options have their build's."""
    by_size: dict[float, list[BuildResult]] = {}
    for build in builds:
        if build.alternative.habit is None:
            by_size.setdefault(float(build.capacity.full_ladder.plannable_tb), []).append(build)
    levels = []
    for number, (size_tb, same) in enumerate(by_size.items()):
        look = {**SPACE_LINE, "dash": SPACE_DASHES[number % len(SPACE_DASHES)]}
        levels.append(line(full_space_name(same), ends, [size_tb, size_tb], look))
    return levels
