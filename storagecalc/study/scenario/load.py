"""From a file to a scenario: every fault at once, with key, value, rule and the nearest key."""

import copy
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, NoReturn

from pydantic import BaseModel, ValidationError

from storagecalc.study.scenario.between_tables import breaches
from storagecalc.study.scenario.changes import Found, former_keys
from storagecalc.study.scenario.keys import NAME, choices_of, inner_table
from storagecalc.study.scenario.quantity import Range, declared, nearest, words_of
from storagecalc.study.scenario.scenario import Scenario

LARGEST_FILE_BYTES = 2_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong in a scenario: where, what stands there, and the rule it breaks."""

    key: str
    value: Any
    rule: str

    def __str__(self) -> str:
        shown = "" if self.value is None else f" = {_shown(self.value)}"
        return f"{_short(self.key, 120)}{shown}: {_one_line(self.rule)}"


class ScenarioError(ValueError):
    """A scenario that cannot be used, with every fault found.

    Attributes
    ----------
    source : str
        The file, or in words where the scenario came from.
    faults : tuple of Fault
        All that is wrong; at least one.
    """

    def __init__(self, source: str, faults: list[Fault]) -> None:
        self.source = source
        self.faults = tuple(faults)
        count = f"{len(faults)} faults" if len(faults) > 1 else "1 fault"
        lines = [f"  {number}. {fault}" for number, fault in enumerate(faults, 1)]
        heading = f"{_one_line(source)}: {count}, nothing was computed."
        super().__init__("\n".join([heading, *lines]))


def load_scenario(path: str | Path) -> Scenario:
    """The scenario in a TOML file.

    Parameters
    ----------
    path
        Where the file lies; anywhere on disk.

    Raises
    ------
    ScenarioError
        Where the file cannot be read, is not TOML, or breaks a rule; all faults at once.
    """
    return scenario_from(_parsed(Path(path)), source=str(path))


def scenario_from(raw: Mapping[str, Any], *, source: str) -> Scenario:
    """The scenario in plain tables, as a TOML parser gives them.

    Raises
    ------
    ScenarioError
        With every fault, those between tables too; a former key is one fault with the new line.
    """
    former = tuple(former_keys(raw))
    told = {key for each in former for key in (each.key, each.new_key)}
    across = [
        Fault(
            key=each.key,
            value=each.value,
            rule=f"is now {_short(each.new_key, 120)}: write {_line(each)}",
        )
        for each in former
    ]
    across += [Fault(key=key, value=value, rule=rule) for key, value, rule in breaches(raw)]
    try:
        scenario = Scenario.model_validate(raw)
    except ValidationError as error:
        inside = [_fault(detail) for detail in error.errors(include_url=False)]
        inside = [fault for fault in inside if fault.key not in told]
        raise ScenarioError(source, inside + across) from None
    if across:
        raise ScenarioError(source, across)
    return scenario


def _line(former: Found) -> str:
    """What to write instead of a former key, its value where it is still wanted."""
    return _short(former.line.replace("VALUE", _shown(former.value)), 300)


def with_changes(raw: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """A copy of plain tables with dotted keys set; missing tables on the way are made."""
    changed = copy.deepcopy(dict(raw))
    for dotted, value in changes.items():
        table, last = _place(changed, dotted)
        if isinstance(table, list):
            raise ScenarioError(
                dotted, [Fault(key=dotted, value=value, rule="must end in a key of a table")]
            )
        table[last] = value
    return changed


def _place(table: Any, dotted: str) -> tuple[Any, str]:
    """The table that a dotted key lies in, and its last part; a name there may have dots itself."""
    rest = dotted.split(".")
    while len(rest) > 1:
        names = {".".join(rest[:count]): count for count in range(1, len(rest))}
        known = [name for name in names if isinstance(table, dict) and name in table]
        name = known[-1] if known else rest[0]
        table, rest = _below(table, name), rest[names[name] :]
    return table, rest[0]


def _below(table: Any, part: str) -> Any:
    if isinstance(table, dict):
        found = table.setdefault(part, {})
        if isinstance(found, tuple):
            found = table[part] = list(found)
        return found
    if isinstance(table, list) and part.isdigit() and int(part) < len(table):
        return table[int(part)]
    raise ScenarioError(
        part, [Fault(key=part, value=None, rule="leads to no table; check the names on the way")]
    )


def _parsed(path: Path) -> dict[str, Any]:
    text = _text_of(path)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as reason:
        _stop(path, f"is not valid TOML: {_short(str(reason), 160)}")
    except RecursionError:
        _stop(path, "has tables or lists nested too deeply; a scenario needs four levels")
    except ValueError:  # what Python says of a number that it will not read
        _stop(path, "has a number of thousands of digits; write it with fewer")


def _text_of(path: Path) -> str:
    try:
        if path.is_dir():
            _stop(path, "is a directory; name the scenario file in it")
        if path.stat().st_size > LARGEST_FILE_BYTES:
            _stop(path, f"is larger than {LARGEST_FILE_BYTES:,} bytes; a scenario has a few pages")
        # Some editors begin a file with a mark of its encoding.
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        _stop(path, "does not exist; check the spelling and the folder")
    except OSError as reason:
        _stop(path, f"cannot be read: {reason.strerror}")
    except UnicodeDecodeError:
        _stop(path, "is not UTF-8 text, so it is no TOML file")


def _stop(path: Path, rule: str) -> NoReturn:
    raise ScenarioError(str(path), [Fault(key="the file", value=None, rule=rule)])


def _fault(detail: Any) -> Fault:
    way = [str(part) for part in detail["loc"]]
    key, kind, value = ".".join(way) or "the file", detail["type"], detail.get("input")
    if kind == "missing":
        return _missing(way)
    if kind == "extra_forbidden":
        table = _table_at(way[:-1])
        meant = nearest(way[-1], table.model_fields if table is not None else ())
        hint = meant or "; storagecalc keys lists them all"
        return Fault(key=key, value=value, rule=f"is not a known key here{hint}")
    message = str(detail["msg"]).removeprefix("Value error, ")
    shown = None if isinstance(value, Mapping) and kind == "value_error" else value
    return Fault(key=key, value=shown, rule=_plain(kind, message))


def _missing(way: Sequence[str]) -> Fault:
    """What a missing table needs, or what a missing key is and how to find it out."""
    key, table = ".".join(way), _table_at(way[:-1])
    if table is None:
        return Fault(key=key, value=None, rule="is missing; write it")
    inner = inner_table(table.model_fields[way[-1]].annotation)
    if inner is not None:
        below, kind = inner
        needed = [field for field, info in below.model_fields.items() if info.is_required()]
        heading = f"{key}.{NAME}" if kind == "named" else key
        rule = f"it needs {' and '.join(needed)}" if needed else "it may stay empty"
        return Fault(key=f"missing table [{heading}]", value=None, rule=rule)
    quantity, (label, find_out) = declared(table, way[-1]), words_of(table, way[-1])
    choices = ", ".join(choices_of(table, way[-1]))
    wanted = quantity.span if quantity is not None else choices and f"one of {choices}"
    said = f"{label}, {wanted}" if wanted else label
    hint = f"to find out: {find_out}" if quantity is not None else find_out
    return Fault(key=key, value=None, rule=f"is missing: {said} ({hint})")


def _plain(kind: str, message: str) -> str:
    words = {
        "literal_error": message.replace("Input should be", "must be"),
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
    }
    if kind.startswith("date"):
        return "must be a date like 2027-01-01, without quotes"
    return words.get(kind, message)


def _table_at(way: Sequence[str]) -> type[BaseModel] | None:
    """The table class a dotted path leads to; after a table of several comes a name or a number."""
    table: type[BaseModel] = Scenario
    parts = iter(way)
    for part in parts:
        field = table.model_fields.get(part)
        inner = inner_table(field.annotation) if field is not None else None
        if inner is None:
            return None
        table, kind = inner
        if kind != "one":
            next(parts, None)
    return table


def _shown(value: Any) -> str:
    try:
        return _short(_as_written(value))
    except (ValueError, RecursionError):  # thousands of digits, or of tables in each other
        return "more than can be shown"


def _short(text: str, length: int = 80) -> str:
    text = _one_line(text)
    return text if len(text) <= length else f"{text[: length - 1]}…"


def _one_line(text: str) -> str:
    """Text that ends no line, moves no cursor and turns no direction, whatever it quotes."""
    return "".join(char if char.isprintable() else " " for char in text)


def _as_written(value: Any) -> str:
    """A value much as the file has it."""
    if isinstance(value, Range):
        value = asdict(value)
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {_as_written(each)}' for key, each in value.items())} }}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(_as_written, value))}]"
    if isinstance(value, str):
        return f'"{value}"'
    return str(value).lower() if isinstance(value, bool) else str(value)
