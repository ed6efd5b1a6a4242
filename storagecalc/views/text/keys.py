"""Scenario keys in words: span, unit and standing of each, and the reference of all of them."""

from typing import Any

from storagecalc.study.scenario.changes import CHANGED
from storagecalc.study.scenario.keys import Key, KeyTable, key_tables
from storagecalc.study.scenario.quantity import Quantity, Range
from storagecalc.views.text.toml import toml_value

STATUS_WORDS = {
    "sourced": "from open statistics",
    "common practice": "common practice",
    "guess": "a guess",
    "choice": "a choice",
}
COLUMNS = ("key", "what it is", "unit", "plausible", "default", "which is", "range", "to find out")


def number_words(value: float) -> str:
    """A number as a file would have it: nothing rounded away, thousands separated."""
    if value and not 1e-4 <= abs(value) < 1e12:
        return f"{value:.6g}"
    return f"{value:,.10g}"


def amount_words(value: Any) -> str:
    """A number or a range."""
    if isinstance(value, Range):
        ends = f"{number_words(value.low)} to {number_words(value.high)}"
        return f"{ends}, middle {number_words(value.middle)}"
    return number_words(float(value))


def unit_words(quantity: Quantity) -> str:
    """A unit to put after a number, with a blank before it; nothing for shares and money."""
    return "" if quantity.unit in ("fraction", "money") else f" {quantity.unit}"


def span_words(key: Key) -> str:
    """What may be written: a plausible range, the choices, a date, or nothing for free text."""
    if key.quantity is not None:
        quantity = key.quantity
        ends = f"{number_words(quantity.lowest)} to {number_words(quantity.highest)}"
        return ends + unit_words(quantity)
    if key.choices:
        return ", ".join(f'"{choice}"' for choice in key.choices)
    return "a date" if key.field.endswith("_date") else ""


def takes_range(key: Key) -> bool:
    """Whether { low, middle, high } may be written."""
    return key.quantity is not None and key.quantity.takes_range


def status_words(key: Key) -> str:
    """Where the value comes from that is used when the file has none."""
    if key.default is None:
        return ""
    return STATUS_WORDS["choice" if key.quantity is None else key.quantity.status]


def key_reference() -> str:
    """Every key a scenario may have, as a page of Markdown tables."""
    changed = (f"- `{each.key}` {each.said}." for each in CHANGED)
    tables = (_table_words(table) for table in key_tables())
    return "\n".join([HEAD, *tables, CHANGED_HEAD, *changed, ""])


def table_name(way: str) -> str:
    """A table as a file heads it: [work.NAME], [[work.NAME.changes]]."""
    if not way:
        return "Top of the file"
    return f"[[{way.removesuffix('.0')}]]" if way.endswith(".0") else f"[{way}]"


HEAD = """\
# What a scenario file may say

Made by `storagecalc keys` from the declarations that files are checked with; a test keeps it
current.

A scenario is a TOML file. `NAME` is a name of your own choice: `[work.weddings]`. A table in double
brackets may be given several times; where it is short, write a list:
`steps = [{ after_months = 24, keep_fraction = 0.3 }]`. A dotted line at the top of the file means
the same as a line under a heading: `filling.free_fraction = 0.2`.

Names end in their unit. `_tb` is 10^12 bytes, `_mbit_s` megabits a second, and a `_fraction` is a
share, where 1 is the whole. "Money" is in the scenario's currency. Where "range" says yes, a value
you are not sure of may be written `{ low = 2, middle = 3, high = 5 }`: in one case of ten it is
below low, in one of ten above high, and as often above middle as below. "Default" is what holds if
the file says nothing, and "which is" tells how well founded that is; "must" marks what has to be
written, and "none" means that there is then nothing of the kind.

A number has a point before its decimals and no mark for thousands: 1450 and 1.45. One that may be
read in two ways, such as 1.450, is asked about; so is a price or a limit of a few coins, unless it
is written to two decimals: 8.00.
"""

CHANGED_HEAD = """\
## Keys that mean something else than they did

A file from before should be read again where it has one of these, or leaves one to its default.
"""


def _table_words(table: KeyTable) -> str:
    rows = [_row_words(key) for key in table.keys]
    head = [f"## {table_name(table.way)}", "", f"{_about(table)} {_need_words(table)}".strip(), ""]
    if not rows:
        return "\n".join(head)
    rule = "|".join(["", *(" --- " for _ in COLUMNS), ""])
    return "\n".join([*head, _markdown_row(COLUMNS), rule, *map(_markdown_row, rows), ""])


def _need_words(table: KeyTable) -> str:
    if not table.way:
        return ""
    if not table.required:
        return "May be left out."
    return "At least one is needed." if table.several else "Needed."


def _about(table: KeyTable) -> str:
    return table.about.replace("``", "`") if table.way else "What the question is about."


def _row_words(key: Key) -> tuple[str, ...]:
    return (
        f"`{key.field}`",
        key.label,
        key.quantity.unit if key.quantity is not None else "",
        span_words(key).removesuffix(unit_words(key.quantity) if key.quantity is not None else ""),
        default_words(key),
        status_words(key),
        "yes" if takes_range(key) else "",
        key.find_out,
    )


def default_words(key: Key) -> str:
    """What holds where the file says nothing: a value, "none", or "must" where it has to."""
    if key.required:
        return "must"
    if key.default is None:
        return "none"
    return amount_words(key.default) if key.quantity is not None else toml_value(key.default)


def _markdown_row(cells: tuple[str, ...]) -> str:
    return "|".join(["", *(f" {cell.replace('|', '/')} " for cell in cells), ""])
