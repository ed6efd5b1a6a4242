"""Tables of finished strings: head, rows and marks, the same in notebook, report and terminal.

A mark is "good", "short" or "guess" for a cell, or nothing; the words in the cell say it too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text.numbers import (
    plain,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TextTable:
    """A table of strings; ``marks`` has one string a cell, empty for none."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marks: tuple[tuple[str, ...], ...]

    def lines(self) -> str:
        """The table as plain lines of text, columns aligned."""
        rows = [self.head, *self.rows]
        widths = [max(len(row[column]) for row in rows) for column in range(len(self.head))]
        body = [
            "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
            for row in rows
        ]
        return "\n".join([self.title, *body])


def _names(evaluation: Evaluation) -> tuple[str, ...]:
    return tuple(plain(build.name) for build in evaluation.builds)


def _no_marks(rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    return tuple(("",) * len(row) for row in rows)
