"""Rules inside a table that also hold where other keys of the table are wrong.

A checker stops at the first wrong key of a table. Here every rule is asked that needs none of the
wrong ones, so that all faults are told at once.
"""

import contextlib
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from typing import Annotated, Any

from pydantic import BaseModel, TypeAdapter, ValidationError

from storagecalc.study.scenario.faults import Fault
from storagecalc.study.scenario.keys import tables_below


def rule_faults(
    raw: Any, table: type[BaseModel], way: str, unsound: Collection[str]
) -> Iterator[Fault]:
    """What breaks a rule of its table, in a table as written and in those below.

    Parameters
    ----------
    raw
        The table as the file has it.
    table
        What it is declared as.
    way
        Its dotted way, empty at the top.
    unsound
        Dotted keys that are wrong by themselves: no rule that needs them is asked.
    """
    if not isinstance(raw, Mapping):
        return
    yield from _own_faults(raw, table, way, unsound)
    for below, inner, key in tables_below(raw, table, way):
        yield from rule_faults(below, inner, key, unsound)


def _own_faults(
    raw: Mapping[str, Any], table: type[BaseModel], way: str, unsound: Collection[str]
) -> Iterator[Fault]:
    rules = table.__pydantic_decorators__.model_validators.values()
    if not rules:
        return
    sound = _sound_part(raw, table, way, unsound)
    for rule in rules:
        try:
            rule.func(sound)
        except AttributeError:  # it needs a key that is wrong by itself
            continue
        except ValueError as reason:
            yield Fault(key=way or "the file", value=None, rule=str(reason))


def _sound_part(
    raw: Mapping[str, Any], table: type[BaseModel], way: str, unsound: Collection[str]
) -> Any:
    """The table with what is right in it and the defaults of what it leaves out, no more."""
    values = {}
    for field, info in table.model_fields.items():
        key = f"{way}.{field}" if way else field
        if any(each == key or each.startswith(f"{key}.") for each in unsound):
            continue
        if field in raw:
            with contextlib.suppress(ValidationError):
                values[field] = _checker(table, field).validate_python(raw[field])
        elif not info.is_required():
            values[field] = info.get_default(call_default_factory=True)
    start = f"{way}." if way else ""
    # A key that nobody knows, or that is told elsewhere, has been written as well.
    unknown = {key.removeprefix(start) for key in unsound if key.startswith(start)}
    written = {field for field in table.model_fields if field in raw} | unknown
    part = table.model_construct(_fields_set=written, **values)
    for field in table.model_fields:
        if field not in values:
            part.__dict__.pop(field, None)
    return part


@cache
def _checker(table: type[BaseModel], field: str) -> TypeAdapter[Any]:
    info = table.model_fields[field]
    kind: Any = info.annotation
    for rule in info.metadata:
        kind = Annotated[kind, rule]
    return TypeAdapter(kind)
