"""Money paid since the start, build by build."""

from typing import Any

from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.footage_held import month_days
from storagecalc.views.charts.style import Trace, build_style, chart_layout, line
from storagecalc.views.text.money import (
    COST_BAND_NAME,
    COST_HOVER,
    cost_axis,
    cost_summary,
    cost_title,
)
from storagecalc.views.text.numbers import chart_name

# Ranges stand upright beside the end, one beside another, so that none hides another: so far apart,
# as a share of the horizon.
APART = 0.014


def cost_chart(evaluation: Evaluation) -> dict[str, Any]:
    """Cumulative cost of each build at the prices of the day, with its 10 to 90 at the end."""
    days = month_days(evaluation)
    told = {"meta": chart_name(evaluation.scenario.currency), "hovertemplate": COST_HOVER}
    traces: list[Trace] = []
    for number, build in enumerate(evaluation.builds):
        total, look = build.money.total_cost_by_month, build_style(number)
        if evaluation.draws:
            at = round(days[-1] + (number + 1) * APART * (days[-1] - days[0]))
            ends = (float(total.p10[-1]), float(total.p90[-1]))
            upright = {**look, "dash": "solid", "width": 4}
            # Named once, after all builds.
            more = {"showlegend": not number, "legendrank": 2000, "cliponaxis": False}
            traces.append(line(COST_BAND_NAME, (at, at), ends, upright, **more))
        traces.append(line(chart_name(build.name), days, total.mean, look, **told))
    return {
        "data": traces,
        "title": cost_title(evaluation),
        "layout": chart_layout(y_title=cost_axis(evaluation)),
        "summary": cost_summary(evaluation),
    }
