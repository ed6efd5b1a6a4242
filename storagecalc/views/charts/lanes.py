"""Room against footage: what is held, the most each build holds, and when it may be full."""

from collections.abc import Iterator, Sequence

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
    circles,
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

# Between the words of two orders, px.
WORD_GAP = 4
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
    labels = _labels(plan, evaluation, found, told)
    return drawing(
        width,
        plan.height,
        words.rooms_in_words(evaluation, found, told),
        [_ground(plan, number, chosen=room.build is chosen) for number, room in enumerate(told)],
        [*calendar(plan, evaluation)],
        [*footage_part(plan, evaluation, chosen)],
        [
            _lane(
                plan, evaluation.scenario, room, number, labels[number], chosen=room.build is chosen
            )
            for number, room in enumerate(told)
        ],
        [*_key(plan, evaluation)] if plan.narrow else None,
    )


def _ground(plan: Plan, number: int, *, chosen: bool) -> Node:
    """What a lane stands on: a tint for the recommended, a hairline above the others."""
    top = plan.lane_top(number)
    if chosen:
        return node("rect", x=0, y=top, width=plan.width, height=plan.lane, fill=TINT)
    return line(0, top, plan.width, top, HAIR)


def _labels(
    plan: Plan, evaluation: Evaluation, found: Verdict, told: Sequence[Room]
) -> list[list[str]]:
    """Cost and needs of each lane: on one line where that has room in all lanes and is asked."""
    lines = [
        [
            words.lane_cost(evaluation, found, room.build),
            words.lane_needs(evaluation, room.standing),
        ]
        for room in told
    ]
    joined = [[" · ".join(each)] for each in lines]
    short = all(text_px(each, SIZE) <= plan.label_px for (each,) in joined)
    return joined if plan.narrow or (plan.compact and short) else lines


def _lane(
    plan: Plan, scenario: Scenario, room: Room, number: int, label: list[str], *, chosen: bool
) -> Node:
    """One alternative: its label, when it may be full, and what it orders."""
    color, top = CHOSEN if chosen else OTHER, plan.lane_top(number)
    base = top + plan.lane - (15 if plan.narrow else 20)
    return node(
        "g",
        node("title", plain(room.build.name)),
        [*_lane_label(plan, words.lane_name(room.build), label, top, chosen=chosen)],
        [*_dots(plan, room, base, color)],
        [_mark(mark, plan.x(mark.month), base, color) for mark in room.marks],
        [] if plan.narrow else [*_orders(plan, scenario, room, base, chosen=chosen)],
        fill=color,
        data_lane=room.build.key,
    )


def _lane_label(
    plan: Plan, name: str, told: list[str], top: float, *, chosen: bool
) -> Iterator[Node]:
    """Name, cost and needs: left of the lane, or above it where that is narrow."""
    space, size = plan.label_px, plan.name_size
    # Three lines have room in any lane, four where it is high enough.
    two = not plan.narrow and (plan.lane >= 60 or len(told) == 1)
    names = wrapped(name, space, size) if two else [name]
    rows = len(names) + len(told)
    gap = min(16.0 if not plan.compact else 15.0, (plan.lane - 4) / rows)
    first = top + (14 if plan.narrow else (plan.lane - gap * rows) / 2 + 12)
    for row, each in enumerate(names):
        shown, color = cut(each, space, size, bold=True), CHOSEN if chosen else NAME
        yield bold(shown, 8, first + gap * row, fill=color, font_size=size)
    for row, each in enumerate(told, start=len(names)):
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
    dots_at = [(x, lowest - row * plan.pitch) for x, row in placed]
    yield node("g", circles(dots_at, radius), data_dots=len(placed))
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
    # Shorter words for the first order where the next one else has no room; without room for
    # both, the next alone.
    for kept, brief in (
        (leading, ()),
        (leading, marks[:1]),
        (following, marks),
    ):
        placed = []
        told = [words.mark_words(scenario, mark, brief=mark in brief) for mark in kept]
        fitting = [_put(plan, placed, *each) for each in zip(told, kept, strict=True)]
        if all(fitting):
            break
    for mark in others:
        _put(plan, placed, words.mark_words(scenario, mark), mark)
    for start, _, each in placed:
        yield text(each, start, base + 15, font_weight="bold" if chosen else None)


def _put(plan: Plan, placed: list[tuple[float, float, str]], told: str, mark: OrderMark) -> bool:
    """Whether words find room below their mark: under its middle, or beginning or ending there."""
    x, wide = plan.x(mark.month), text_px(told, SIZE, bold=True)
    for wish in (x - wide / 2, x - 7, x - 2, x + 7 - wide):
        start = max(min(wish, plan.right - wide), plan.left - 7)
        if all(
            start > end + WORD_GAP or start + wide + WORD_GAP < begin for begin, end, _ in placed
        ):
            placed.append((start, start + wide, told))
            return True
    return False


def _key(plan: Plan, evaluation: Evaluation) -> Iterator[Node]:
    """What the marks are, where there is no room for words beside them."""
    foot, x = plan.height - 8, 8.0
    shapes = (
        node("polygon", points="0,0 10,0 5,-9", fill=SOFT),
        node("rect", x=1, y=-8.5, width=8, height=8, fill="none", stroke=SOFT, stroke_width=1.5),
        node("circle", cx=5, cy=-4, r=3.2, fill=SOFT),
    )
    named = zip(shapes, words.mark_keys(evaluation), strict=True)
    for shape, told in ((shape, told) for shape, told in named if told):
        yield node(
            "g", shape, text(told, 14, 0, fill=SOFT), transform=f"translate({x:.1f} {foot:.1f})"
        )
        x += 14 + text_px(told, SIZE) + 10
