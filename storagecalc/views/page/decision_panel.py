"""The live page at work: sliders, the verdict and both pictures in one view, numbers below."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.difference import gap_dots
from storagecalc.views.charts.lanes import lanes
from storagecalc.views.page.answer import TABLES
from storagecalc.views.page.layout import place, settings, table_place
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text.decision import reason, recommendation
from storagecalc.views.text.difference import gap_title
from storagecalc.views.text.lanes import lanes_title
from storagecalc.views.text.needs import needs_line

# What the style sheet gives the sliders and the page's edge, and from where on they stand abreast.
SETTINGS_PX, GAP_PX, EDGE_PX, ABREAST_PX = 276, 20, 10, 680
# A notebook beside its list of files, on a small laptop.
USUAL_PX = 1050
# Lanes of the second picture that a small laptop has room for.
MOST_RIVALS = 2
ALL_NUMBERS = "All numbers"


def panel_layout(spec: Mapping[str, Any], tables: Sequence[str]) -> Node:
    """The elements of the live page.

    Parameters
    ----------
    spec
        ``words`` and ``controls`` as a page has them.
    tables
        Names from ``TABLES``, in the order in which they stand below the pictures.
    """
    verdict_place = node(
        "div", place("recommendation", "b"), " ", place("reason", "span"),
        class_="sc-head", aria_live="polite",
    )  # fmt: skip
    needs = node(
        "details", node("summary", place("needs line", "span")), table_place({"id": "needs"}),
        class_="sc-needs",
    )  # fmt: skip
    pictures = [
        node("div", place(f"{name} title", "h3"), place(name, "div", class_="sc-drawing"))
        for name in ("lanes", "gap")
    ]
    numbers = node(
        "details",
        node("summary", ALL_NUMBERS),
        [table_place({"id": name}) for name in tables],
        class_="sc-numbers",
    )
    results = node("div", verdict_place, needs, pictures, class_="sc-results")
    body = node("div", settings(spec), results, class_="sc-body")
    return node("div", body, numbers, class_="sc-page sc-panel")


def panel_answer(
    evaluation: Evaluation, width_px: float, frames: Mapping[str, Any]
) -> dict[str, Any]:
    """The pictures alone, which follow a slider while it moves.

    Parameters
    ----------
    evaluation
        With few futures or many, without a grid.
    width_px
        Of the whole page.
    frames
        Axes of the pictures by name.
    """
    width = drawing_px(width_px)
    nearest = verdict(evaluation).nearest_others(MOST_RIVALS)
    rivals = [build for build in evaluation.builds if build in nearest]
    gap = [gap_dots(evaluation, width, frames["gap"], rivals=rivals)] if rivals else []
    return {"drawings": {"lanes": [lanes(evaluation, width, frames["lanes"])], "gap": gap}}


def settled_answer(
    evaluation: Evaluation, width_px: float, frames: Mapping[str, Any], tables: Sequence[str]
) -> dict[str, Any]:
    """Pictures, sentences and tables, once a slider is let go."""
    return {
        **panel_answer(evaluation, width_px, frames),
        "texts": {
            "recommendation": recommendation(evaluation),
            "reason": reason(evaluation),
            "needs line": needs_line(evaluation),
            "lanes title": lanes_title(evaluation),
            "gap title": gap_title(evaluation),
        },
        "tables": {name: asdict(TABLES[name](evaluation)) for name in ("needs", *tables)},
    }


def drawing_px(page_px: float) -> float:
    """How wide a picture may be on a page of that width."""
    room = page_px - 2 * EDGE_PX
    return max(300.0, room if page_px < ABREAST_PX else room - SETTINGS_PX - GAP_PX)
