"""From a file to a scenario: every fault at once, with line, key, value, rule, nearest key."""

import copy
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from storagecalc.study.scenario.between_tables import breaches
from storagecalc.study.scenario.changes import Found, former_keys
from storagecalc.study.scenario.faults import Fault, ScenarioError, Verbatim, shortened, shown
from storagecalc.study.scenario.file import ScenarioFile, scenario_file
from storagecalc.study.scenario.misspelt import Corrected, corrected
from storagecalc.study.scenario.places import Places
from storagecalc.study.scenario.quantity import RANGE_KEYS
from storagecalc.study.scenario.readings import doubtful_numbers
from storagecalc.study.scenario.rules import rule_faults
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.wording import fault_from, is_rule_of_table


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
    file = scenario_file(Path(path))
    return _checked(file.tables, source=str(path), file=file)


def scenario_from(raw: Mapping[str, Any], *, source: str) -> Scenario:
    """The scenario in plain tables, as a TOML parser gives them.

    Raises
    ------
    ScenarioError
        With every fault, those between tables too; a former key is one fault with the new line.
    """
    return _checked(raw, source=source, file=ScenarioFile())


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


def _checked(raw: Mapping[str, Any], *, source: str, file: ScenarioFile) -> Scenario:
    former = tuple(former_keys(raw))
    told = {key for each in former for key in (each.key, each.new_key)} | file.unsound
    found = corrected(raw, former={each.key for each in former})
    file.places.moved.update(found.moved)
    doubts = list(doubtful_numbers(file.places))
    unsound = {*told, *found.unsound, *(fault.key for fault in doubts)}
    told_first = [*doubts, *map(_former_fault, former)]
    faults = [*_with_slips(told_first, file.faults), *found.faults]
    scenario = None
    try:
        scenario = Scenario.model_validate(found.tables)
    except ValidationError as error:
        faults += _inside(error, found, unsound)
    across = (Fault(key=key, value=value, rule=rule) for key, value, rule in breaches(found.tables))
    faults += [fault for fault in across if fault.key not in unsound]
    faults = _with_slips(faults, file.unquoted)
    if faults or scenario is None:
        raise ScenarioError(source, _in_order(faults, file.places))
    return scenario


def _former_fault(former: Found) -> Fault:
    """A key that is no more, with what to write instead; its value there where still wanted."""
    line = former.line.replace("VALUE", shown(former.value))
    rule = f"is now {shortened(former.new_key, 120)}: write {line}"
    return Fault(key=former.key, value=former.value, rule=rule)


def _with_slips(faults: list[Fault], slips: Sequence[Fault]) -> list[Fault]:
    """Slips of writing told too: as the value of what else is wrong with them, or alone."""
    written = {each.key: each.value for each in slips if isinstance(each.value, Verbatim)}
    said = written.keys() & {fault.key for fault in faults}
    told = [replace(fault, value=written.get(fault.key, fault.value)) for fault in faults]
    return [*told, *(each for each in slips if each.key not in said or each.value is None)]


def _inside(error: ValidationError, found: Corrected, unsound: set[str]) -> Iterator[Fault]:
    """What is wrong inside tables: key by key, then the rules that need no wrong key."""
    details = error.errors(include_url=False)
    of_keys = [detail for detail in details if not is_rule_of_table(detail)]
    by_key = [fault_from(detail) for detail in of_keys]
    wrong = unsound | {".".join(map(str, detail["loc"])) for detail in of_keys}
    rules = list(rule_faults(found.tables, Scenario, "", wrong))
    for fault in by_key:
        ends = (f"{fault.key}.{end}" for end in RANGE_KEYS)
        if unsound.isdisjoint((fault.key, *ends)):
            yield fault
    yield from rules
    if not (by_key or rules or unsound):
        yield from map(fault_from, details)


def _in_order(faults: list[Fault], places: Places) -> list[Fault]:
    """Faults with their lines, each once, in the order of the file; what has no line comes last."""
    placed = [
        fault if fault.line is not None else replace(fault, line=places.line_of(fault.key))
        for fault in faults
    ]
    once = {(fault.key, fault.rule): fault for fault in placed}
    return sorted(once.values(), key=lambda fault: (fault.line is None, fault.line or 0))


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
