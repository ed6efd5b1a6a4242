"""Where each key of a scenario file stands, and the characters of its value, which a parser drops.

Reads any text: one that is no TOML only has fewer places.
"""

import contextlib
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

TOKEN = re.compile(
    r"""(?P<blank>[ \t\r]+|\#[^\n]*)
    |(?P<newline>\n)
    |(?P<text>\"{3}(?:\\[\s\S]|[^\\])*?\"{3}(?!\") | '{3}[\s\S]*?'{3}(?!')
        | \"(?:\\.|[^\"\\\n])*\" | '[^'\n]*')
    |(?P<mark>[\[\]{}=,])
    |(?P<bare>[^\s\#\"'\[\]{}=,]+)
    |(?P<other>.)""",
    re.VERBOSE,
)
# No way of a scenario is longer; tables above a key are noted so far.
DEEPEST = 8


class Token(NamedTuple):
    """One piece of a file: what it is, its characters, its line from 1, where it begins."""

    kind: str
    text: str
    line: int
    start: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where a value stands: its way, line, offset in the text, and characters (none of a table)."""

    way: tuple[str, ...]
    line: int
    start: int = -1
    raw: str = ""


@dataclass(frozen=True, slots=True)
class Places:
    """The places of a file by dotted key; ``repeats`` has the lines of keys that stand there twice.

    ``moved`` tells where a key stands that the file calls by another name.
    """

    by_key: dict[str, Place] = field(default_factory=dict)
    repeats: dict[int, Place] = field(default_factory=dict)
    moved: dict[str, str] = field(default_factory=dict)

    def line_of(self, key: str) -> int | None:
        """The line of a key, or of the table it belongs in; None where neither stands there."""
        for above in _prefixes(key):
            if above in self.moved:
                key = self.moved[above] + key[len(above) :]
                break
        found = (self.by_key[above].line for above in _prefixes(key) if above in self.by_key)
        return next(found, None)

    def note(self, way: tuple[str, ...], line: int, start: int = -1, raw: str = "") -> None:
        """Note a place, and where nothing is known of them the tables above it."""
        for depth in range(1, min(len(way), DEEPEST)):
            self.by_key.setdefault(".".join(way[:depth]), Place(way[:depth], line))
        key = ".".join(way)
        if key not in self.by_key:
            self.by_key[key] = Place(way, line, start, raw)
        elif start >= 0 or self.by_key[key].line != line:
            self.repeats[line] = self.by_key[key]


def _prefixes(key: str) -> Iterator[str]:
    """A dotted key and those of the tables above it, the longest first."""
    while key:
        yield key
        key = key.rpartition(".")[0]


def places_in(text: str) -> Places:
    """The places of all keys in a text."""
    reader = _Reader(text)
    with contextlib.suppress(IndexError, RecursionError):  # it ends too early, or goes too deep
        reader.read()
    return reader.found


class _Reader:
    def __init__(self, text: str) -> None:
        self.tokens = [token for token in _tokens(text) if token.kind != "blank"]
        self.next = 0
        self.found = Places()
        self.entries: dict[tuple[str, ...], int] = {}

    def read(self) -> None:
        heading: tuple[str, ...] = ()
        while self.next < len(self.tokens):
            token = self.tokens[self.next]
            if token.kind == "newline":
                self.next += 1
            elif token.text == "[":
                heading = self._heading(token.line)
            else:
                way = heading + self._parts("=", "\n")
                if self.tokens[self.next - 1].text == "=":
                    self._value(way)
                self._skip_to("\n")

    def _heading(self, line: int) -> tuple[str, ...]:
        several = self.tokens[self.next + 1].text == "["
        self.next += 1 + several
        way: tuple[str, ...] = ()
        parts = self._parts("]", "\n")
        for place, part in enumerate(parts):
            way = (*way, part)
            if several and place == len(parts) - 1:
                self.entries[way] = self.entries.get(way, -1) + 1
            if way in self.entries:
                way = (*way, str(self.entries[way]))
        self._skip_to("\n")
        self.found.note(way, line)
        return way

    def _parts(self, *ends: str) -> tuple[str, ...]:
        """The parts of a dotted key up to a mark, which is taken too."""
        parts: list[str] = []
        while True:
            token = self.tokens[self.next]
            self.next += 1
            if token.text in ends:
                return tuple(parts)
            if token.kind == "text":
                parts.append(_unquoted(token.text))
            elif token.kind in ("bare", "other"):
                parts += [part for part in token.text.split(".") if part]

    def _value(self, way: tuple[str, ...]) -> None:
        token = self.tokens[self.next]
        if token.text not in ("{", "["):
            if token.kind != "newline":
                self.next += 1
                self.found.note(way, token.line, token.start, token.text)
            while self.tokens[self.next].kind == "bare":  # a day, a blank and the time of day
                self.next += 1
            return
        self.next += 1
        self.found.note(way, token.line, token.start)
        end, place = "}" if token.text == "{" else "]", 0
        while self.tokens[self.next].text != end:
            if self.tokens[self.next].text in (",", "\n"):
                self.next += 1
            elif end == "]":
                self._value((*way, str(place)))
                place += 1
            else:
                self._value(way + self._parts("=", "\n"))
        self.next += 1

    def _skip_to(self, end: str) -> None:
        while self.next < len(self.tokens) and self.tokens[self.next].text != end:
            self.next += 1


def _tokens(text: str) -> Iterator[Token]:
    line = 1
    for found in TOKEN.finditer(text):
        piece = found.group()
        yield Token(str(found.lastgroup), piece, line, found.start())
        line += piece.count("\n")


def _unquoted(text: str) -> str:
    try:
        return str(tomllib.loads(f"x = {text}")["x"])
    except tomllib.TOMLDecodeError:
        return text.strip("\"'")
