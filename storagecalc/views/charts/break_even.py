"""The bar of a quantity from low to high: where today lies, and where the decision changes.

Places are shares of the bar's width, so that it stretches with whatever stands over it.
"""

import itertools

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
        node("span", class_=kind, style=f"{_at(each, start)};width:{100 * width:.1f}%")
        for start, width, kind in _stretches(each, found)
    ]
    ends = [node("span", low, class_="sc-low"), node("span", high, class_="sc-high")]
    return [*beyond, *_values(each), *today, *ends]


def _values(each: BreakEven) -> list[Node]:
    """The values at the crossings, the nearest to today first; what would touch is left out."""
    told: list[Node] = []
    places: list[float] = []
    both = zip(each.crossings, crossing_values(each), strict=True)
    for crossing, words in sorted(both, key=lambda pair: abs(pair[0].value - each.today)):
        place = _share(each, crossing.value)
        if all(abs(place - other) >= APART_FRACTION for other in places):
            told.append(node("span", words, class_="sc-at", style=_at(each, crossing.value)))
            places.append(place)
    return told


def _stretches(each: BreakEven, found: Verdict) -> list[tuple[float, float, str]]:
    """Where each stretch begins in which something else holds, its share of the bar, its kind."""
    edges = [each.low, *(crossing.value for crossing in each.crossings), each.high]
    told = []
    for number, (start, end) in enumerate(itertools.pairwise(edges)):
        kind = _kind(each, number, found)
        if kind:
            told.append((start, _share(each, end) - _share(each, start), kind))
    return told


def _kind(each: BreakEven, number: int, found: Verdict) -> str:
    """How a stretch differs from today: worse, better, or nothing where it does not."""
    below = sum(one.side == "below" for one in each.crossings)
    if number == below:
        return ""
    beyond = each.crossings[number if number < below else number - 1]
    chosen = found.recommended
    if beyond.recommended.key != chosen.build.key:
        return "sc-beyond"
    if beyond.meets_needs == chosen.meets_needs:
        return ""
    return "sc-better" if beyond.meets_needs else "sc-beyond"


def _at(each: BreakEven, value: float) -> str:
    return f"left:{100 * _share(each, value):.1f}%"


def _share(each: BreakEven, value: float) -> float:
    return (value - each.low) / ((each.high - each.low) or 1.0)
