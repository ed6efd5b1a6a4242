"""Money paid since the start, build by build."""

from typing import Any

from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.footage_held import month_days
from storagecalc.views.charts.style import band, band_color, build_style, chart_layout
from storagecalc.views.text.money import (
    COST_BAND_NAME,
    COST_HOVER,
    cost_axis,
    cost_summary,
    cost_title,
)
from storagecalc.views.text.numbers import chart_name, series


def cost_chart(evaluation: Evaluation) -> dict[str, Any]:
    """Cumulative cost of each build at the prices of the day, with its 10 to 90 band."""
    days = month_days(evaluation)
    traces: list[dict[str, Any]] = []
    for number, build in enumerate(evaluation.builds):
        total = build.money.total_cost_by_month
        if evaluation.draws:
            low, high = series(total.p10), series(total.p90)
            color = band_color(number)
            future_costs = band(days, low, high, name=COST_BAND_NAME, color=color)
            traces.append({**future_costs, "showlegend": False})
        traces.append(
            {
                "type": "scatter",
                "mode": "lines",
                "name": chart_name(build.name),
                "meta": chart_name(evaluation.scenario.currency),
                "hovertemplate": COST_HOVER,
                "x": days,
                "y": series(total.point),
                "line": build_style(number),
            }
        )
    return {
        "data": traces,
        "title": cost_title(evaluation),
        "layout": chart_layout(y_title=cost_axis(evaluation)),
        "summary": cost_summary(evaluation),
    }
