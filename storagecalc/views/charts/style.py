"""How charts look: colours that colour-blind eyes tell apart, and a dash for each build."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from storagecalc.views.text.numbers import series

Look = Mapping[str, Any]
Trace = dict[str, Any]

# Okabe and Ito, "Color Universal Design", 2008, without the hues too pale for a line on white.
BUILD_STYLES = (
    {"color": "#0072B2", "dash": "solid", "width": 2.5},
    {"color": "#D55E00", "dash": "dash", "width": 2.5},
    {"color": "#007A5A", "dash": "dot", "width": 3},
    {"color": "#8A4A73", "dash": "dashdot", "width": 2.5},
    {"color": "#333333", "dash": "longdash", "width": 2},
)
FOOTAGE_COLOR = "#333333"
BAND_COLOR = "rgba(90, 90, 90, 0.18)"


def build_style(number: int) -> dict[str, Any]:
    """Line of the build with this number in the file."""
    return dict(BUILD_STYLES[number % len(BUILD_STYLES)])


def band_color(number: int) -> str:
    """A pale fill in the colour of a build."""
    color = str(BUILD_STYLES[number % len(BUILD_STYLES)]["color"]).lstrip("#")
    red, green, blue = (int(color[place : place + 2], 16) for place in (0, 2, 4))
    return f"rgba({red}, {green}, {blue}, 0.12)"


def chart_layout(*, y_title: str) -> dict[str, Any]:
    """Layout of all charts against the calendar; the finding stands above it as a heading."""
    return {
        "font": {"family": "system-ui, sans-serif", "size": 13, "color": "#222222"},
        "paper_bgcolor": "#ffffff",
        "plot_bgcolor": "#ffffff",
        "height": 370,
        "margin": {"l": 84, "r": 36, "t": 10, "b": 90},
        "legend": {
            "orientation": "h",
            "x": 0,
            "y": -0.18,
            "xanchor": "left",
            "yanchor": "top",
            "traceorder": "normal",
        },
        "hovermode": "x unified",
        "hoverlabel": {"namelength": -1, "font": {"size": 12}},
        "xaxis": {
            "type": "date",
            "gridcolor": "#e6e6e6",
            "linecolor": "#888888",
            "tickformat": "%b %Y",
        },
        "yaxis": {
            "title": {"text": y_title, "standoff": 8},
            "gridcolor": "#e6e6e6",
            "linecolor": "#888888",
            "rangemode": "tozero",
            "tickformat": ",.0f",
        },
    }


def line(name: str, x: Iterable[float], y: Sequence[float], look: Look, **more: Any) -> Trace:
    """One line of a chart; ``more`` is anything else that the chart library is to know of it."""
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": list(x),
        "y": series(y),
        "line": look,
        **more,
    }


def band(name: str, days: Sequence[int], spread: Any, color: str) -> Trace:
    """The space between the 10 and the 90: one outline, along the low line and back on the high.

    Two lines with a fill between them take twice as long to draw.
    """
    return {
        **line(name, [*days, *reversed(days)], [*spread.p10, *reversed(spread.p90)], {"width": 0}),
        "fill": "toself",
        "fillcolor": color,
        "hoverinfo": "skip",
    }
