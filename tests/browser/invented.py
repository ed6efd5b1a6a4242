"""An invented question with invented answers, so that the page can be tried without the study."""

from typing import Any

import numpy as np

MONTHS = np.arange(84)
BUILDS = ("Eight bays, full at once", "Eight bays, grown", "Twelve bays and a shelf")
LINES = (("#0072B2", "solid"), ("#D55E00", "dash"), ("#009E73", "dot"))
FEW_DRAWS, MANY_DRAWS = 500, 2000


def control(key: str, label: str, unit: str, value: float, **more: Any) -> dict[str, Any]:
    wrong = f"{label}: write one number"
    return {"key": key, "label": label, "unit": unit, "value": value, "wrong": wrong, **more}


GROWTH = control(
    *("growth", "Growth", "per year", 0.2),
    min=0.0,
    max=0.8,
    step=0.05,
    status="guess",
    help="Folder sizes by year, newest over the one before.",
)
SHOOT_DAYS = control(
    *("shoot_days", "Shoot days", "per month", 8),
    min=2,
    max=20,
    step=1,
    status="you gave it",
    help="Count the last twelve months in the calendar.",
)
LEAD_TIME = control(
    *("lead_time", "Lead time", "months", 2),
    min=0,
    max=12,
    step=1,
    status="common practice",
    help="From the order to the day the drives are in.",
)

SPEC: dict[str, Any] = {
    "words": {
        "settings": "What may change",
        "undo": "Undo",
        "put_back": "Put back",
        "help": "how to find out",
        "working": "Working it out …",
        "no_answer": "No answer yet. Is the notebook's kernel running?",
        "ready": "",
    },
    "groups": [
        {"title": "Work", "keys": ["growth", "shoot_days"]},
        {"title": "Buying", "keys": ["lead_time"]},
    ],
    "controls": [GROWTH, SHOOT_DAYS, LEAD_TIME],
    "figures": [
        {"id": "held", "summary_label": "In words:"},
        {"id": "cost", "summary_label": "In words:"},
    ],
    "tables": [
        {"id": "builds", "title": "The builds side by side", "first": True},
        {"id": "needs", "title": "What you need, and who meets it"},
    ],
    "texts": ["headline", "subhead"],
}

AXES = [
    {"key": "growth", "values": [0.0, 0.2, 0.4, 0.6, 0.8]},
    {"key": "shoot_days", "values": [2, 5, 8, 11, 14, 17, 20]},
    {"key": "lead_time", "values": [2, 6, 10]},
]


def quick_answer(values: dict[str, float]) -> dict[str, Any]:
    """The same from a few futures only, where it matters not how long an answer takes."""
    return invented_answer(values, False, draws=10)


def invented_answer(
    values: dict[str, float], settled: bool, draws: int | None = None
) -> dict[str, Any]:
    """An answer in which every chart and table moves with every value."""
    if values["lead_time"] == 11:
        raise ValueError("lead_time must not be 11 in this invention")
    draws = draws or (MANY_DRAWS if settled else FEW_DRAWS)
    rng = np.random.default_rng(7)
    monthly = values["shoot_days"] * 0.4 * (1 + values["growth"]) ** (MONTHS / 12)
    held = 20 + np.cumsum(monthly * rng.lognormal(0, 0.3, (len(BUILDS), draws, MONTHS.size)), -1)
    held *= 1 + np.arange(len(BUILDS))[:, None, None] * 0.04
    cost = 9000 + 60 * held + 400 * values["lead_time"]
    bands = [np.quantile(array, (0.1, 0.5, 0.9), axis=1) for array in (held, cost)]
    last = bands[0][1][:, -1]
    return {
        "texts": {
            "headline": f"Buy the {BUILDS[1].lower()} build; it holds {last[1]:.0f} TB in the end.",
            "subhead": "All of this is invented, to try the page.\nNobody should buy anything.",
        },
        "readouts": {
            "growth": f"{values['growth'] * 100:.0f} % a year",
            "shoot_days": f"{values['shoot_days']:.0f} days",
            "lead_time": f"{values['lead_time']:.0f} months",
        },
        "figures": {
            "held": _figure("Held footage passes the line in year five", "TB held", bands[0]),
            "cost": _figure("Growing costs least until year six", "cost so far", bands[1]),
        },
        "tables": {
            "builds": {
                "head": ["", *BUILDS],
                "rows": [
                    ["Held after seven years", *(f"{tb:.0f} TB" for tb in last)],
                    ["Cost over seven years", *(f"{c:,.0f}" for c in bands[1][1][:, -1])],
                    [
                        "Loss within seven years",
                        "25 in 100,000",
                        "32 in 100,000",
                        "10 in 100,000 *",
                    ],
                ],
                "marks": [["", "", "", ""], ["", "", "good", ""], ["", "", "", "guess"]],
                "align": "lrrr",
            },
            "needs": {
                "head": ["Need", *BUILDS],
                "rows": [
                    ["Room for five years", "falls short by 12 TB", "meets it", "meets it"],
                    ["Lead time", *[f"{values['lead_time']:.0f} months"] * 3],
                ],
                "marks": [["", "short", "good", "good"], ["", "", "", ""]],
            },
        },
    }


def _figure(title: str, unit: str, band: np.ndarray) -> dict[str, Any]:
    data: list[dict[str, Any]] = []
    years = (MONTHS / 12).round(3)
    for build, (colour, dash) in enumerate(LINES):
        low, middle, high = (band[line][build].round(2) for line in range(3))
        edge = {"type": "scatter", "mode": "lines", "x": years, "line": {"width": 0}}
        quiet = {"showlegend": False, "hoverinfo": "skip"}
        data += [
            {**edge, **quiet, "y": low},
            {**edge, **quiet, "y": high, "fill": "tonexty", "fillcolor": f"{colour}22"},
            {
                **edge,
                "y": middle,
                "name": BUILDS[build],
                "line": {"color": colour, "dash": dash},
                "hovertemplate": "%{y:,.0f}<extra></extra>",
            },
        ]
    axis = {"gridcolor": "#e3e8eb", "zeroline": False}
    layout = {
        "height": 280,
        "margin": {"l": 64, "r": 8, "t": 8, "b": 40},
        "legend": {"orientation": "h", "y": 1.02, "yanchor": "bottom", "traceorder": "normal"},
        "hovermode": "x",
        "font": {"family": "system-ui, sans-serif", "size": 12, "color": "#1d252c"},
        "xaxis": {**axis, "title": {"text": "years from the start"}},
        "yaxis": {**axis, "title": {"text": unit}, "rangemode": "tozero", "tickformat": ",.0f"},
    }
    summary = f"After seven years the middle is {band[1][0][-1]:,.0f} for the first build."
    return {"title": title, "data": data, "layout": layout, "summary": summary}
