"""Money paid since the start, build by build."""

from typing import Any

from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.footage_held import month_days
from storagecalc.views.charts.style import Trace, band, band_color, build_style, chart_layout, line
from storagecalc.views.text.money import (
    COST_BAND_NAME,
    COST_HOVER,
    cost_axis,
    cost_summary,
    cost_title,
)
from storagecalc.views.text.numbers import chart_name


def cost_chart(evaluation: Evaluation) -> dict[str, Any]:
    """Cumulative cost of each build at the prices of the day, with its 10 to 90 band."""
    days = month_days(evaluation)
    told = {"meta": chart_name(evaluation.scenario.currency), "hovertemplate": COST_HOVER}
    traces: list[Trace] = []
    for number, build in enumerate(evaluation.builds):
        total = build.money.total_cost_by_month
        if evaluation.draws:
            pale = band(COST_BAND_NAME, days, total, band_color(number))
            traces.append({**pale, "showlegend": False})
        traces.append(line(chart_name(build.name), days, total.mean, build_style(number), **told))
    return {
        "data": traces,
        "title": cost_title(evaluation),
        "layout": chart_layout(y_title=cost_axis(evaluation)),
        "summary": cost_summary(evaluation),
    }
