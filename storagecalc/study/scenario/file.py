"""A scenario file: its tables, where each key stands, and what is wrong before any rule is asked.

A line that TOML does not read is told and left out, so that the rest is checked at once.
"""

import re
import stat
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

from storagecalc.study.scenario.faults import Fault, ScenarioError, Verbatim, shortened
from storagecalc.study.scenario.places import Places, places_in
from storagecalc.study.scenario.slips import put_right

LARGEST_FILE_BYTES = 300_000
# Lines that TOML does not read; a file with more of them is no scenario.
MOST_UNREAD_LINES = 20
MOST_SLIPS = 100
AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
PART = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
KEY = re.compile(rf"\s*({PART}(?:\s*\.\s*{PART})*)")
# How the parser's messages begin, and the same in plain words.
PLAIN = {
    "Expected newline": "something stands behind the value that does not belong there",
    "Invalid value": "the value is no number, date, text in quotes, true or false",
    "Expected '='": "a line is written key = value",
    "Invalid initial": "a key has letters, digits, _ and - only, or stands in quotes",
    "Invalid statement": "a key has letters, digits, _ and - only, or stands in quotes",
    "Unterminated string": "a quote is opened and never closed",
    "Illegal character": "a text has to end on its line, with the quote that it began with",
    "Found invalid character": "there is a character in it that no text file has",
    "Expected '\\n'": "there is a character in it that no text file has",
    "Invalid date": "there is no such day; a date is written 2027-01-31",
    "Unescaped": "in a text write two backslashes for one",
    "Escaped": "in a text write two backslashes for one",
    "Invalid hex": "in a text write two backslashes for one",
    "Expected ']": "a heading ends with as many brackets as it began with",
    "Unclosed array": "a list is not closed with ], or a comma is missing between its entries",
    "Unclosed inline": "a table in braces is not closed with }, or a comma is missing in it",
}
# What is wrong with these is in their own line, so that the rest can be read without it.
IN_ITS_LINE = ("Expected newline", "Invalid value", "Expected '='", "Invalid initial",
               "Invalid statement", "Illegal character", "Cannot overwrite", "Invalid date",
               "Unescaped", "Escaped", "Invalid hex", "Found invalid")  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioFile:
    """What a file holds, and the faults of its writing.

    ``unquoted`` are words that may lack their quotes only; ``unsound`` are dotted keys of whose
    value nothing can be said.
    """

    tables: dict[str, Any] = field(default_factory=dict)
    places: Places = field(default_factory=Places)
    faults: tuple[Fault, ...] = ()
    unquoted: tuple[Fault, ...] = ()
    unsound: frozenset[str] = frozenset()


def scenario_file(path: Path) -> ScenarioFile:
    """A file as far as it can be read.

    Raises
    ------
    ScenarioError
        Where it cannot be read at all, or not far enough to check the rest.
    """
    text, slips = put_right(_text_of(path))
    tables, left, unread = _parsed(path, text)
    places = places_in(left)
    key_at = {place.start: key for key, place in places.by_key.items()}
    hidden = places_in(text) if any(slip.start not in key_at for slip in slips) else places
    faults, unquoted = list(unread), list[Fault]()
    unsound = {fault.key for fault in unread}
    for slip in slips[:MOST_SLIPS]:
        key = key_at.get(slip.start) or _key_of(text, hidden, slip.line)
        fault = Fault(key=key, value=Verbatim(slip.raw), rule=slip.rule, line=slip.line)
        (unquoted if slip.word else faults).append(fault)
        if slip.open:
            unsound.add(key)
    if tables is None:
        found = [*faults, *unquoted]
        raise ScenarioError(str(path), sorted(found, key=lambda fault: fault.line or 0))
    return ScenarioFile(
        tables=tables,
        places=places,
        faults=tuple(faults),
        unquoted=tuple(unquoted),
        unsound=frozenset(unsound),
    )


def _parsed(path: Path, text: str) -> tuple[dict[str, Any] | None, str, list[Fault]]:
    """The tables of a text, the text without the lines that cannot be read, and their faults.

    No tables where what is left cannot be read either.
    """
    unread: list[Fault] = []
    while True:
        try:
            return tomllib.loads(text), text, unread
        except tomllib.TOMLDecodeError as reason:
            fault = _unread(text, str(reason))
            unread.append(fault)
            line = fault.line
            if line is None or not str(reason).startswith(IN_ITS_LINE):
                return None, text, unread
            lines = text.split("\n")
            if len(unread) > MOST_UNREAD_LINES or lines[line - 1].lstrip().startswith(("[", "{")):
                return None, text, unread
            lines[line - 1] = " " * len(lines[line - 1])  # all else stays where it is
            text = "\n".join(lines)
        except RecursionError:
            _stop(path, "has tables or lists nested too deeply; a scenario needs four levels")
        except ValueError:  # what Python says of a number that it will not read
            _stop(path, "has a number of thousands of digits; write it with fewer")


def _unread(text: str, reason: str) -> Fault:
    """What the parser stumbled over, in plain words, with the line and its key."""
    at = AT_LINE.search(reason)
    line = int(at[1]) if at is not None else text.count("\n") + 1
    places = places_in(text)
    earlier = places.repeats.get(line)
    key = ".".join(earlier.way) if earlier is not None else _key_of(text, places, line)
    if reason.startswith(("Cannot", "Duplicate")):
        where = f"in line {earlier.line}" if earlier is not None else "further up"
        rule = f"it stands {where} already; keep one of the two"
        return Fault(key=key, value=None, rule=f"is not valid TOML: {rule}", line=line)
    plain = [words for begins, words in PLAIN.items() if reason.startswith(begins)]
    rule = plain[0] if plain else "write key = value, text in quotes, numbers with a point"
    if at is None:
        rule += "; it was looked for up to the end of the file"
    shown = shortened(text.split("\n")[line - 1].strip(), 60)
    seen = f" ({shown})" if shown else ""
    return Fault(key=key, value=None, rule=f"is not valid TOML: {rule}{seen}", line=line)


def _key_of(text: str, places: Places, line: int) -> str:
    """The dotted key that a line is about; the line itself where it begins with none."""
    lines = text.split("\n")
    found = [key for key, place in places.by_key.items() if place.line == line]
    if found:
        return found[-1]
    heading = next((each for each in reversed(lines[: line - 1]) if each.startswith("[")), "")
    own = KEY.match(lines[line - 1]) if line <= len(lines) else None
    parts = [heading.strip("[] \r").split("]")[0], own[1] if own is not None else ""]
    return ".".join(part for part in parts if part) or "the file"


def _text_of(path: Path) -> str:
    try:
        kind = path.stat()
        if stat.S_ISDIR(kind.st_mode):
            _stop(path, "is a directory; name the scenario file in it")
        if not stat.S_ISREG(kind.st_mode):
            _stop(path, "is a device or a pipe; name a file on a disk")
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
        if len(content) > LARGEST_FILE_BYTES:
            _stop(path, f"is larger than {LARGEST_FILE_BYTES:,} bytes; a scenario has a few pages")
        # Some editors begin a file with a mark of its encoding.
        return content.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except ScenarioError:
        raise
    except FileNotFoundError:
        _stop(path, "does not exist; check the spelling and the folder")
    except OSError as reason:
        _stop(path, f"cannot be read: {reason.strerror}")
    except UnicodeDecodeError:
        _stop(path, "is not UTF-8 text, so it is no TOML file; save it as UTF-8 in a text editor")
    except ValueError:
        _stop(path, "has a name that no file can have")


def _stop(path: Path, rule: str) -> NoReturn:
    raise ScenarioError(str(path), [Fault(key="the file", value=None, rule=rule)])
