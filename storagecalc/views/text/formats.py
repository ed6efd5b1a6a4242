"""Recording formats, cards and interfaces in words: the tables that the command lists."""

from collections.abc import Sequence

from storagecalc.study.scenario.formats import (
    Ceiling,
    FormatRow,
    Search,
    card_classes,
    interfaces,
)
from storagecalc.views.text.numbers import listed, percent, quoted, significant
from storagecalc.views.text.table import TextTable

HEAD = ("key", "Mbit/s", "GB per hour", "hours per TB", "the rate is", "real files", "figure",
        "label")  # fmt: skip
CEILING_HEAD = ("key", "MB/s", "Mbit/s", "figure", "label")
RATES_EXPLAINED = """\
GB and TB are 10^9 and 10^12 bytes. "The rate is": constant frame size, every file comes to it;
target, files stray around it; maximum, files stay below; average, what a maker states.
"Real files" is how much of it files come to where that is known; for others weigh ten of yours.
"Figure": published, read in a source; recomputed, from published frame sizes or by the formula;
measured, from files that were made and weighed."""


def format_table(rows: Sequence[FormatRow]) -> TextTable:
    """Recording formats, one a row."""
    count = f"{len(rows)} recording format{'s' if len(rows) != 1 else ''}"
    return _table(count, HEAD, [_format_cells(row) for row in rows])


def card_table() -> TextTable:
    """Speed classes of cards and the least they promise to write."""
    title = "Card classes: what a card must at least keep writing"
    return _table(
        title,
        (*CEILING_HEAD, "needs"),
        [(*_ceiling_cells(found), found.needs or "any bus") for found in card_classes()],
    )


def interface_table() -> TextTable:
    """Interfaces and the most that passes."""
    title = "Interfaces: what passes at most, before protocol and drive take their part"
    return _table(title, CEILING_HEAD, [_ceiling_cells(found) for found in interfaces()])


def nothing_found(found: Search) -> str:
    """Why a search has no result, and what to ask instead."""
    if found.unknown:
        return " ".join(
            f"{quoted(word)} begins no word of any recording format; the nearest known word is"
            f" “{near}”."
            for word, near in found.unknown
        )
    each = listed(f"{quoted(word)} in {count}" for word, count in found.counts)
    return f"No recording format has all of these words: {each}. Leave one out."


def _format_cells(row: FormatRow) -> tuple[str, ...]:
    found = row.format
    return (
        found.key,
        significant(found.mbit_s, 4),
        significant(row.gb_per_h),
        significant(row.hours_per_tb),
        found.rate_kind,
        _real_words(found.real_fraction_low, found.real_fraction_high),
        found.status,
        found.label,
    )


def _real_words(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "not known"
    return percent(low) if low == high else f"{percent(low)} to {percent(high)}"


def _ceiling_cells(found: Ceiling) -> tuple[str, ...]:
    mb_s, mbit_s = significant(found.mb_s, 4), significant(found.mbit_s, 5)
    return found.key, mb_s, mbit_s, found.status, found.label


def _table(title: str, head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> TextTable:
    return TextTable(
        title=title,
        head=head,
        rows=tuple(rows),
        marks=tuple(("",) * len(head) for _ in rows),
    )
