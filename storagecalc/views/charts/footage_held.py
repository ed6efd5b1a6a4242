"""Footage held against the space to plan with."""

from datetime import date
from functools import cache
from typing import Any

from storagecalc.study.dates import month_date
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.style import (
    BAND_COLOR,
    FOOTAGE_COLOR,
    Trace,
    band,
    build_style,
    chart_layout,
    line,
)
from storagecalc.views.text.capacity import capacity_name
from storagecalc.views.text.footage import (
    HELD_AXIS,
    HELD_BAND_NAME,
    HELD_HOVER,
    HELD_MIDDLE_NAME,
    held_summary,
    held_title,
    own_held_name,
)
from storagecalc.views.text.numbers import chart_name

MS_PER_DAY = 86_400_000


def held_chart(evaluation: Evaluation) -> dict[str, Any]:
    """Held footage with its 10 to 90 band, and each build's plannable space with its steps."""
    days, held = month_days(evaluation), evaluation.held_tb_by_month
    traces: list[Trace] = []
    if evaluation.draws:
        traces.append(band(HELD_BAND_NAME, days, held, BAND_COLOR))
    told = {"meta": HELD_MIDDLE_NAME, "hovertemplate": HELD_HOVER}
    look = {"color": FOOTAGE_COLOR, "width": 3}
    traces.append(line(HELD_MIDDLE_NAME, days, held.p50, look, **told))
    for number, build in enumerate(evaluation.builds):
        if build.alternative.habit is not None:
            own, name = build.capacity.held_tb_by_month, own_held_name(build)
            traces.append(line(name, days, own.p50, {**build_style(number), "width": 1}, **told))
        space_tb = build.capacity.plannable_tb_by_month
        told = {"meta": chart_name(build.name), "hovertemplate": HELD_HOVER}
        look = {**build_style(number), "shape": "hv"}
        traces.append(line(capacity_name(build), days, space_tb, look, **told))
    return {
        "data": traces,
        "title": held_title(evaluation),
        "layout": chart_layout(y_title=HELD_AXIS),
        "summary": held_summary(evaluation),
    }


def month_days(evaluation: Evaluation) -> list[int]:
    """The first day of every month of the horizon, in ms since 1970 as the chart library counts."""
    return list(_month_days(evaluation.scenario.start_date, evaluation.scenario.horizon_months))


@cache
def _month_days(start: date, months: int) -> tuple[int, ...]:
    firsts = (month_date(start, month) for month in range(months))
    return tuple((first - date(1970, 1, 1)).days * MS_PER_DAY for first in firsts)
