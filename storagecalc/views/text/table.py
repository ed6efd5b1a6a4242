"""Tables of finished strings: head, rows and marks, the same in notebook, report and terminal.

A mark is "good", "short" or "guess" for a cell, or nothing; the words in the cell say it too.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.numbers import plain

Row = tuple[str, ...]
Key = TypeVar("Key")
Record = TypeVar("Record")


@dataclass(frozen=True, slots=True, kw_only=True)
class TextTable:
    """A table of strings; ``marks`` has one string a cell, empty for none."""

    title: str
    head: Row
    rows: tuple[Row, ...]
    marks: tuple[Row, ...]

    def lines(self) -> str:
        """The table as plain lines of text, columns aligned."""
        return "\n".join([self.title, *aligned([self.head, *self.rows])])


def text_table(
    title: str, head: Iterable[str], rows: Iterable[Row], marks: Iterable[Row] | None = None
) -> TextTable:
    """A table, without marks where none are given."""
    kept = tuple(rows)
    none = (("",) * len(row) for row in kept)
    return TextTable(
        title=title, head=tuple(head), rows=kept, marks=tuple(none if marks is None else marks)
    )


def build_table(
    evaluation: Evaluation,
    title: str,
    rows: Iterable[tuple[str, Key]],
    cell: Callable[[BuildResult, Key], str],
    *,
    first: str = "",
) -> TextTable:
    """A table with a column a build: each row has a label and a key, ``cell`` has its words."""
    told = ((label, *(cell(build, key) for build in evaluation.builds)) for label, key in rows)
    return text_table(title, (first, *build_names(evaluation)), told)


def record_table(
    title: str, records: Iterable[Record], columns: Mapping[str, Callable[[Record], str]]
) -> TextTable:
    """A table with a row a record: each column has its head and what it says of one."""
    told = (tuple(words(record) for words in columns.values()) for record in records)
    return text_table(title, columns, told)


def build_names(evaluation: Evaluation) -> Row:
    """What stands above the columns of builds."""
    return tuple(plain(build.name) for build in evaluation.builds)


def aligned(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows of cells as lines of text, each column as wide as its widest cell."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
