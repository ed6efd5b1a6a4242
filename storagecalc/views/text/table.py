"""Tables of finished strings: head, rows and marks, the same in notebook, report and terminal.

A mark is "good", "short" or "guess" for a cell, or nothing; the words in the cell say it too.
Columns of numbers stand to the right, their heads with them.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.numbers import plain

Row = tuple[str, ...]
Key = TypeVar("Key")
Record = TypeVar("Record")
LEFT, RIGHT = "l", "r"
# A number, perhaps with a currency before it, or what stands in place of one.
NUMBER = re.compile(r"(fewer than |more than )?([A-Z]{2,12} |[^\w\s]{1,3} ?)?[+-]?\d")
NO_NUMBERS = ("", "none by this model", "no rebuild", "not known")


@dataclass(frozen=True, slots=True, kw_only=True)
class TextTable:
    """A table of strings; ``marks`` has one string a cell, empty for none.

    ``align`` has a letter a column: "l" to the left, "r" to the right. ``of_builds`` is where every
    column but the first is of one alternative.
    """

    title: str
    head: Row
    rows: tuple[Row, ...]
    marks: tuple[Row, ...]
    align: str
    of_builds: bool

    def blocks(self) -> list[tuple[str, list[tuple[str, str]]]]:
        """The table for a narrow page: one block an alternative, or else one a row.

        Each has its heading and its lines, a label and a cell each.
        """
        if not self.of_builds:
            return [(row[0], list(zip(self.head[1:], row[1:], strict=True))) for row in self.rows]
        return [
            (name, [(row[0], row[place]) for row in self.rows])
            for place, name in enumerate(self.head[1:], 1)
        ]

    def lines(self) -> str:
        """The table as plain lines of text, columns aligned."""
        return "\n".join([self.title, *self.untitled_lines()])

    def untitled_lines(self) -> list[str]:
        """Head and rows as plain lines of text, each column as wide as its widest cell."""
        rows = [self.head, *self.rows]
        widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
        places = list(zip(self.align, widths, strict=True))
        return ["  ".join(map(_placed, row, places)).rstrip() for row in rows]


def text_table(
    title: str,
    head: Iterable[str],
    rows: Iterable[Row],
    marks: Iterable[Row] | None = None,
    *,
    of_builds: bool = False,
) -> TextTable:
    """A table, without marks where none are given."""
    names, kept = tuple(head), tuple(rows)
    none = (("",) * len(row) for row in kept)
    return TextTable(
        title=title,
        head=names,
        rows=kept,
        marks=tuple(none if marks is None else marks),
        align="".join(_side(column, [row[column] for row in kept]) for column in range(len(names))),
        of_builds=of_builds,
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
    return text_table(title, (first, *build_names(evaluation)), told, of_builds=True)


def record_table(
    title: str, records: Iterable[Record], columns: Mapping[str, Callable[[Record], str]]
) -> TextTable:
    """A table with a row a record: each column has its head and what it says of one."""
    told = (tuple(words(record) for words in columns.values()) for record in records)
    return text_table(title, columns, told)


def build_names(evaluation: Evaluation) -> Row:
    """What stands above the columns of builds."""
    return tuple(plain(build.name) for build in evaluation.builds)


def _side(column: int, cells: Sequence[str]) -> str:
    """Where a column stands: numbers to the right; what names the rows never."""
    told = [cell for cell in cells if cell not in NO_NUMBERS]
    return RIGHT if column and told and all(map(NUMBER.match, told)) else LEFT


def _placed(cell: str, place: tuple[str, int]) -> str:
    side, width = place
    return cell.rjust(width) if side == RIGHT else cell.ljust(width)
