"""What drawings share: colours, letters, stacks of dots, labels that keep clear of one another."""

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from storagecalc.views.page.nodes import Node, node

FONT = '"Helvetica Neue", Arial, "Liberation Sans", sans-serif'
TEXT, SOFT, AXIS, HAIR = "#1A1A1A", "#595959", "#8A8A8A", "#DDDDDD"
CHOSEN, OTHER, NAME, TINT = "#0C2538", "#6F6F6F", "#444444", "#EEF3F7"
FOOTAGE, BAND = "#00735A", "#D9EEE7"
MORE, LESS, SHADE = "#B45309", "#4F7EA3", "#F3F3F3"
# Widths of letters in thousandths of their height, as the widest of the usual fonts has them.
LETTER_WIDTHS = {
    **dict.fromkeys("ijlI|'", 290),
    **dict.fromkeys(" .,:;!/[]-·", 340),
    **dict.fromkeys("frtJ()", 400),
    **dict.fromkeys("cksvxyzFL", 575),
    **dict.fromkeys("ABCDEGHKNOPQRSTUVXYZ&", 710),
    **dict.fromkeys("mMwW%+−…@", 950),
}
USUAL_WIDTH, WIDE, UNKNOWN = 632, 1000, 700
BOLD = 1.12
# Of letters, px, where nothing else is said.
SIZE = 12


@lru_cache(maxsize=2000)
def text_px(words: str, size: float, *, bold: bool = False) -> float:
    """About how wide words are, in px; rather too wide than too narrow."""
    total = sum(_letter(letter) for letter in words)
    return total / 1000 * size * (BOLD if bold else 1.0)


def _letter(letter: str) -> int:
    if letter in LETTER_WIDTHS:
        return LETTER_WIDTHS[letter]
    if letter.isascii():
        return USUAL_WIDTH
    if unicodedata.combining(letter) or unicodedata.category(letter) == "Cf":
        return 0
    return WIDE if unicodedata.east_asian_width(letter) in "WF" else UNKNOWN


@lru_cache(maxsize=500)
def cut(words: str, room_px: float, size: float, *, bold: bool = False) -> str:
    """Words as far as they fit, with "…" where some are left out."""
    if text_px(words, size, bold=bold) <= room_px:
        return words
    kept = words
    while kept and text_px(f"{kept}…", size, bold=bold) > room_px:
        kept = kept[:-1]
    return f"{kept.rstrip(' ,·')}…"


def wrapped(words: str, room_px: float, size: float) -> list[str]:
    """Bold words on one line where they fit, else on two."""
    first = words
    while " " in first and text_px(first, size, bold=True) > room_px:
        first = first.rpartition(" ")[0]
    rest = words[len(first) :].strip()
    return [first, rest] if rest else [first]


def text(words: str, x: float, y: float, **look: Any) -> Node:
    """Words at a place; 12 px and dark where nothing else is said."""
    return node("text", words, **{"x": float(x), "y": float(y), **look})


def bold(words: str, x: float, y: float, **look: Any) -> Node:
    """The same in bold."""
    return text(words, x, y, font_weight="bold", **look)


def line(x1: float, y1: float, x2: float, y2: float, color: str, **look: Any) -> Node:
    """A straight line."""
    ends = {"x1": float(x1), "y1": float(y1), "x2": float(x2), "y2": float(y2)}
    return node("line", **ends, stroke=color, **look)


def round_step(least: float) -> float:
    """The least of 1, 2 and 5 with zeros that is not below a number above 0."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * part for part in (1, 2, 5, 10) if power * part >= least * (1 - 1e-9))


def drawing(width: float, height: float, label: str, *children: Any) -> Node:
    """A drawing of that many px, with what it shows in words for those who cannot see it."""
    return node(
        "svg",
        *children,
        xmlns="http://www.w3.org/2000/svg",
        width=float(width),
        height=float(height),
        viewBox=f"0 0 {width:g} {height:g}",
        role="img",
        aria_label=label,
        direction="ltr",
        font_family=FONT,
        font_size=SIZE,
        fill=TEXT,
    )


Box = tuple[float, float, float, float]


@dataclass(slots=True)
class Labels:
    """Places taken by labels, and what labels had better not cross: level lines, then curves.

    Boxes are left, top, right and bottom. A curve is its heights at even distances from the left
    end to the right.
    """

    left: float
    right: float
    top: float
    bottom: float
    lines: Sequence[float] = ()
    curves: Sequence[Sequence[float]] = ()
    taken: list[Box] = field(default_factory=list)

    def place(self, words: str, height: float, *, start: float = 0.0) -> tuple[float, float] | None:
        """Where words for a line at a height stand free: start and baseline; None without room.

        Above the line at the left where nothing is in the way, then further right, then below it;
        across a curve, or even a line, only where nothing else is left.
        """
        wide = text_px(words, SIZE)
        begin = max(self.left + 8, start)
        steps = range(max(0, int((self.right - wide - begin) // 24) + 1))
        found, least = None, 3
        for baseline in (height - 4, height + SIZE + 1):
            for step in steps:
                left = begin + 24 * step
                box = (left, baseline - SIZE + 2, left + wide, baseline + 3)
                crossed = self._crossed(box) if self.is_free(box) else least
                if crossed < least:
                    found, least = box, crossed
                if not least:
                    break
        if found is None:
            return None
        self.taken.append(found)
        return found[0], found[3] - 3

    def is_free(self, box: Box) -> bool:
        """Whether a place lies inside and touches no other label."""
        left, top, right, bottom = box
        return (
            top >= self.top
            and bottom <= self.bottom
            and all(
                right + 6 < taken[0] or left - 6 > taken[2] or bottom < taken[1] or top > taken[3]
                for taken in self.taken
            )
        )

    def _crossed(self, box: Box) -> int:
        """0 where nothing is crossed, 1 where a curve is, 2 where a line is."""
        left, top, right, bottom = box
        if any(top < height < bottom for height in self.lines):
            return 2
        for curve in self.curves:
            share = len(curve) / (self.right - self.left)
            begin = max(0, int((left - self.left) * share))
            part = curve[begin : int((right - self.left) * share) + 2]
            if part and min(part) < bottom and max(part) > top:
                return 1
        return 0


def circles(places: Sequence[tuple[float, float]], radius: float) -> list[Node]:
    """Dots of one size. Written out, as there are many and a slider's move waits for them."""
    size = f"{radius:.1f}"
    return [["circle", {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": size}, []] for x, y in places]


def stacks(
    places: Sequence[float],
    *,
    left: float,
    right: float,
    bin_px: float,
    pitch: float,
    rows: int,
    first: float = 0.0,
) -> list[tuple[float, int]]:
    """Where dots stand: the centre of each, and how many stand below it in its column.

    Dots of one bin stand over its middle, so many to a column; a fuller bin has several. Where
    columns of neighbours would touch, they make room; none leaves the axis.

    Parameters
    ----------
    places
        Exact places of the dots in px, ascending.
    left, right
        The ends of the axis.
    bin_px
        Width of one bin, the first beginning at the left end.
    pitch
        From dot to dot, in px.
    rows
        Most dots in a column.
    first
        Where the first column may begin, where that is not the left end.
    """
    by_bin: dict[int, int] = {}
    for place in places:
        number = int((min(max(place, left), right - 0.01) - left) / bin_px + 1e-9)
        by_bin[number] = by_bin.get(number, 0) + 1
    spans = []
    end = max(left, first)
    for number, count in by_bin.items():
        wide = -(-count // rows) * pitch
        start = max(end, left + (number + 0.5) * bin_px - wide / 2)
        end = start + wide
        spans.append((start, wide, count))
    found: list[tuple[float, int]] = []
    limit = right
    for start, wide, count in reversed(spans):
        limit = min(start, limit - wide)
        found = [
            *((limit + (dot // rows + 0.5) * pitch, dot % rows) for dot in range(count)),
            *found,
        ]
    # Where there is no room for all of them they rather leave the axis at its far end.
    beyond = max(0.0, max(left, first) - limit) if spans else 0.0
    return [(x + beyond, row) for x, row in found]
