"""What a checker of types finds wrong in a scenario, in the words of the scenario."""

from collections.abc import Mapping, Sequence
from typing import Any

from storagecalc.study.scenario.faults import Fault
from storagecalc.study.scenario.keys import NAME, choices_of, shape_of, table_at
from storagecalc.study.scenario.quantity import declared, words_of

PLAIN = {
    "string_type": "must be text in quotes",
    "model_type": "must be a table",
    "model_attributes_type": "must be a table",
    "dict_type": "must hold tables with names of your own",
    "bool_type": "must be true or false, without quotes",
    "bool_parsing": "must be true or false, without quotes",
    "tuple_type": "must be a list in square brackets",
    "too_short": "must have at least one entry",
    "string_too_short": "must not be empty",
    "string_too_long": "is too long",
    "extra_forbidden": "is not a known key here; storagecalc keys lists them all",
}


def is_rule_of_table(detail: Any) -> bool:
    """Whether what was found breaks a rule about several keys of a table."""
    return detail["type"] == "value_error" and isinstance(detail.get("input"), Mapping)


def fault_from(detail: Any) -> Fault:
    """One finding of the checker as a fault."""
    way = [str(part) for part in detail["loc"]]
    key, kind, value = ".".join(way) or "the file", detail["type"], detail.get("input")
    if kind == "missing":
        return _missing(way)
    message = str(detail["msg"]).removeprefix("Value error, ")
    return Fault(key=key, value=None if is_rule_of_table(detail) else value,
                 rule=_plain(way, kind, message))  # fmt: skip


def _missing(way: Sequence[str]) -> Fault:
    """What a missing table needs, or what a missing key is and how to find it out."""
    key, table = ".".join(way), table_at(way[:-1])
    if table is None:
        return Fault(key=key, value=None, rule="is missing; write it")
    inner = shape_of(table, way[-1])
    if inner is not None:
        below, kind = inner
        needed = [field for field, info in below.model_fields.items() if info.is_required()]
        heading = {"named": f"{key}.{NAME}", "list": f"[{key}]"}.get(kind, key)
        rule = f"it needs {' and '.join(needed)}" if needed else "it may stay empty"
        return Fault(key=f"missing table [{heading}]", value=None, rule=rule)
    quantity, (label, find_out) = declared(table, way[-1]), words_of(table, way[-1])
    choices = ", ".join(choices_of(table, way[-1]))
    wanted = quantity.span if quantity is not None else choices and f"one of {choices}"
    said = f"{label}, {wanted}" if wanted else label
    hint = f"to find out: {find_out}" if quantity is not None else find_out
    return Fault(key=key, value=None, rule=f"is missing: {said} ({hint})")


def _plain(way: Sequence[str], kind: str, message: str) -> str:
    if kind.startswith("date"):
        return "must be a date like 2027-01-01, without quotes"
    if kind == "literal_error":
        table = table_at(way[:-1])
        choices = choices_of(table, way[-1]) if table is not None else ()
        return "must be one of " + ", ".join(f'"{each}"' for each in choices)
    return PLAIN.get(kind, message)
