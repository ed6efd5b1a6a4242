"""What is wrong in a scenario, and how it is told: where it stands, what stands there, the rule."""

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, time
from numbers import Real
from typing import Any

from storagecalc.study.scenario.quantity import Range

# An entry of a list in a dotted key, which counts from 0: keep.films.steps.0.
IN_A_LIST = re.compile(r"(?P<owner>.+)\.(?P<entry>[a-z_]+)s\.(?P<place>\d+)(?=\.|$)")


class Verbatim(str):
    """Characters of a file that are shown as they stand there, without quotes around them."""

    __slots__ = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong in a scenario: where, what stands there, and the rule it breaks.

    ``line`` counts from 1; None where there is no file, or nothing of it in the file.
    """

    key: str
    value: Any
    rule: str
    line: int | None = None

    def __str__(self) -> str:
        line = "" if self.line is None else f"line {self.line}, "
        value = "" if self.value is None else f" = {shown(self.value)}"
        key, rule = shortened(self.key, 120), shortened(self.rule, 1000)
        return f"{line}{_entry_words(self.key)}{key}{value}: {rule}"


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
        super().__init__(
            "\n".join([f"{shortened(source, 300)}: {count}, nothing was computed.", *lines])
        )


def shortened(text: str, length: int = 80) -> str:
    """Text on one line, without what would not print, cut where it is longer."""
    text = "".join(char if char.isprintable() else " " for char in text[: length + 1])
    return text if len(text) <= length else f"{text[: length - 1]}…"


def _entry_words(key: str) -> str:
    """Which entry of a list a key is about, as people count: "step 1 of keep.films, "."""
    found = IN_A_LIST.match(key[:1000])
    if found is None:
        return ""
    owner = shortened(found["owner"], 60)
    return f"{found['entry']} {int(found['place'][:9]) + 1} of {owner}, "


def shown(value: Any) -> str:
    """A value much as the file has it, on one line and cut where it is longer."""
    try:
        return shortened(_as_written(value))
    except (ValueError, RecursionError):  # thousands of digits, or of tables in each other
        return "more than can be shown"


def _as_written(value: Any) -> str:
    """A value much as the file has it."""
    if isinstance(value, Verbatim):
        return str(value)
    if isinstance(value, Range):
        value = asdict(value)
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {_as_written(each)}' for key, each in value.items())} }}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(_as_written, value))}]"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (Real, date, time)):
        return str(value)
    return "nothing" if value is None else "something that no file can hold"
