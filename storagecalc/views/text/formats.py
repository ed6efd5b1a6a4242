"""Recording formats, cards and interfaces in words: the tables that the command lists."""

from collections.abc import Callable, Sequence

from storagecalc.study.scenario.formats import Ceiling, FormatRow, Search, card_classes, interfaces
from storagecalc.views.text.numbers import listed, percent, quoted, significant
from storagecalc.views.text.table import TextTable, record_table

CEILING_COLUMNS: dict[str, Callable[[Ceiling], str]] = {
    "key": lambda found: found.key,
    "MB/s": lambda found: significant(found.mb_s, 4),
    "Mbit/s": lambda found: significant(found.mbit_s, 5),
    "figure": lambda found: found.status,
    "label": lambda found: found.label,
}
RATES_EXPLAINED = """\
GB and TB are 10^9 and 10^12 bytes. "The rate is": constant frame size, every file comes to it;
target, files stray around it; maximum, files stay below; average, what a maker states.
"Real files" is the share of it that files come to, where known; otherwise measure ten of yours.
"Figure": published, read in a source; recomputed, from published frame sizes or by the formula;
measured, from files that were made for it."""


def format_table(rows: Sequence[FormatRow]) -> TextTable:
    """Recording formats, one a row."""
    count = f"{len(rows)} recording format{'s' if len(rows) != 1 else ''}"
    columns: dict[str, Callable[[FormatRow], str]] = {
        "key": lambda row: row.format.key,
        "Mbit/s": lambda row: significant(row.format.mbit_s, 4),
        "GB per hour": lambda row: significant(row.gb_per_h),
        "hours per TB": lambda row: significant(row.hours_per_tb),
        "the rate is": lambda row: row.format.rate_kind,
        "real files": _real_words,
        "figure": lambda row: row.format.status,
        "label": lambda row: row.format.label,
    }
    return record_table(count, rows, columns)


def card_table() -> TextTable:
    """Speed classes of cards and the least they promise to write."""
    title = "Card classes: what a card must at least keep writing"
    needs = {"needs": lambda card: card.needs or "any bus"}
    return record_table(title, card_classes(), CEILING_COLUMNS | needs)


def interface_table() -> TextTable:
    """Interfaces and the most that passes."""
    title = "Interfaces: what passes at most, before protocol and drive take their part"
    return record_table(title, interfaces(), CEILING_COLUMNS)


def nothing_found(found: Search) -> str:
    """Why a search has no result, and what to ask instead."""
    if found.unknown:
        return " ".join(_unknown_words(word, near) for word, near in found.unknown)
    each = listed(f"{quoted(word)} in {count}" for word, count in found.counts)
    return f"No recording format has all of these words: {each}. Leave one out."


def _unknown_words(word: str, near: str | None) -> str:
    if near is None:
        hint = (
            "storagecalc formats without words lists all; plain words are uhd, 10 bit, raw, audio"
        )
    else:
        hint = f"the nearest known word is “{near}”"
    return f"No format matches {quoted(word)}; {hint}."


def _real_words(row: FormatRow) -> str:
    low, high = row.format.real_fraction_low, row.format.real_fraction_high
    if low is None or high is None:
        return "not known"
    return percent(low) if low == high else f"{percent(low)} to {percent(high)}"
