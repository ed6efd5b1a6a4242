"""Values as a TOML file writes them, so that reading the file gives them back."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from storagecalc.study.scenario.quantity import Range


def toml_value(value: Any) -> str:
    """A value of a scenario as TOML: text, number, truth, date, range, list, table on one line.

    Raises
    ------
    ValueError
        Where TOML has no such value.
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Range):
        return toml_value(asdict(value))
    if isinstance(value, str):
        return toml_text(value)
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        inside = ", ".join(f"{toml_key(key)} = {toml_value(each)}" for key, each in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(toml_value(each) for each in value)}]"
    raise ValueError(f"value must be text, number, date, range, list or table, got {value!r:.40}")


def toml_text(text: str) -> str:
    """A text in quotes; whatever would not show as itself is written as its number.

    Half a surrogate pair, which is no text, becomes the mark for a character that was lost.
    """
    return '"' + "".join(map(_quoted, text)) + '"'


def toml_key(key: str) -> str:
    """A key, in quotes where TOML asks for them."""
    bare = key and all(char.isascii() and (char.isalnum() or char in "_-") for char in key)
    return key if bare else toml_text(key)


def _quoted(char: str) -> str:
    if char in '"\\':
        return f"\\{char}"
    if 0xD800 <= ord(char) <= 0xDFFF:
        return "\N{REPLACEMENT CHARACTER}"
    if char.isprintable():
        return char
    return f"\\u{ord(char):04X}" if ord(char) < 0x10000 else f"\\U{ord(char):08X}"
