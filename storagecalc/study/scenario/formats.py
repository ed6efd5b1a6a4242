"""What a scenario may name as a recording format: rates in a studio's units, and how to find one.

Cards and interfaces stand beside them: what must at least be written, and what passes at most.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from storagecalc.models.formats import (
    RecordingFormat,
    hours_per_tb,
    recording_format,
    recording_formats,
)
from storagecalc.models.tables import table
from storagecalc.models.units import BITS_PER_BYTE, BYTES_PER_GB, BYTES_PER_TB
from storagecalc.study.scenario.nearest import nearest_word
from storagecalc.study.scenario.scenario import Scenario

# Plain words for a raster, by its width in pixels, and for how a family packs its pictures.
RASTER_WORDS = {
    1280: "720p",
    1920: "hd fullhd fhd 1080p 1080i",
    3840: "uhd 4k 2160p",
    4096: "4k 2160p",
    6144: "6k",
    8192: "8k 4320p",
}
FAMILY_WORDS = {
    "RDD 36": "all-intra intraframe",
    "VC-3": "all-intra intraframe",
    "AVC intra": "all-intra intraframe",
    "v210": "all-intra intraframe uncompressed",
    "uncompressed": "all-intra intraframe",
    "long-GOP": "interframe",
    "PCM": "sound",
    "delivery": "upload web",
}
# What people write in two words, or with a hyphen.
ONE_WORD = {
    r"\b(\d+)[\s-]*bits?\b": r"\1bit",
    r"\b(\d)\s+k\b": r"\1k",
    r"\bfull[\s-]*hd\b": "fullhd",
    r"\bultra[\s-]*hd\b": "uhd",
    r"\ball[\s-]*intra\b": "all-intra",
    r"\blong[\s-]*gop\b": "long-gop",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FormatRow:
    """One recording format, with what an hour of it weighs."""

    format: RecordingFormat
    gb_per_h: float
    hours_per_tb: float

    @property
    def words(self) -> str:
        """What a search looks through: key, label, family, kind of rate, and plain words."""
        found = self.format
        words = [found.key, found.label, found.family, found.rate_kind, *_plain_words(found)]
        return " ".join(words).casefold()

    def has(self, word: str) -> bool:
        """Whether a word, in lower case, occurs: from the start of one, so "hd" is not in "uhd"."""
        start = r"(?<![^\W_])" if word[:1].isalnum() else ""
        return re.search(start + re.escape(word), self.words) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ceiling:
    """A card class (what it writes at least) or an interface (what passes at most)."""

    key: str
    label: str
    mb_s: float
    mbit_s: float
    needs: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RateSpread:
    """A kind of work whose files are known to differ from the nominal rate of their format."""

    work: str
    format: RecordingFormat
    real_fraction_low: float
    real_fraction_middle: float
    real_fraction_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What a search for recording formats comes to.

    ``asked`` are the words looked for; ``unknown`` those that occur nowhere, each with the nearest
    that does, if one is near; ``counts`` tells for each known word how many formats have it.
    """

    rows: tuple[FormatRow, ...]
    asked: tuple[str, ...]
    unknown: tuple[tuple[str, str | None], ...]
    counts: tuple[tuple[str, int], ...]


@cache
def format_rows() -> tuple[FormatRow, ...]:
    """Every recording format of the table, in its order."""
    return tuple(_row(found) for found in recording_formats())


def search(words: Sequence[str]) -> Search:
    """The recording formats in which all the words occur, whatever their case.

    Parameters
    ----------
    words
        Beginnings of words in key, label, family or how the rate is defined, or plain words: 4k,
        full hd, 10 bit, all-intra; blanks separate words, and an empty word asks for nothing.
    """
    text = " ".join(words).casefold()
    for written, one_word in ONE_WORD.items():
        text = re.sub(written, one_word, text)
    asked = tuple(dict.fromkeys(text.split()))
    counts = tuple((word, sum(row.has(word) for row in format_rows())) for word in asked)
    unknown = tuple(
        (word, nearest_word(word, _known_words())) for word, count in counts if not count
    )
    rows = tuple(row for row in format_rows() if all(map(row.has, asked)))
    return Search(
        rows=rows,
        asked=asked,
        unknown=unknown,
        counts=tuple(pair for pair in counts if pair[1]),
    )


def card_classes() -> tuple[Ceiling, ...]:
    """Speed classes of cards: the least they promise to write."""
    return _ceilings("card_classes", "minimum_write_mb_s")


def interfaces() -> tuple[Ceiling, ...]:
    """Interfaces of cards, readers and drives: the most that passes."""
    return _ceilings("interfaces", "ceiling_mb_s")


def rate_spreads(scenario: Scenario) -> tuple[RateSpread, ...]:
    """Kinds of work with a format whose files are known to differ, where the file does not say so.

    The first such format of each kind of work, its own before those of its dated changes.
    """
    found = []
    for name, work in scenario.work.items():
        if "real_rate_fraction" in work.model_fields_set:
            continue
        keys = [work.format, *(change.format for change in work.changes)]
        spread = next(_known_spreads([key for key in keys if key is not None], name), None)
        found += [spread] if spread is not None else []
    return tuple(found)


def _known_spreads(keys: Sequence[str], work: str) -> Iterator[RateSpread]:
    for key in keys:
        found = recording_format(key)
        low, high = found.real_fraction_low, found.real_fraction_high
        if low is None or high is None or low == high == 1.0:
            continue
        yield RateSpread(
            work=work,
            format=found,
            real_fraction_low=low,
            real_fraction_middle=(low + high) / 2,
            real_fraction_high=high,
        )


def _row(found: RecordingFormat) -> FormatRow:
    hours = float(hours_per_tb(mbit_s=found.mbit_s))
    return FormatRow(format=found, gb_per_h=BYTES_PER_TB / BYTES_PER_GB / hours, hours_per_tb=hours)


def _ceilings(name: str, column: str) -> tuple[Ceiling, ...]:
    return tuple(
        Ceiling(
            key=row["key"],
            label=row["label"],
            mb_s=float(row[column]),
            mbit_s=float(row[column]) * BITS_PER_BYTE,
            needs=row.get("needs_bus", ""),
            status=row["kind"],
        )
        for row in table(name)
    )


@cache
def _known_words() -> tuple[str, ...]:
    """Every word one could search for: parts of keys, and words of labels and families."""
    words: dict[str, None] = {}
    for row in format_rows():
        key, rest = row.words.split(" ", 1)
        parts = [*key.split("_"), *(part.strip("(),") for part in rest.split())]
        words |= dict.fromkeys(part for part in parts if part)
    return tuple(words)


def _plain_words(found: RecordingFormat) -> Iterator[str]:
    """What people call a format by, from its raster, depth, sampling, frame rate and family."""
    yield RASTER_WORDS.get(found.width_px or 0, "")
    yield next((words for family, words in FAMILY_WORDS.items() if family in found.family), "")
    yield found.sampling.replace(":", "")
    if found.bit_depth is not None:
        yield f"{found.bit_depth}bit"
    if found.frames_per_s is not None:
        yield f"{found.frames_per_s:.0f}p {found.frames_per_s:.0f}fps"
