"""What a notebook cell shows as its last line: finished sentences and tables, or a whole page."""

import os
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from storagecalc.views.page.grid import grid_answer
from storagecalc.views.page.layout import table_blocks, table_node
from storagecalc.views.page.nodes import markup, node
from storagecalc.views.page.page import page_fragment
from storagecalc.views.text.table import TextTable

# Set in the kernel of a notebook that becomes a report.
REPORT_VARIABLE = "STORAGECALC_REPORT"
# A notebook would set what stands between dollar signs as a formula; inside these it does not.
AS_WRITTEN = "mathjax_ignore tex2jax_ignore"


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
        table = [table_node({**asdict(self.table), "title": ""})] if self.table else []
        if self.table and os.environ.get(REPORT_VARIABLE):  # a page that a phone may open
            table.append(table_blocks(self.table))
        return markup(
            node(
                "div",
                node("h2", self.title) if self.title else None,
                [node("p", text) for text in self.paragraphs],
                node("ul", [node("li", text) for text in self.bullets]) if self.bullets else None,
                table,
                class_=f"passage {AS_WRITTEN}",
                # What may scroll can be reached by the keyboard, under a name.
                **({"tabindex": 0, "role": "group", "aria_label": self.title} if table else {}),
            )
        )

    def __repr__(self) -> str:
        """The same words as plain text, one line each."""
        lines = [self.title] if self.title else []
        lines += [*self.paragraphs, *(f"- {bullet}" for bullet in self.bullets)]
        if self.table:
            lines += self.table.untitled_lines()
        return "\n".join(lines)
