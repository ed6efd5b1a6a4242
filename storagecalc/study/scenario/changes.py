"""What became of keys that older files have: former ones, and those that mean something else now.

A name of the file's own stands as NAME, an entry of a list as 0, as in ``Key.pattern``.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from storagecalc.study.scenario.keys import ENTRY, NAME, pattern_of
from storagecalc.study.scenario.quantity import RANGE_KEYS, entries
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class FormerKey:
    """A key that is no more: its pattern, that of the key in its place, and the line to write.

    In the line VALUE is what the old key was.
    """

    old: str
    new: str
    line: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedKey:
    """A key whose meaning or default is another than it was, and what a file should know of it.

    ``came_with`` are patterns of keys that there are since then: a file that writes one of them is
    not from before.
    """

    key: str
    said: str
    meaning: bool = True
    default: bool = False
    came_with: tuple[str, ...] = (
        "costs.NAME.price",
        "prices.drive_sale_fraction",
        "prices.drive_value_kept_per_year_fraction",
        "running.further_box_care_fraction",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A former key in a file: where it stands, its value, and where the new line goes."""

    key: str
    value: Any
    new_key: str
    line: str


FORMER: tuple[FormerKey, ...] = (
    FormerKey(
        old="builds.NAME.old_drives",
        new="builds.NAME.drives_from",
        line='drives_from = "old", and a table [owned.old] of the box they are in, with'
        " drives = VALUE",
    ),
    FormerKey(
        old="builds.NAME.old_drive_count",
        new="owned.old.lots",
        line="lots = [{ count = VALUE, age_years = 4 }] in [owned.old], with their own age",
    ),
    FormerKey(
        old="builds.NAME.old_drive_age_years",
        new="owned.old.lots",
        line="lots = [{ count = 4, age_years = VALUE }] in [owned.old], with their own count",
    ),
    FormerKey(
        old="builds.NAME.box_age_years",
        new="builds.NAME.starts_in",
        line='starts_in = "old", and a table [owned.old] of the box, with box_age_years = VALUE',
    ),
)
CHANGED = (
    ChangedKey(
        key="needs.confidence_fraction",
        said="was asked of each need by itself; now all needs must hold together in that share of"
        " futures",
    ),
    ChangedKey(
        key="needs.loss_probability",
        said="was compared with the chance at a cautious failure rate, of the build alone; now with"
        " the average over the rates it may have, further boxes included",
    ),
    ChangedKey(
        key="needs.streams",
        said="was compared with the streams at the middle of every range; now with those of each"
        " future",
    ),
    ChangedKey(
        key="needs.noise_dba",
        said="was compared with the noise at the middle of every range; now with that of each"
        " future",
    ),
    ChangedKey(
        key="needs.upfront_cost",
        said="was compared with all that is paid in the first month, at the middle of every range;"
        " now with what is ordered in it, in each future, without running costs",
    ),
    ChangedKey(
        key="builds.NAME.order_at_fraction",
        said="was a share of all plannable space and 0.9 unless written; now it is a share of the"
        " newest box's and 0.8 unless written",
        default=True,
    ),
    ChangedKey(
        key="prices.box_value_kept_per_year_fraction",
        said="was for the box alone and 0 unless written; now it is for boxes and shelves, and 0.7"
        " unless written",
        default=True,
    ),
    ChangedKey(
        key="running.care_h_per_month",
        said="was the care of everything; now it is for the first box, and each further box or"
        " shelf adds further_box_care_fraction of it",
    ),
    ChangedKey(
        key="network.read_chunk_mb",
        said="was 8 unless written; now it is 2 to 16, middle 8 unless written",
        meaning=False,
        default=True,
    ),
    ChangedKey(
        key="work.NAME.proxies_and_exports_fraction",
        said="was 0.15 unless written; now it is 0.05 to 0.4, middle 0.15 unless written",
        meaning=False,
        default=True,
    ),
    ChangedKey(
        key="team.working_tb_per_editor",
        said="was 0.5 unless written; now it is 0.25 to 1, middle 0.5 unless written",
        meaning=False,
        default=True,
    ),
    ChangedKey(
        key="prices.drive_shock_per_year",
        said="was not there, as drive prices kept to their trend; now they also stray from it, each"
        " year by 0.07 to 0.115, middle 0.085 unless written; 0 is not at all",
        meaning=False,
        default=True,
    ),
    ChangedKey(
        key="remedy.migration_h",
        said="was shared out over the TB that one further box holds; now it is paid in full for"
        " each further box",
    ),
)


def changed_keys(scenario: Scenario) -> tuple[ChangedKey, ...]:
    """The changed keys that matter for a file, each once; none that it must know of.

    Those it writes whose meaning is another, and those it leaves out whose default is another.
    """
    found = {(pattern_of(each.key, scenario), each.written) for each in entries(scenario)}
    return tuple(
        each
        for each in CHANGED
        if not any((newer, True) in found for newer in each.came_with) and _matters(each, found)
    )


def _matters(each: ChangedKey, found: set[tuple[str, bool]]) -> bool:
    """Whether a file writes a key whose meaning changed, or leaves one to a changed default."""
    by_meaning = each.meaning and (each.key, True) in found
    return by_meaning or (each.default and (each.key, False) in found)


def former_keys(raw: Mapping[str, Any]) -> Iterator[Found]:
    """Every former key that stands in plain tables, with what to write instead."""
    for former in FORMER:
        old = former.old.split(".")
        for way, value in _found(raw, old, ()):
            named = [part for part, kept in zip(way, old, strict=True) if kept in (NAME, ENTRY)]
            yield Found(
                key=".".join(way),
                value=None if _is_table(value) else value,
                new_key=_named(former.new, named),
                line=former.line,
            )


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping) and not set(value) <= set(RANGE_KEYS)


def _found(
    table: Any, below: list[str], way: tuple[str, ...]
) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Every place in nested tables that a pattern leads to, and what stands there."""
    if not below:
        yield way, table
        return
    part, rest = below[0], below[1:]
    if part == ENTRY and isinstance(table, (list, tuple)):
        table = dict(enumerate(table))
    elif not isinstance(table, Mapping):
        return
    for name, inner in table.items():
        if part in (NAME, ENTRY, name):
            yield from _found(inner, rest, (*way, str(name)))


def _named(pattern: str, names: list[str]) -> str:
    """A pattern with the file's own names in it, in their order."""
    left = iter(names)
    return ".".join(next(left, part) if part in (NAME, ENTRY) else part
                    for part in pattern.split("."))  # fmt: skip
