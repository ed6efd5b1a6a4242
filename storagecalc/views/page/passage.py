"""What a notebook cell shows as its last line: finished sentences and tables, or a whole page."""

import html
import os
from collections.abc import Mapping, Sequence
from typing import Any

from storagecalc.views.page.grid import grid_answer
from storagecalc.views.page.page import page_fragment
from storagecalc.views.text.table import RIGHT, TextTable

# Set in the kernel of a notebook that becomes a report.
REPORT_VARIABLE = "STORAGECALC_REPORT"
MARKS = ("good", "short", "guess")


class ReportPage:
    """A page of figures, tables and controls as the last line of a notebook cell.

    In a report it becomes a fragment that the report's script draws; in a live notebook the same
    answers show in a panel.

    Parameters
    ----------
    spec
        What the page consists of; a still page has no controls.
    grid
        Its answers, as ``grid.grid_of`` packs them.
    """

    def __init__(self, *, spec: Mapping[str, Any], grid: Mapping[str, Any]) -> None:
        self.spec = spec
        self.grid = grid

    def _repr_mimebundle_(self, **_: Any) -> Any:
        if os.environ.get(REPORT_VARIABLE):
            start = {each["key"]: each["value"] for each in self.spec.get("controls", ())}
            first = grid_answer(self.grid, start)["parts"]
            fragment = page_fragment(self.spec, self.grid, first)
            return {"text/html": fragment, "text/plain": repr(self)}
        from storagecalc.views.page.panel import Panel

        return Panel(
            spec=self.spec, answer_for=lambda values, *_: grid_answer(self.grid, values)
        )._repr_mimebundle_()

    def __repr__(self) -> str:
        """Short and always the same, so that a stored notebook does not change by itself."""
        return "ReportPage()"


class Passage:
    """Finished sentences, and perhaps a table, as the last line of a notebook cell.

    Every string is shown as it is written: markup in it becomes visible text.

    Parameters
    ----------
    title
        A heading; the table's own where nothing is given.
    paragraphs, bullets
        Sentences, in order; bullets follow the paragraphs.
    table
        Stands below them.
    """

    def __init__(
        self,
        *,
        title: str = "",
        paragraphs: Sequence[str] = (),
        bullets: Sequence[str] = (),
        table: TextTable | None = None,
    ) -> None:
        self.title = title or (table.title if table else "")
        self.paragraphs = tuple(paragraphs)
        self.bullets = tuple(bullets)
        self.table = table

    def _repr_html_(self) -> str:
        title = _element("h2", self.title) if self.title else ""
        paragraphs = "".join(_element("p", text) for text in self.paragraphs)
        bullets = "".join(_element("li", text) for text in self.bullets)
        listed = f"<ul>{bullets}</ul>" if bullets else ""
        table = _html_table(self.table) if self.table else ""
        # What may scroll can be reached by the keyboard, under a name.
        reach = (
            f' tabindex="0" role="group" aria-label="{html.escape(self.title)}"' if table else ""
        )
        return f'<div class="passage"{reach}>{title}{paragraphs}{listed}{table}</div>'

    def __repr__(self) -> str:
        """The same words as plain text, one line each."""
        lines = [self.title] if self.title else []
        lines += [*self.paragraphs, *(f"- {bullet}" for bullet in self.bullets)]
        if self.table:
            lines += self.table.untitled_lines()
        return "\n".join(lines)


def _element(tag: str, text: str, mark: str = "", side: str = "") -> str:
    kinds = [*(["right"] if side == RIGHT else []), *([mark] if mark in MARKS else [])]
    attribute = f' class="{" ".join(kinds)}"' if kinds else ""
    return f"<{tag}{attribute}>{html.escape(text)}</{tag}>"


def _html_table(table: TextTable) -> str:
    head = "".join(
        _element("th", cell, "", side) for cell, side in zip(table.head, table.align, strict=True)
    )
    body = ""
    for (first, *cells), (_, *marks) in zip(table.rows, table.marks, strict=True):
        told = "".join(map(_element, ["td"] * len(cells), cells, marks, table.align[1:]))
        body += f"<tr>{_element('th', first)}{told}</tr>"
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
