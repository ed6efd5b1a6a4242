"""What others cost more than the recommended: twenty dots against a zero, and bars by year."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from storagecalc.study.decision.room import twenty_futures
from storagecalc.study.decision.verdict import LEAST_COST, gap_by_draw, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.charts.drawing import (
    AXIS,
    CHOSEN,
    HAIR,
    LESS,
    MORE,
    OTHER,
    SHADE,
    SIZE,
    SOFT,
    TEXT,
    bold,
    circles,
    cut,
    drawing,
    line,
    round_step,
    stacks,
    text,
    text_px,
    wrapped,
)
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text import difference as words
from storagecalc.views.text.lanes import lane_name
from storagecalc.views.text.numbers import plain

NARROW_PX = 600
# About so many steps of money from end to end, and two bins a step.
STEPS, BINS_PER_STEP = 8, 2
# A frame that is this many times what is needed is too wide.
TOO_WIDE = 3.0
# Room above the lanes for what the sides of the zero mean, and below for the amounts.
HEAD_PX, FOOT_PX = 20.0, 24.0
PITCH = 9.0
# Bars: the most a bar rises or falls, the room of a label, and of one bar lying.
BAR_PX, LABEL_PX, LYING_PX = 104.0, 16.0, 22.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GapFrame:
    """What stands still while a slider moves: the ends of the axis of money, and its step."""

    low_cost: float
    high_cost: float
    step_cost: float


def gap_frame(evaluations: Sequence[Evaluation]) -> GapFrame:
    """A frame in round steps for all others of one or several evaluations; zero lies inside."""
    ends = [_ends(evaluation) for evaluation in evaluations]
    low, high = min(low for low, _ in ends), max(high for _, high in ends)
    step = round_step(max(high - low, 1.0) / STEPS)
    return GapFrame(
        low_cost=step * min(math.floor(low / step), -1),
        high_cost=step * max(math.ceil(high / step), 1),
        step_cost=step,
    )


def gap_fits(evaluation: Evaluation, frame: GapFrame) -> bool:
    """Whether all dots of an evaluation lie in a frame, and are not crowded together in it."""
    low, high = _ends(evaluation)
    whole = frame.high_cost - frame.low_cost
    inside = frame.low_cost <= low and high <= frame.high_cost
    return inside and whole <= TOO_WIDE * max(high - low, 3 * frame.step_cost)


def _ends(evaluation: Evaluation) -> tuple[float, float]:
    """The least and the most that any other costs more, zero among them."""
    chosen = verdict(evaluation).recommended.build
    dots = [
        dot
        for build in evaluation.builds
        if build is not chosen
        for dot in twenty_futures(gap_by_draw(chosen, build))
    ]
    return min([0.0, *dots]), max([0.0, *dots])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axis:
    """The axis of money in px, and where its lanes stand."""

    left: float
    right: float
    lane: float
    lanes: int
    frame: GapFrame

    @property
    def bottom(self) -> float:
        return HEAD_PX + self.lane * self.lanes

    @property
    def cost_px(self) -> float:
        return (self.right - self.left) / (self.frame.high_cost - self.frame.low_cost)

    def x(self, cost: float) -> float:
        inside = min(max(cost, self.frame.low_cost), self.frame.high_cost)
        return self.left + (inside - self.frame.low_cost) * self.cost_px


def gap_dots(
    evaluation: Evaluation, width: float, frame: GapFrame, *, rivals: Sequence[BuildResult]
) -> Node:
    """What rivals cost more than the recommended, twenty dots a rival against a marked zero.

    Parameters
    ----------
    evaluation
        Without a grid.
    width
        Of the drawing, px.
    frame
        From ``gap_frame``: what stands still while a slider moves.
    rivals
        Alternatives of the evaluation, one lane each; one alone needs no label beside it.
    """
    chosen = verdict(evaluation).recommended.build
    labelled, narrow = len(rivals) > 1, width < NARROW_PX
    left = 24.0
    if labelled and not narrow:
        left = min(266.0, 94 + 0.152 * width)
    lane = 66.0 if not labelled else 72.0 if narrow else 50.0
    axis = _Axis(left=left, right=width - 28, lane=lane, lanes=len(rivals), frame=frame)
    return drawing(
        width,
        axis.bottom + FOOT_PX,
        words.gap_summary(evaluation, chosen, rivals),
        [*_ground(axis, evaluation)],
        [
            _rival(axis, evaluation, chosen, rival, number, narrow=narrow, labelled=labelled)
            for number, rival in enumerate(rivals)
        ],
    )


def _ground(axis: _Axis, evaluation: Evaluation) -> Iterator[Node]:
    """The cheaper side shaded, round amounts, and the zero between what is cheaper and dearer."""
    frame, zero = axis.frame, axis.x(0)
    shade = {"width": zero - axis.left, "height": axis.bottom - HEAD_PX, "fill": SHADE}
    yield node("rect", x=axis.left, y=HEAD_PX, **shade)
    widest = max(text_px(words.signed(end), SIZE) for end in (frame.low_cost, frame.high_cost))
    every = math.ceil((widest + 10) / (frame.step_cost * axis.cost_px))
    first, last = (round(end / frame.step_cost) for end in (frame.low_cost, frame.high_cost))
    names = []
    for number in range(first, last + 1):
        x = axis.x(number * frame.step_cost)
        yield line(x, HEAD_PX, x, axis.bottom, HAIR)
        if number % every == 0:
            told = words.signed(number * frame.step_cost)
            half = text_px(told, SIZE) / 2
            inside = min(max(x, half), axis.right + 28 - half)
            names.append(text(told, inside, axis.bottom + 17))
    yield node("g", names, text_anchor="middle", fill=SOFT)
    yield line(zero, 4, zero, axis.bottom + 4, TEXT, stroke_width=2)
    cheaper = max(zero - 7 - text_px(words.CHEAPER, SIZE), 0.0)
    yield text(words.CHEAPER, cheaper, 13)
    yield text(words.dearer_head(evaluation), zero + 7, 13)


def _rival(
    axis: _Axis,
    evaluation: Evaluation,
    chosen: BuildResult,
    rival: BuildResult,
    number: int,
    *,
    narrow: bool,
    labelled: bool,
) -> Node:
    """One rival: its name, in how many futures it is dearer, and its dots."""
    top = HEAD_PX + axis.lane * number
    base = top + axis.lane - 8
    told, name = words.dearer_words(evaluation, chosen, rival), lane_name(rival)
    label: list[Node] = []
    if labelled and narrow:
        shown = cut(name, axis.right - text_px(f": {told}", SIZE, bold=True), SIZE, bold=True)
        label = [
            # The zero does not run through the words.
            node("rect", x=0, y=top + 0.5, width=axis.right + 28, height=17.5, fill="#FFFFFF"),
            bold(f"{shown}: {told}", 4, top + 13, fill=TEXT),
        ]
    elif labelled:
        names = wrapped(name, axis.left - 20, SIZE)
        label = [
            bold(cut(each, axis.left - 20, SIZE, bold=True), 8, base - 3 - 15 * row, fill=TEXT)
            for row, each in zip(range(len(names), 0, -1), names, strict=True)
        ]
        label.append(text(told, 8, base - 3, fill=SOFT))
    rows = 5 if not labelled else 4
    dots = _gap_places(axis, twenty_futures(gap_by_draw(chosen, rival)), rows)
    places = [(x, base - PITCH / 2 - 1 - row * PITCH) for x, row in dots]
    return node(
        "g",
        node("title", plain(rival.name)),
        label,
        line(axis.left, base, axis.right, base, AXIS),
        node("g", circles(places, PITCH * 0.43), fill=OTHER, data_dots=len(places)),
        data_lane=rival.key,
    )


def _gap_places(axis: _Axis, dots: Sequence[float], rows: int) -> list[tuple[float, int]]:
    """Dots on their own side of the zero, and on it where the cost is the same."""
    zero, bin_px = axis.x(0), axis.frame.step_cost / BINS_PER_STEP * axis.cost_px
    while bin_px < PITCH:
        bin_px *= 2
    same = sum(abs(dot) < LEAST_COST for dot in dots)
    columns = math.ceil(same / rows)
    found = [(zero + (dot // rows - (columns - 1) / 2) * PITCH, dot % rows) for dot in range(same)]
    edge = columns * PITCH / 2
    for side in (-1, 1):
        # The cheaper side is the dearer one in a mirror: both begin at the zero.
        far = zero - axis.left if side < 0 else axis.right - zero
        gaps = sorted(abs(axis.x(dot) - zero) for dot in dots if dot * side >= LEAST_COST)
        placed = stacks(
            gaps, left=0.0, right=far, bin_px=bin_px, pitch=PITCH, rows=rows, first=edge
        )
        found += [(zero + side * x, row) for x, row in placed]
    return found


def years_bars(evaluation: Evaluation, width: float) -> Node | None:
    """What the recommended costs more than its nearest other, year by year, in today's money.

    What things are worth at the end is a bar of its own, the total stands apart. The bars lie where
    there is no room for their amounts side by side. None where there is nothing to compare.

    Parameters
    ----------
    evaluation
        Without a grid.
    width
        Of the drawing, px.
    """
    scenario, found = evaluation.scenario, verdict(evaluation)
    parts = words.year_parts(scenario, found)
    if parts is None:
        return None
    told = (*parts.words[:-1], *(part for name in parts.names for part in name))
    widest = max(text_px(parts.words[-1], SIZE, bold=True), *(text_px(each, SIZE) for each in told))
    # The total stands half a bar apart.
    column = width / (len(parts.amounts) + 0.5)
    standing = column >= widest + 4
    height, bars = _standing(parts, column) if standing else _lying(parts, width)
    return drawing(width, height, words.years_summary(scenario, found, parts), bars)


def _color(parts: words.YearParts, number: int) -> str:
    if number == len(parts.amounts) - 1:
        return CHOSEN
    return MORE if parts.amounts[number] > 0 else LESS


def _standing(parts: words.YearParts, column: float) -> tuple[float, list[Node]]:
    """Bars that rise above the zero where it costs more, and fall below it where less."""
    most, least = max(0.0, *parts.amounts), min(0.0, *parts.amounts)
    unit = BAR_PX / max(most - least, 1e-9)
    zero = LABEL_PX + most * unit
    foot = zero - least * unit + LABEL_PX
    found, last = [], len(parts.amounts) - 1
    for number, amount in enumerate(parts.amounts):
        middle = column * (number + 0.5 + (0.5 if number == last else 0))
        tall, wide = abs(amount) * unit, column * 0.68
        top = zero - tall if amount > 0 else zero
        bar = {"width": wide, "height": tall, "fill": _color(parts, number)}
        label = top - 5 if amount > 0 else zero + tall + 14
        look = {"text_anchor": "middle", "font_weight": "bold" if number == last else None}
        found += [
            node("rect", x=middle - wide / 2, y=top, **bar),
            text(parts.words[number], middle, label, **look),
            *(
                text(
                    told,
                    middle,
                    foot + 18 + 14 * row,
                    fill=None if number == last else SOFT,
                    **look,
                )
                for row, told in enumerate(parts.names[number])
            ),
        ]
    return foot + 40, [*found, line(0, zero, column * (last + 1.5), zero, TEXT, stroke_width=1.5)]


def _lying(parts: words.YearParts, width: float) -> tuple[float, list[Node]]:
    """The same bars one below another: more to the right, less to the left."""
    names = [" ".join(name) for name in parts.names]
    left = max(text_px(name, SIZE, bold=True) for name in names) + 10
    label = max(text_px(told, SIZE, bold=True) for told in parts.words) + 8
    most, least = max(0.0, *parts.amounts), min(0.0, *parts.amounts)
    begin, end = left + (label if least else 0), width - (label if most else 0)
    unit = (end - begin) / max(most - least, 1e-9)
    zero = begin - least * unit
    found, last = [], len(parts.amounts) - 1
    for number, amount in enumerate(parts.amounts):
        top = LYING_PX * number + (8 if number == last else 0)
        long = abs(amount) * unit
        x = zero if amount > 0 else zero - long
        bar = {"width": long, "height": LYING_PX - 6, "fill": _color(parts, number)}
        told_at = zero + long + 5 if amount > 0 else zero - long - 5
        weight = "bold" if number == last else None
        anchor = "start" if amount > 0 else "end"
        look = {"font_weight": weight, "text_anchor": anchor}
        found += [
            node("rect", x=x, y=top + 3, **bar),
            text(names[number], 0, top + 15, fill=None if weight else SOFT, font_weight=weight),
            text(parts.words[number], told_at, top + 15, **look),
        ]
    height = LYING_PX * (last + 1) + 8
    return height, [*found, line(zero, 0, zero, height, TEXT, stroke_width=1.5)]
