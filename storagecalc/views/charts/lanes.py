"""Room against footage: what is held, the most each build holds, and when it may be full."""

from collections.abc import Iterator

from storagecalc.study.decision.room import OrderMark, Room, rooms
from storagecalc.study.decision.verdict import Verdict, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.charts.drawing import (
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
    stacks,
    text,
    text_px,
    wrapped,
)
from storagecalc.views.charts.lanes_footage import footage_part
from storagecalc.views.charts.lanes_plan import (
    LanesFrame,
    Plan,
    calendar,
    fits,
    lanes_frame,
    lanes_plan,
)
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text import lanes as words
from storagecalc.views.text.numbers import plain

__all__ = ["LanesFrame", "fits", "lanes", "lanes_frame"]


def lanes(evaluation: Evaluation, width: float, frame: LanesFrame) -> Node:
    """The picture "room against footage", for a width in px.

    Parameters
    ----------
    evaluation
        Without a grid.
    width
        Of the drawing, px; below 600 the labels stand above the lanes.
    frame
        From ``lanes_frame``: what stands still while a slider moves.
    """
    plan, found = lanes_plan(evaluation, width, frame), verdict(evaluation)
    told, chosen = rooms(evaluation, found), found.recommended.build
    return drawing(
        width,
        plan.height,
        words.rooms_in_words(evaluation, found, told),
        [_ground(plan, number, chosen=room.build is chosen) for number, room in enumerate(told)],
        [*calendar(plan, evaluation)],
        [*footage_part(plan, evaluation, chosen)],
        [_lane(plan, evaluation, found, room, number) for number, room in enumerate(told)],
        [*_key(plan)] if plan.narrow else None,
    )


def _ground(plan: Plan, number: int, *, chosen: bool) -> Node:
    """What a lane stands on: a tint for the recommended, a hairline above the others."""
    top = plan.lane_top(number)
    if chosen:
        return node("rect", x=0, y=top, width=plan.width, height=plan.lane, fill=TINT)
    return line(0, top, plan.width, top, HAIR)


def _lane(plan: Plan, evaluation: Evaluation, found: Verdict, room: Room, number: int) -> Node:
    """One alternative: its label, when it may be full, and what it orders."""
    chosen = room.build is found.recommended.build
    color, top = CHOSEN if chosen else OTHER, plan.lane_top(number)
    base = top + plan.lane - (15 if plan.narrow else 20)
    return node(
        "g",
        node("title", plain(room.build.name)),
        [*_lane_label(plan, evaluation, found, room, top)],
        [*_dots(plan, room, base, color)],
        [_mark(mark, plan.x(mark.month), base, color) for mark in room.marks],
        [] if plan.narrow else [*_orders(plan, evaluation.scenario, room, base, chosen=chosen)],
        fill=color,
        data_lane=room.build.key,
    )


def _lane_label(
    plan: Plan, evaluation: Evaluation, found: Verdict, room: Room, top: float
) -> Iterator[Node]:
    """Name, cost and needs: left of the lane, or above it where that is narrow."""
    size, chosen = plan.name_size, room.build is found.recommended.build
    space = (plan.width if plan.narrow else plan.left) - 20
    name, told = (
        words.lane_name(room.build),
        [
            words.lane_cost(evaluation, found, room.build),
            words.lane_needs(evaluation, room.standing),
        ],
    )
    if (plan.narrow or plan.compact) and text_px(" · ".join(told), SIZE) <= space:
        told = [" · ".join(told)]
    names = (
        wrapped(name, space, size) if len(told) + plan.narrow < 2 or not plan.compact else [name]
    )
    lines = [cut(each, space, size, bold=True) for each in names]
    gap = 15 if plan.narrow or plan.compact else 16
    first = top + 14
    if not plan.narrow:
        first += max(0.0, (plan.lane - 20 - gap * (len(lines) + len(told) - 1)) / 2)
    for row, each in enumerate(lines):
        yield bold(each, 8, first + gap * row, fill=CHOSEN if chosen else NAME, font_size=size)
    for row, each in enumerate(told, start=len(lines)):
        shown = cut(each, space, SIZE)
        yield text(shown, 8, first + gap * row, fill=TEXT if chosen else SOFT)


def _dots(plan: Plan, room: Room, base: float, color: str) -> Iterator[Node]:
    """When it may be full: dots above the line, and a block for those beyond the horizon."""
    full = [plan.x(months) for months in room.in_time_months]
    placed = stacks(
        full,
        left=plan.left,
        right=plan.right,
        bin_px=plan.bin_px,
        pitch=plan.pitch,
        rows=plan.rows,
    )
    first = min((x for x, _ in placed), default=plan.right)
    yield line(plan.left, base, first, base, color, stroke_width=2)
    if placed:
        dotted = {"stroke_width": 1.6, "stroke_dasharray": "1.5 4"}
        yield line(first, base, plan.right, base, color, **dotted)
    dots = len(room.full_months)
    beyond = dots - len(full)
    block = plan.right + 8 + plan.pitch / 2
    placed += [(block + dot // plan.rows * plan.pitch, dot % plan.rows) for dot in range(beyond)]
    lowest, radius = base - plan.pitch / 2 - (4 if plan.narrow else 6), plan.pitch * 0.43
    circles = [node("circle", cx=x, cy=lowest - row * plan.pitch, r=radius) for x, row in placed]
    yield node("g", circles, data_dots=len(placed))
    weight = "bold" if color == CHOSEN else None
    told = words.dots_words(beyond, dots)
    yield text(told, plan.right + 8, base + (10 if plan.narrow else 15), font_weight=weight)


def _mark(mark: OrderMark, x: float, base: float, color: str) -> Node:
    """An order on the line: a filled triangle for its own steps, an open square for a box."""
    if mark.is_further_box:
        look = {"fill": "#FFFFFF", "stroke": color, "stroke_width": 1.6}
        return node("rect", x=x - 4.5, y=base - 4.5, width=9, height=9, data_mark="box", **look)
    corners = f"{x - 6.5:.1f},{base + 5:.1f} {x + 6.5:.1f},{base + 5:.1f} {x:.1f},{base - 6:.1f}"
    return node("polygon", points=corners, data_mark="steps")


def _orders(
    plan: Plan, scenario: Scenario, room: Room, base: float, *, chosen: bool
) -> Iterator[Node]:
    """Words below the marks: the first order, the next, the last, then whichever have room."""
    marks = room.marks
    following = [mark for mark in marks if mark.is_next and mark is not marks[0]]
    leading = [*marks[:1], *following]
    others = [mark for mark in (*marks[::-1][:1], *marks) if mark not in leading]
    placed: list[tuple[float, float, str]] = []
    # Shorter words, the first order's first, until the next order has room; without room for
    # both, the next alone.
    for kept, brief in (
        (leading, ()),
        (leading, marks[:1]),
        (leading, leading),
        (following, marks),
    ):
        placed = []
        told = [words.mark_words(scenario, mark, brief=mark in brief) for mark in kept]
        fitting = [_put(plan, placed, *each) for each in zip(told, kept, strict=True)]
        if all(fitting):
            break
    for mark in others:
        if not _put(plan, placed, words.mark_words(scenario, mark), mark):
            _put(plan, placed, words.mark_words(scenario, mark, brief=True), mark)
    for start, _, each in placed:
        yield text(each, start, base + 15, font_weight="bold" if chosen else None)


def _put(plan: Plan, placed: list[tuple[float, float, str]], told: str, mark: OrderMark) -> bool:
    """Whether words find room below their mark: under its middle, or beginning or ending there."""
    x, wide = plan.x(mark.month), text_px(told, SIZE)
    for wish in (x - wide / 2, x - 7, x + 7 - wide):
        start = max(min(wish, plan.right - wide), plan.left - 7)
        if all(start > end + 8 or start + wide + 8 < begin for begin, end, _ in placed):
            placed.append((start, start + wide, told))
            return True
    return False


def _key(plan: Plan) -> Iterator[Node]:
    """What the marks are, where there is no room for words beside them."""
    foot, x = plan.height - 8, 8.0
    shapes = (
        node("polygon", points="0,0 10,0 5,-9", fill=SOFT),
        node("rect", x=1, y=-8.5, width=8, height=8, fill="none", stroke=SOFT, stroke_width=1.5),
        node("circle", cx=5, cy=-4, r=3.2, fill=SOFT),
    )
    for shape, told in zip(shapes, words.MARK_KEY, strict=True):
        yield node(
            "g", shape, text(told, 14, 0, fill=SOFT), transform=f"translate({x:.1f} {foot:.1f})"
        )
        x += 14 + text_px(told, SIZE) + 10
