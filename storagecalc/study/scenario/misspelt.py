"""Keys and choices that are no words of a scenario, taken for those they most likely stand for.

So that what stands under a misspelt key is checked at once, and a misspelling is one fault.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from pydantic import BaseModel

from storagecalc.study.scenario.faults import Fault
from storagecalc.study.scenario.formats import format_rows, search
from storagecalc.study.scenario.keys import choices_of, key_tables, meant_choice, shape_of
from storagecalc.study.scenario.nearest import nearest, nearest_word
from storagecalc.study.scenario.scenario import Scenario

# A file with more faults than this is no scenario; what its words may mean is not worth the time.
MOST_GUESSES = 200


@dataclass(slots=True)
class Corrected:
    """A scenario's tables with words put right, and what was wrong.

    ``unsound`` are dotted keys of whose value nothing can be said; ``moved`` tells, by the key in
    the corrected tables, what the file calls it.
    """

    tables: dict[str, Any] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    unsound: set[str] = field(default_factory=set)
    moved: dict[str, str] = field(default_factory=dict)


def corrected(raw: Mapping[str, Any], *, former: Collection[str]) -> Corrected:
    """Plain tables with misspelt keys and choices put right where it is clear what they stand for.

    Parameters
    ----------
    raw
        Tables as a TOML parser gives them.
    former
        Dotted keys that are told elsewhere; they are left out.
    """
    found = Corrected()
    reader = _Reader(found, former)
    found.tables = reader.table(raw, Scenario, "", "")
    return found


class _Reader:
    def __init__(self, found: Corrected, former: Collection[str]) -> None:
        self.found = found
        self.former = former

    def table(self, raw: Any, table: type[BaseModel], way: str, file_way: str) -> Any:
        """A table put right; anything else as it is."""
        if not isinstance(raw, Mapping):
            return raw
        kept: dict[Any, Any] = {}
        for name, value in raw.items():
            file_key = _joined(file_way, name)
            meant = self._meant(raw, table, name) if file_key not in self.former else None
            if name not in table.model_fields and file_key not in self.former:
                self._tell(file_key, value, self._unknown_rule(str(name), meant, table))
            if meant is None or (meant in kept and not isinstance(kept[meant], dict)):
                self.found.unsound.add(file_key)
                continue
            key = _joined(way, meant)
            right = self._value(value, table, meant, (key, file_key))
            if key in self.found.unsound:
                continue
            both = isinstance(right, dict) and meant in kept
            kept[meant] = {**right, **kept[meant]} if both else right
        return kept

    def _meant(self, raw: Mapping[Any, Any], table: type[BaseModel], name: Any) -> str | None:
        """The key that a name stands for: itself, the nearest one, or None."""
        if name in table.model_fields:
            return str(name)
        if len(self.found.faults) > MOST_GUESSES:
            return None
        near = nearest_word(str(name), table.model_fields)
        if near is None or near not in raw:
            return near
        # Beside [builds.small] a table [build.large] belongs to the same several tables.
        shape = shape_of(table, near)
        joins = shape is not None and shape[1] == "named" and isinstance(raw[name], Mapping)
        return near if joins and isinstance(raw[near], Mapping) else None

    def _value(self, value: Any, table: type[BaseModel], name: str, ways: tuple[str, str]) -> Any:
        shape = shape_of(table, name)
        below, kind = shape or (table, "no table")
        if ways[0] != ways[1] and kind != "named":
            self.found.moved[ways[0]] = ways[1]
        if kind == "no table":
            return self._choice(value, table, name, *ways)
        if kind == "one":
            return self.table(value, below, *ways)
        if kind == "named" and isinstance(value, Mapping):
            names = {each: tuple(_joined(way, each) for way in ways) for each in value}
            self.found.moved.update({key: there for key, there in names.values() if key != there})
            return {each: self.table(inner, below, *names[each]) for each, inner in value.items()}
        if kind == "list" and isinstance(value, (list, tuple)):
            return [
                self.table(inner, below, *(_joined(way, place) for way in ways))
                for place, inner in enumerate(value)
            ]
        return value

    def _choice(
        self, value: Any, table: type[BaseModel], name: str, key: str, file_key: str
    ) -> Any:
        """A text that must be one of several; left out where it is none and nothing is near."""
        known = _format_keys() if name == "format" else choices_of(table, name)
        number = isinstance(value, int) and not isinstance(value, bool)
        if not known or value in known or not (number or isinstance(value, str)):
            return value
        meant = meant_choice(str(value), known)
        if number and meant is None:
            return value
        if name == "format":
            rule = _format_rule(str(value), meant)
        else:
            listed = ", ".join(f'"{each}"' for each in known)
            rule = f"must be one of {listed}{_hint(meant)}"
        self._tell(file_key, value, rule)
        if meant is None:
            self.found.unsound.add(key)
        return meant

    def _unknown_rule(self, name: str, meant: str | None, table: type[BaseModel]) -> str:
        hint = _hint(meant)
        if not hint and len(self.found.faults) <= MOST_GUESSES:
            hint = nearest(name, table.model_fields)
        elsewhere = _tables_with(name.casefold()) if not hint else ()
        if elsewhere:
            hint = f"; it belongs in {' or '.join(elsewhere[:3])}"
        return f"is not a known key here{hint or '; storagecalc keys lists them all'}"

    def _tell(self, key: str, value: Any, rule: str) -> None:
        self.found.faults.append(Fault(key=key, value=value, rule=rule))


def _joined(way: str, name: Any) -> str:
    return f"{way}.{name}" if way else str(name)


def _hint(meant: str | None) -> str:
    return f'; did you mean "{meant}"?' if meant else ""


def _format_rule(word: str, meant: str | None) -> str:
    rule = f"must be a key from storagecalc formats{_hint(meant)}"
    found = search([word[:60].replace("_", " ")]) if meant is None else None
    if found is None or len(word.strip()) < 2 or not found.rows:
        return rule
    return f'{rule}: "storagecalc formats {" ".join(found.asked)}" lists those that may be meant'


@cache
def _format_keys() -> tuple[str, ...]:
    return tuple(row.format.key for row in format_rows())


@cache
def _tables_with(name: str) -> tuple[str, ...]:
    """The headings of the tables that have a key of that name."""
    return tuple(
        _heading(table.way)
        for table in key_tables()
        if any(key.field == name for key in table.keys)
    )


def _heading(way: str) -> str:
    if way.endswith(".0"):
        return f"[[{way.removesuffix('.0')}]]"
    return f"[{way}]" if way else "the top of the file"
