"""A first scenario to edit: invented values for what a studio knows, and all defaults beside them.

Values stand here and nowhere else; labels, units, spans, defaults and the list of all that may be
written come from the declarations.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from pydantic import BaseModel

from storagecalc.study.scenario.keys import Key, key_tables, pattern_of
from storagecalc.study.scenario.load import scenario_from, with_changes
from storagecalc.study.scenario.quantity import Range, children
from storagecalc.study.scenario.scenario import Scenario

# By dotted key, in the order in which they are written. All invented, prices too.
INVENTED: Mapping[str, Any] = {
    "prices_are": "invented",
    "work.films.shoot_days_per_month": Range(3, 5, 8),
    "work.films.cameras": 2,
    "work.films.hours_per_camera_day": Range(1, 1.5, 2.5),
    "work.films.format": "h264_uhd_100_average",
    "work.films.stored_today_tb": 8,
    "work.films.keep": "films",
    "keep.films.steps": [{"after_months": 24, "keep_fraction": Range(0.2, 0.35, 0.6)}],
    "needs.headroom_months": 36,
    "needs.loss_probability": 0.001,
    "needs.copies": 2,
    "copies.other_house.another_building": True,
    "copies.other_house.price_per_tb_month": 4,
    "drives.large.size_tb": 12,
    "drives.large.price": 300,
    "builds.grown_in_steps.drives": "large",
    "builds.grown_in_steps.bays": 8,
    "builds.grown_in_steps.drives_at_first": 5,
    "builds.grown_in_steps.redundancy": "double parity",
    "builds.grown_in_steps.box_price": 1200,
    "builds.filled_at_once.drives": "large",
    "builds.filled_at_once.bays": 8,
    "builds.filled_at_once.drives_at_first": 8,
    "builds.filled_at_once.redundancy": "double parity",
    "builds.filled_at_once.box_price": 1200,
    "running.electricity_price_per_kwh": 0.3,
    "running.labour_price_per_h": 45,
    "remedy.next_build": "filled_at_once",
}
CURRENCY = "EUR"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the starter: its dotted key, its value, and the keys it takes as declared.

    A line has one key, but for a list of tables, which has those that every entry needs.
    """

    dotted: str
    keys: tuple[Key, ...]
    value: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Starter:
    """A scenario to edit.

    ``written`` are values the studio replaces; ``left`` has every other key with a default, those
    of one declaration together; ``further`` are keys that mean nothing unless written, or that
    stand in tables the starter does without.
    """

    written: tuple[Line, ...]
    left: tuple[tuple[Line, ...], ...]
    further: tuple[Key, ...]


def starter(*, title: str, start_date: date) -> Starter:
    """The starter scenario.

    Parameters
    ----------
    title
        What it is about; not empty.
    start_date
        The month it starts with.

    Raises
    ------
    ScenarioError
        Where the title is empty.
    """
    values = {"title": title, "currency": CURRENCY, "start_date": start_date, **INVENTED}
    scenario = scenario_from(with_changes({}, values), source="the starter")
    declared = {key.pattern: key for table in key_tables() for key in table.keys}
    found = list(_left_out(scenario, declared, written=values))
    lines = tuple(
        Line(dotted=dotted, keys=_keys_at(declared, pattern_of(dotted, scenario)), value=value)
        for dotted, value in values.items()
    )
    shown = {key for line in (*lines, *found) for key in line.keys}
    return Starter(
        written=lines,
        left=tuple(
            tuple(line for line in found if line.keys == keys)
            for keys in dict.fromkeys(line.keys for line in found)
        ),
        further=tuple(key for key in declared.values() if key not in shown),
    )


def _keys_at(declared: Mapping[str, Key], pattern: str) -> tuple[Key, ...]:
    """The declaration of a key, or those of the needed keys inside a list of tables."""
    if pattern in declared:
        return (declared[pattern],)
    inside = f"{pattern}."
    return tuple(key for way, key in declared.items() if way.startswith(inside) and key.required)


def _left_out(
    scenario: Scenario, declared: Mapping[str, Key], *, written: Mapping[str, Any]
) -> Iterator[Line]:
    """Every key with a default in a table that the starter has, lists of tables aside."""
    for dotted, value in _fields(scenario):
        key = declared.get(pattern_of(dotted, scenario))
        if key is not None and value is not None and dotted not in written:
            yield Line(dotted=dotted, keys=(key,), value=value)


def _fields(table: BaseModel, prefix: str = "") -> Iterator[tuple[str, Any]]:
    for field in type(table).model_fields:
        value = getattr(table, field)
        below = [] if isinstance(value, tuple) else list(children(value))
        if not below:
            yield f"{prefix}{field}", value
        for name, child in below:
            yield from _fields(child, f"{prefix}{field}.{name}." if name else f"{prefix}{field}.")
