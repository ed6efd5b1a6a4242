"""The chance of loss over the years by redundancy, one frame a build, on a scale of powers of ten.

Below the rare line the scale ends: there other causes decide, and a point says no more than that.
"""

from collections.abc import Iterable
from typing import Any

from storagecalc.study.loss.redundancy_compared import RedundancyCompared, RedundancyRow
from storagecalc.views.charts.style import Look, Trace, build_style, chart_layout, line
from storagecalc.views.text.loss import (
    BAND_NAME,
    IN_TURN_NAME,
    LOSS_AXIS,
    RARE_TICK,
    REDUNDANCY_NAMES,
    YEARS_AXIS,
    chances,
    frame_name,
    redundancy_summary,
    redundancy_title,
)
from storagecalc.views.text.numbers import RARE_PROBABILITY

# Where the chart puts whatever is rarer than its last line.
RARE_PLACE = 2.5e-6
LOWEST_POWER, HIGHEST_POWER = -6.0, 0.05
# The same look in every scenario; the two kinds of mirrors share one.
STYLES = {
    "none": 0,
    "single parity": 1,
    "double parity": 2,
    "triple parity": 3,
    "mirror": 4,
    "striped mirrors": 4,
}
TICKS = (1.0, 0.1, 1e-2, 1e-3, 1e-4, 1e-5)
RARE_ZONE = {
    "type": "rect",
    "xref": "paper",
    "x0": 0,
    "x1": 1,
    "y0": 10**LOWEST_POWER,
    "y1": RARE_PROBABILITY,
    "fillcolor": "rgba(90, 90, 90, 0.10)",
    "line": {"width": 0},
    "layer": "below",
}
# Bands of different redundancies stand side by side at the end, so that none hides another.
BAND_STEP_YEARS = 0.12
GAP = 0.03


def redundancy_chart(compared: RedundancyCompared) -> dict[str, Any]:
    """Lines by redundancy, thick rebuilt at once and thin in turn, with the band at the end."""
    frames = {key: number for number, key in enumerate(compared.scenario.builds, 1)}
    traces: list[Trace] = []
    for row in compared.rows:
        axis = _axis(frames[row.build_key])
        for trace in _traces(compared, row, STYLES[row.redundancy]):
            named = any(trace["name"] == other["name"] for other in traces)
            traces.append({**trace, "xaxis": f"x{axis}", "showlegend": not named})
    return {
        "data": traces,
        "title": redundancy_title(compared),
        "layout": _layout(compared, list(frames)),
        "summary": redundancy_summary(compared),
    }


def _traces(compared: RedundancyCompared, row: RedundancyRow, number: int) -> list[Trace]:
    years = compared.years
    at_once, in_turn = row.by_repair["parallel"], row.by_repair["one at a time"]
    look = build_style(number)
    name = REDUNDANCY_NAMES[row.redundancy]
    ends = (at_once.loss_probability_low, at_once.loss_probability_high)
    at = years[-1] + (number + 1) * BAND_STEP_YEARS
    thin, upright = {**look, "width": 1}, {**look, "dash": "solid", "width": 4}
    return [
        {**_line(name, years, at_once.loss_probability_by_year, look), "mode": "lines+markers"},
        _line(IN_TURN_NAME, years, in_turn.loss_probability_by_year, thin, legendrank=2000),
        _line(BAND_NAME, (at, at), ends, upright, legendrank=2001),
    ]


def _line(
    name: str, years: Iterable[float], probabilities: Iterable[float], look: Look, **more: Any
) -> Trace:
    """One line; its words are those of the true chances, wherever the scale ends."""
    true = list(probabilities)
    shown = [each if each >= RARE_PROBABILITY else RARE_PLACE for each in true]
    told = {"text": chances(true), "hovertemplate": "%{text}<extra>%{fullData.name}</extra>"}
    return line(name, years, shown, look, **told, **more)


def _layout(compared: RedundancyCompared, builds: list[str]) -> dict[str, Any]:
    layout = chart_layout(y_title=LOSS_AXIS)
    width = 1 / len(builds)
    frames = {
        f"xaxis{_axis(number)}": {
            "title": {"text": YEARS_AXIS, "standoff": 4},
            "domain": [(number - 1) * width + GAP / 2, number * width - GAP / 2],
            "anchor": "y",
            "gridcolor": "#e6e6e6",
            "linecolor": "#888888",
            "tickvals": list(compared.years),
            "fixedrange": True,
        }
        for number in range(1, len(builds) + 1)
    }
    return {
        **layout,
        **frames,
        "height": 460,
        "margin": {"l": 120, "r": 20, "t": 48, "b": 120},
        "legend": {**layout["legend"], "y": -0.2},
        "hovermode": "closest",
        "yaxis": {
            **layout["yaxis"],
            "type": "log",
            "range": [LOWEST_POWER, HIGHEST_POWER],
            "tickvals": [*TICKS, RARE_PLACE],
            "ticktext": ["certain", *chances(TICKS[1:]), RARE_TICK],
        },
        "shapes": [RARE_ZONE],
        "annotations": _names(compared, builds),
    }


def _names(compared: RedundancyCompared, builds: list[str]) -> list[dict[str, Any]]:
    """Each build's name above its frame."""
    width = 1 / len(builds)
    return [
        {
            "text": frame_name(compared.scenario.build_name(key)),
            "xref": "paper",
            "yref": "paper",
            "x": (number + 0.5) * width,
            "xanchor": "center",
            "y": 1,
            "yanchor": "bottom",
            "showarrow": False,
        }
        for number, key in enumerate(builds)
    ]


def _axis(number: int) -> str:
    """What the chart library adds to the name of an axis."""
    return "" if number == 1 else str(number)
