"""Every key a scenario file may have, read from the declarations, so that no list can be stale."""

import re
import typing
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from storagecalc.models.layouts import REDUNDANCIES
from storagecalc.study.scenario.footage import example_curves
from storagecalc.study.scenario.nearest import nearest_word
from storagecalc.study.scenario.quantity import Quantity, declared, words_of
from storagecalc.study.scenario.scenario import Scenario

# What the file chooses itself stands as this in a dotted key; tables in a list get a number.
NAME = "NAME"
ENTRY = "0"
# What the standard's level numbers say is said here by what stands in for a broken drive.
LEVELS = {
    "0": "none",
    "1": "mirror",
    "5": "single parity",
    "6": "double parity",
    "10": "striped mirrors",
}
LEVEL = re.compile(r"(?:raid|level|raid level)?[\s_-]*(\d(?:\+?\d)?)")
# Asked for by a rule between tables as long as the file does not choose otherwise.
REQUIRED_BY_RULE = ("remedy.next_build",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key as declared.

    ``table`` is the dotted way to its table, with NAME for a name of the file's own and 0 for an
    entry of a list; empty at the top. ``find_out`` is how a studio finds its own value, or what may
    be written. ``quantity`` is None for text, dates and choices. ``default`` is None where leaving
    the key out means that there is nothing of the kind.
    """

    table: str
    field: str
    label: str
    find_out: str
    quantity: Quantity | None
    choices: tuple[str, ...]
    required: bool
    default: Any

    @property
    def pattern(self) -> str:
        """The dotted key, names open."""
        return f"{self.table}.{self.field}" if self.table else self.field


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyTable:
    """One table as declared: its way, what it is for, whether it must be there, and its keys."""

    way: str
    about: str
    required: bool
    keys: tuple[Key, ...]

    @property
    def several(self) -> bool:
        """Whether the file may have several, by names of its own or in a list."""
        return self.way.endswith((f".{NAME}", f".{ENTRY}"))


@cache
def key_tables() -> tuple[KeyTable, ...]:
    """All tables of a scenario file, in the order in which they are declared, each once."""
    return tuple(_tables(Scenario, way="", required=True))


def keys_in(dotted: str, scenario: Scenario) -> tuple[str, str, tuple[str, ...]]:
    """A scenario's dotted key as section, the name the file gave (or ""), and what lies below.

    A name may have dots of its own, so that it cannot be read off the key alone.

    Parameters
    ----------
    dotted
        As ``entries`` gives it: ``work.films.changes.2.cameras``.
    scenario
        The scenario it belongs to.
    """
    section, _, rest = dotted.partition(".")
    named = getattr(scenario, section, None)
    names = [str(name) for name in named] if isinstance(named, dict) else []
    own = max((name for name in names if rest.startswith(f"{name}.")), key=len, default="")
    inside = rest[len(own) + 1 :] if own else rest
    return section, own, tuple(inside.split(".")) if inside else ()


def pattern_of(dotted: str, scenario: Scenario) -> str:
    """A scenario's dotted key with its names left open, as ``Key.pattern`` has it."""
    section, name, inside = keys_in(dotted, scenario)
    parts = [ENTRY if part.isdigit() else part for part in inside]
    return ".".join([section, *([NAME] if name else []), *parts])


def _tables(model: type[BaseModel], way: str, required: bool) -> Iterator[KeyTable]:
    below, keys = [], []
    for field, info in model.model_fields.items():
        inner = inner_table(info.annotation)
        if inner is None:
            keys.append(_key(model, field, way))
            continue
        table, kind = inner
        part = {"one": field, "named": f"{field}.{NAME}", "list": f"{field}.{ENTRY}"}[kind]
        below.append((table, f"{way}.{part}" if way else part, info.is_required()))
    about = " ".join((model.__doc__ or "").split("\n\n")[0].split())
    by_rule = any(key.pattern in REQUIRED_BY_RULE for key in keys)
    yield KeyTable(way=way, about=about, required=required or by_rule, keys=tuple(keys))
    for table, part, needed in below:
        yield from _tables(table, part, needed)


def _key(model: type[BaseModel], field: str, way: str) -> Key:
    info = model.model_fields[field]
    default = None if info.default is PydanticUndefined else info.default
    pattern = f"{way}.{field}" if way else field
    label, find_out = words_of(model, field)
    return Key(
        table=way,
        field=field,
        label=label,
        find_out=find_out,
        quantity=declared(model, field),
        choices=choices_of(model, field),
        required=info.is_required() or pattern in REQUIRED_BY_RULE,
        default=default,
    )


def inner_table(annotation: Any) -> tuple[type[BaseModel], Literal["one", "named", "list"]] | None:
    """The table class that a field holds and how: one, several by name, or a list; else None."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, "one"
    kind = {dict: "named", tuple: "list", list: "list"}.get(typing.get_origin(annotation) or str)
    for argument in typing.get_args(annotation):
        found = inner_table(argument)
        if found is not None:
            return found[0], typing.cast(Any, kind or found[1])
    return None


@cache
def shape_of(
    table: type[BaseModel], field: str
) -> tuple[type[BaseModel], Literal["one", "named", "list"]] | None:
    """``inner_table`` of a field of a table."""
    return inner_table(table.model_fields[field].annotation)


def table_at(way: Sequence[str]) -> type[BaseModel] | None:
    """The table class a dotted path leads to; after a table of several comes a name or a number."""
    table: type[BaseModel] = Scenario
    parts = iter(way)
    for part in parts:
        inner = shape_of(table, part) if part in table.model_fields else None
        if inner is None:
            return None
        table, kind = inner
        if kind != "one":
            next(parts, None)
    return table


def tables_below(
    raw: Mapping[str, Any], table: type[BaseModel], way: str
) -> Iterator[tuple[Any, type[BaseModel], str]]:
    """What stands below a table as written: each table there, its class and its dotted way."""
    for field in table.model_fields:
        inner = shape_of(table, field) if field in raw else None
        if inner is None:
            continue
        below, kind = inner
        found, key = raw[field], f"{way}.{field}" if way else field
        if kind == "one":
            yield found, below, key
        elif kind == "named" and isinstance(found, Mapping):
            yield from ((each, below, f"{key}.{name}") for name, each in found.items())
        elif kind == "list" and isinstance(found, (list, tuple)):
            yield from ((each, below, f"{key}.{place}") for place, each in enumerate(found))


@cache
def choices_of(table: type[BaseModel], field: str) -> tuple[str, ...]:
    """What a text may be: those of a literal, or of the table or model that checks the field."""
    if field == "redundancy":
        return REDUNDANCIES
    if field == "like":
        return tuple(example_curves())
    return _literals(table.model_fields[field].annotation)


def meant_choice(word: str, choices: Sequence[str]) -> str | None:
    """The choice that a word most likely stands for, or None; standard level numbers are known."""
    level = LEVEL.fullmatch(word.strip().casefold())
    meant = LEVELS.get(level[1].replace("+", "")) if level is not None else None
    return meant if meant in choices else nearest_word(word, choices)


def _literals(annotation: Any) -> tuple[str, ...]:
    if typing.get_origin(annotation) is Literal:
        return tuple(str(choice) for choice in typing.get_args(annotation))
    inner = (_literals(argument) for argument in typing.get_args(annotation))
    return next((choices for choices in inner if choices), ())
