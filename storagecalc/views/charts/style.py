"""How charts look: colours that colour-blind eyes tell apart, and a dash for each build."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from storagecalc.views.text.numbers import series

Look = Mapping[str, Any]
Trace = dict[str, Any]

# Blue, vermilion and reddish purple of Okabe and Ito, "Color Universal Design", 2008; the others
# chosen so that all of them, and footage, stay apart for colour-blind eyes.
BUILD_STYLES = (
    {"color": "#0072B2", "dash": "solid", "width": 2.5},
    {"color": "#D55E00", "dash": "dash", "width": 2.5},
    {"color": "#4B0092", "dash": "dot", "width": 3},
    {"color": "#7A3B0E", "dash": "dashdot", "width": 2.5},
    {"color": "#CC79A7", "dash": "longdash", "width": 3},
    {"color": "#1A1A1A", "dash": "longdashdot", "width": 2},
)


def build_style(number: int) -> dict[str, Any]:
    """Line of the build with this number in the file."""
    return dict(BUILD_STYLES[number % len(BUILD_STYLES)])


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
