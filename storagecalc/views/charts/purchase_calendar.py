"""The purchase calendar: one lane an alternative, one row an order, on one axis of months."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from storagecalc.study.decision.purchase_calendar import (
    CalendarLane,
    CalendarOrder,
    PurchaseCalendar,
    purchase_calendar,
)
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.drawing import (
    AXIS,
    CHOSEN,
    HAIR,
    NAME,
    OTHER,
    SIZE,
    SOFT,
    TEXT,
    TINT,
    bold,
    cut,
    drawing,
    line,
    text,
    text_px,
    wrapped,
)
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text import purchase_calendar as words
from storagecalc.views.text.lanes import isolated, lane_cost, short_month
from storagecalc.views.text.numbers import plain

# Below this many px the labels stand above the lanes.
NARROW_PX = 600
# More orders than this share the last row of their lane.
MOST_ROWS = 10
# A row, a further line of words in it, room above and below the rows of a lane, for the years.
ROW_PX, LINE_PX, PAD_PX, YEARS_PX = 19.0, 14.0, 6.0, 22.0
# Half of a mark is as wide; words keep so far from marks and bars.
HALF_PX, GAP_PX = 6.5, 6.0
# Names of years closer than this would touch.
YEAR_PX = 34
# How high a square is filled; the square itself stays an open one.
LEVEL = "#9AA5AD"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axis:
    """The axis of months, in px."""

    width: float
    left: float
    right: float
    months: int

    @property
    def narrow(self) -> bool:
        return self.width < NARROW_PX

    @property
    def label_px(self) -> float:
        return (self.width if self.narrow else self.left) - 20

    @property
    def month_px(self) -> float:
        return (self.right - self.left) / self.months

    def x(self, month: float) -> float:
        return self.left + month * self.month_px


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One order, or the last ones together, and its words: where they begin, and how far below."""

    orders: tuple[CalendarOrder, ...]
    lines: tuple[tuple[float, str], ...]
    below: bool

    @property
    def height(self) -> float:
        return ROW_PX + (LINE_PX * len(self.lines) if self.below else 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lane:
    """One alternative: its label line by line, its rows, and where it begins and ends."""

    told: CalendarLane
    names: tuple[str, ...]
    cost: str
    rows: tuple[_Row, ...]
    top: float
    rows_top: float
    bottom: float


def calendar_drawing(evaluation: Evaluation, width: float) -> Node:
    """What every alternative orders when, for a width in px.

    Parameters
    ----------
    evaluation
        Without a grid.
    width
        Of the drawing, px; below 600 the labels stand above the lanes.
    """
    calendar = purchase_calendar(evaluation)
    narrow = width < NARROW_PX
    axis = _Axis(
        width=width,
        left=14.0 if narrow else min(266.0, 94 + 0.152 * width),
        right=width - 14,
        months=calendar.months,
    )
    lanes = [*_lanes(axis, evaluation, calendar)]
    bottom = lanes[-1].bottom
    return drawing(
        width,
        bottom + YEARS_PX,
        words.calendar_summary(evaluation),
        [_ground(axis, lane) for lane in lanes],
        [*_years(axis, evaluation, calendar, bottom)],
        [_drawn(axis, lane) for lane in lanes],
    )


def _lanes(axis: _Axis, evaluation: Evaluation, calendar: PurchaseCalendar) -> Iterator[_Lane]:
    """All lanes, one below another, each as high as its rows or its label."""
    found, top = verdict(evaluation), YEARS_PX
    size = _name_size(axis)
    for told in calendar.lanes:
        name = plain(told.build.name)
        names = [name] if axis.narrow else wrapped(name, axis.label_px, size)
        rows = tuple(_rows(axis, evaluation, told.orders))
        label = 16.0 * (len(names) + 1)
        rows_top = top + PAD_PX + (label if axis.narrow else 0.0)
        tall = sum(row.height for row in rows) or ROW_PX
        bottom = max(rows_top + tall, top + PAD_PX + label) + PAD_PX
        yield _Lane(
            told=told,
            names=tuple(isolated(cut(each, axis.label_px, size, bold=True)) for each in names),
            cost=cut(lane_cost(evaluation, found, told.build), axis.label_px, SIZE),
            rows=rows,
            top=top,
            rows_top=rows_top,
            bottom=bottom,
        )
        top = bottom


def _name_size(axis: _Axis) -> int:
    return 14 if axis.narrow else 13


def _rows(axis: _Axis, evaluation: Evaluation, orders: Sequence[CalendarOrder]) -> Iterator[_Row]:
    """A row an order; where there are many, the last ones share one."""
    single = orders if len(orders) <= MOST_ROWS else orders[: MOST_ROWS - 1]
    for order in single:
        yield _row(axis, (order,), words.mark_words(evaluation, order))
    rest = tuple(orders[len(single) :])
    if rest:
        yield _row(axis, rest, words.more_words(evaluation.scenario, rest))


def _row(axis: _Axis, orders: tuple[CalendarOrder, ...], told: tuple[str, str]) -> _Row:
    """Words right of what is drawn, or left of it, else below, there on two lines if need be."""
    first, last = _ends(orders)
    begin, end = axis.x(first) - HALF_PX - GAP_PX, axis.x(last) + HALF_PX + GAP_PX
    least, most = axis.left - HALF_PX, axis.width - 8
    whole = " · ".join(told)
    wide = _px(whole)
    if end + wide <= most:
        return _Row(orders=orders, lines=((end, whole),), below=False)
    if begin - wide >= least:
        return _Row(orders=orders, lines=((begin - wide, whole),), below=False)
    lines = [whole] if wide <= most - least else [cut(each, most - least, SIZE) for each in told]
    middle = axis.x((orders[0].month + orders[-1].month) / 2)
    starts = (max(least, min(middle - _px(each) / 2, most - _px(each))) for each in lines)
    return _Row(orders=orders, lines=tuple(zip(starts, lines, strict=True)), below=True)


def _ends(orders: Sequence[CalendarOrder]) -> tuple[float, float]:
    """From where to where a row is drawn; several have no bars."""
    if len(orders) == 1:
        return orders[0].month_p10, orders[0].month_p90
    return orders[0].month, orders[-1].month


def _px(told: str) -> float:
    return text_px(told, SIZE)


def _ground(axis: _Axis, lane: _Lane) -> Node:
    """What a lane stands on: a tint for the recommended, a hairline above the others."""
    if lane.told.is_recommended:
        tall = lane.bottom - lane.top
        return node("rect", x=0, y=lane.top, width=axis.width, height=tall, fill=TINT)
    return line(0, lane.top, axis.width, lane.top, HAIR)


def _years(
    axis: _Axis, evaluation: Evaluation, calendar: PurchaseCalendar, bottom: float
) -> Iterator[Node]:
    """Januaries through all of the picture, named above and below it."""
    for month in calendar.januaries:
        yield line(axis.x(month), YEARS_PX, axis.x(month), bottom, HAIR)
    for level in (YEARS_PX, bottom):
        yield line(axis.left, level, axis.right, level, AXIS)
    named = [*_named(axis, evaluation, calendar)]
    for baseline in (YEARS_PX - 7, bottom + 16):
        yield node("g", [text(name, start, baseline) for start, name in named], fill=SOFT)


def _named(
    axis: _Axis, evaluation: Evaluation, calendar: PurchaseCalendar
) -> Iterator[tuple[float, str]]:
    """Years as far as they have room, at their Januaries; the first month where none is near."""
    every = next(years for years in (1, 2, 5, 10, 20) if years * 12 * axis.month_px >= YEAR_PX)
    named = [(month, str(year)) for month, year in calendar.januaries.items() if year % every == 0]
    if not named or axis.x(named[0][0]) - axis.left > 60:
        named = [(0, short_month(evaluation.scenario, 0)), *named]
    for month, name in named:
        yield max(0.0, min(axis.x(month) - _px(name) / 2, axis.width - _px(name))), name


def _drawn(axis: _Axis, lane: _Lane) -> Node:
    """One alternative: its label, and row by row what it orders."""
    color = CHOSEN if lane.told.is_recommended else OTHER
    parts, top = [*_label(axis, lane)], lane.rows_top
    for row in lane.rows:
        parts += _drawn_row(axis, row, top, color)
        top += row.height
    if not lane.rows:
        parts.append(text(words.NOTHING, axis.left, top + 13, fill=SOFT))
    name = node("title", plain(lane.told.build.name))
    return node("g", name, parts, fill=color, data_lane=lane.told.build.key)


def _label(axis: _Axis, lane: _Lane) -> Iterator[Node]:
    """Name and cost: left of the lane, or above it where that is narrow."""
    chosen, size = lane.told.is_recommended, _name_size(axis)
    for number, name in enumerate(lane.names):
        baseline = lane.top + PAD_PX + 13 + 16 * number
        yield bold(name, 8, baseline, fill=CHOSEN if chosen else NAME, font_size=size)
    baseline = lane.top + PAD_PX + 13 + 16 * len(lane.names)
    yield text(lane.cost, 8, baseline, fill=TEXT if chosen else SOFT)


def _drawn_row(axis: _Axis, row: _Row, top: float, color: str) -> Iterator[Node]:
    """Bar, marks and words."""
    middle = top + ROW_PX / 2
    if len(row.orders) == 1:
        begin, end = (axis.x(month) for month in _ends(row.orders))
        if end > begin:
            dashes = None if row.orders[0].is_usual else "4 3"
            look = {"stroke_width": 2, "stroke_dasharray": dashes, "data_bar": "8 in 10"}
            yield line(begin, middle, end, middle, color, **look)
    for order in row.orders:
        yield from _mark(order, axis.x(order.month), middle, color)
    first = middle + 4 + (LINE_PX if row.below else 0)
    for number, (start, told) in enumerate(row.lines):
        yield text(told, start, first + LINE_PX * number)


def _mark(order: CalendarOrder, x: float, y: float, color: str) -> Iterator[Node]:
    """A triangle for its own steps, an open square for a box, filled as high as its share."""
    share = order.placed_fraction
    look = {"stroke": color, "stroke_width": 1.6}
    if order.is_further_box:
        yield node("rect", x=x - 5, y=y - 5, width=10, height=10, data_mark="box", **look,
                   fill="#FFFFFF")  # fmt: skip
        tall = 8.4 * share
        yield node("rect", x=x - 4.2, y=y + 4.2 - tall, width=8.4, height=tall, fill=LEVEL,
                   data_level="box")  # fmt: skip
        return
    foot, apex = y + 5, y - 6
    corners = f"{x - HALF_PX:.1f},{foot:.1f} {x + HALF_PX:.1f},{foot:.1f} {x:.1f},{apex:.1f}"
    yield node("polygon", points=corners, data_mark="steps", fill="#FFFFFF", **look)
    level, half = foot - (foot - apex) * share, HALF_PX * (1 - share)
    filled = (f"{x - HALF_PX:.1f},{foot:.1f} {x + HALF_PX:.1f},{foot:.1f}"
              f" {x + half:.1f},{level:.1f} {x - half:.1f},{level:.1f}")  # fmt: skip
    yield node("polygon", points=filled, data_level="steps")
