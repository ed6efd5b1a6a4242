"""The bar of a quantity from low to high: where today lies, and where the decision changes.

Places are shares of the bar's width, so that it stretches with whatever stands over it.
"""

import itertools
from typing import Any

from storagecalc.study.decision.break_even import BreakEven
from storagecalc.study.decision.verdict import Verdict
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text.break_even import crossing_values, end_values

# Values at crossings nearer to each other than this part of the bar would touch.
APART_FRACTION = 0.1


def bar(each: BreakEven, found: Verdict, *, slides: bool) -> list[Node]:
    """What is drawn over or under a slider's track.

    Parameters
    ----------
    each
        The quantity's crossings.
    found
        Today's verdict.
    slides
        Whether a slider stands there, whose thumb shows today.
    """
    low, high = end_values(each)
    today = [] if slides else [node("span", class_="sc-today", style=_at(each, each.today))]
    beyond = [
        node("span", class_="sc-beyond", style=f"{_at(each, start)};width:{100 * width:.1f}%")
        for start, width in _stretches(each, found)
    ]
    ends = [node("span", low, class_="sc-low"), node("span", high, class_="sc-high")]
    return [*beyond, *_values(each), *today, *ends]


def _values(each: BreakEven) -> list[Node]:
    """The values at the crossings, those left out that would stand on the one before."""
    told, last = [], -1.0
    for crossing, words in zip(each.crossings, crossing_values(each), strict=True):
        place = _share(each, crossing.value)
        if place - last >= APART_FRACTION:
            told.append(node("span", words, class_="sc-at", style=_at(each, crossing.value)))
            last = place
    return told


def _stretches(each: BreakEven, found: Verdict) -> list[tuple[float, float]]:
    """Where each stretch begins in which the decision is another, and its share of the bar."""
    edges = [each.low, *(crossing.value for crossing in each.crossings), each.high]
    pairs = list(itertools.pairwise(edges))
    return [
        (start, _share(each, end) - _share(each, start))
        for number, (start, end) in enumerate(pairs)
        if _differs(each, number, found)
    ]


def _differs(each: BreakEven, number: int, found: Verdict) -> bool:
    """Whether what holds in a stretch is other than today; a crossing tells what lies beyond it."""
    below = [one for one in each.crossings if one.side == "below"]
    if number == len(below):
        return False
    side: Any = each.crossings[number] if number < len(below) else each.crossings[number - 1]
    chosen = found.recommended
    return bool(side.recommended.key != chosen.build.key or side.meets_needs != chosen.meets_needs)


def _at(each: BreakEven, value: float) -> str:
    return f"left:{100 * _share(each, value):.1f}%"


def _share(each: BreakEven, value: float) -> float:
    return (value - each.low) / ((each.high - each.low) or 1.0)
