"""The parts a page is built of: controls, charts, tables, buttons, and places for words."""

from collections.abc import Mapping, Sequence
from typing import Any

from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text.table import TextTable

MARKS = ("good", "short", "guess")


def plain_page(spec: Mapping[str, Any]) -> Node:
    """A page with its settings at the left, and words, charts and tables at the right.

    Parameters
    ----------
    spec
        ``words``, ``groups``, ``controls``, ``figures``, ``tables``, ``texts`` as a page has them.
    """
    headline, *notes = spec.get("texts", ("headline",))
    first, later = (
        [table_place(each) for each in spec.get("tables", ()) if bool(each.get("first")) is soon]
        for soon in (True, False)
    )
    figures = [figure_place(each) for each in spec.get("figures", ())]
    results = node(
        "div",
        first,
        node("div", figures, class_="sc-figures"),
        node("div", [place(text) for text in notes], class_="sc-notes"),
        later,
        class_="sc-results",
    )
    body = node("div", settings(spec) if spec.get("controls") else None, results, class_="sc-body")
    head = node("div", place(headline, "h2"), class_="sc-head", aria_live="polite")
    return node("div", head, body, class_="sc-page")


def place(part: str, name: str = "p", **attributes: Any) -> Node:
    """An empty element for what an answer says of a part."""
    return node(name, data_part=part, **attributes)


def settings(spec: Mapping[str, Any], *after: Node) -> Node:
    """Buttons, the status line and all controls in their groups, and what stands below them."""
    words, controls = spec.get("words", {}), {each["key"]: each for each in spec["controls"]}
    groups = spec.get("groups") or [{"title": "", "keys": list(controls)}]
    return node(
        "div",
        buttons(words),
        [
            node(
                "fieldset",
                node("legend", group["title"]),
                [control_box(controls[key], words) for key in group["keys"] if key in controls],
            )
            for group in groups
        ],
        *after,
        class_="sc-settings",
        role="group",
        aria_label=words.get("settings", ""),
    )


def buttons(words: Mapping[str, str]) -> list[Node]:
    """Undo, put back and save, each where there is a word for it, and the status line."""
    acts = [
        node("button", words.get(act, ""), type="button", data_act=act, hidden=_hidden(act, words))
        for act in ("undo", "put_back", "save")
    ]
    status = node("p", role="status", aria_live="polite")
    return [node("div", acts, class_="sc-buttons"), status]


def control_box(control: Mapping[str, Any], words: Mapping[str, str]) -> Node:
    """A slider with its label, a field for typing, its ends, and how to find the value out."""
    key = control["key"]
    name, told = f"sc-{key}", f"sc-{key}-help"
    track = slider_track(control, labelled=name, described=told)
    help_words = f"{control.get('status', '')} "
    return node(
        "div",
        node(
            "div",
            node(
                "label",
                control["label"],
                " ",
                node("i", control["unit"]),
                for_=name,
                id=name + "-label",
            ),
            number_field(control),
        ),
        track,
        node("p", role="alert", class_="sc-fault"),
        node(
            "details",
            node("summary", help_words, node("u", words.get("help", ""))),
            node("span", control.get("help", ""), id=told),
        ),
        class_="sc-control",
        data_control=key,
    )


def number_field(control: Mapping[str, Any]) -> Node:
    """The field in which a slider's value can be typed, and its value in words for who listens."""
    key = control["key"]
    field = node(
        "input",
        type="text",
        inputmode="decimal",
        autocomplete="off",
        aria_labelledby=f"sc-{key}-label",
        data_wrong=control.get("wrong", ""),
    )
    return node("span", field, node("b", data_readout=key, class_="sc-unseen"))


def slider_track(control: Mapping[str, Any], *, labelled: str, described: str) -> Node:
    """The slider itself, over a place for marks, its two ends below it."""
    ends = control.get("ends", ())
    return node(
        "div",
        place(f"track {control['key']}", "div", class_="sc-marks"),
        node("input", type="range", id=labelled, aria_describedby=described),
        node("div", [node("span", end) for end in ends], class_="sc-ends") if ends else None,
        class_="sc-track",
    )


def figure_place(figure: Mapping[str, Any]) -> Node:
    """A place for a chart of the chart library, with its title above and its words below."""
    name = figure["id"]
    told = f"sc-{name}-summary"
    return node(
        "figure",
        node("h3"),
        node("div", class_="sc-plot", role="img", aria_labelledby=told),
        node(
            "figcaption",
            node("b", figure.get("summary_label", "")),
            " ",
            node("span", id=told, data_summary=""),
        ),
        data_figure=name,
    )


def table_place(table: Mapping[str, Any]) -> Node:
    """A place for a table that scrolls by itself where it is wider than the page."""
    return node("div", data_part=table["id"], class_="sc-table", tabindex=0, role="group",
                aria_label=table.get("title", table["id"]))  # fmt: skip


def table_node(table: Mapping[str, Any]) -> Node:
    """A table from its title, head, rows and marks.

    Parameters
    ----------
    table
        A ``TextTable`` as a mapping; ``align`` has "l" or "r" for each column.
    """
    head, align = table["head"], table.get("align") or "l" * len(table["head"])
    sides = ["sc-right" if side == "r" else "sc-left" for side in align]
    named = [
        node("th", text, scope="col", class_=side) for text, side in zip(head, sides, strict=True)
    ]
    marks = table.get("marks") or [[""] * len(row) for row in table["rows"]]
    rows = [
        _row(head, row, marked, sides) for row, marked in zip(table["rows"], marks, strict=True)
    ]
    return node(
        "table",
        node("caption", table["title"]) if table.get("title") else None,
        node("thead", node("tr", named)),
        node("tbody", rows),
    )


def table_blocks(table: TextTable) -> Node:
    """The same table for a phone: one block below the other instead of columns."""
    return node(
        "div",
        [
            node(
                "section",
                node("h3", heading),
                node(
                    "dl", [(node("dt", label), node("dd", cell)) for label, cell in lines if cell]
                ),
            )
            for heading, lines in table.blocks()
        ],
        class_="sc-blocks",
    )


def _row(
    head: Sequence[str], row: Sequence[str], marks: Sequence[str], sides: Sequence[str]
) -> Node:
    first, *cells = row
    told = [
        node("td", text, class_=_kind(side, mark), data_head=column)
        for text, mark, side, column in zip(cells, marks[1:], sides[1:], head[1:], strict=True)
    ]
    return node("tr", node("th", first, scope="row", class_=sides[0]), told)


def _kind(side: str, mark: str) -> str:
    return f"{side} sc-{mark}" if mark in MARKS else side


def _hidden(act: str, words: Mapping[str, str]) -> str | None:
    return None if words.get(act) else ""
