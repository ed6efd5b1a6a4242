"""The upper part of "room against footage": what is held, and the most each build can hold."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.charts.drawing import (
    BAND,
    CHOSEN,
    FOOTAGE,
    HAIR,
    OTHER,
    SIZE,
    SOFT,
    Labels,
    bold,
    cut,
    line,
    text,
    text_px,
)
from storagecalc.views.charts.lanes_plan import Plan, most_tb, own_footages
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text import lanes as words

# Steps of the axis closer than this are named every second time.
STEP_PX = 18
# An own footage is named from here on, where curves have parted.
PARTED = 0.4


# What is named in the picture: whose and what, at which height, from where on, in which colour.
Named = tuple[tuple[str, str], float, float, str]


def footage_part(plan: Plan, evaluation: Evaluation, chosen: BuildResult) -> Iterator[Node]:
    """What is held by the recommended, against the most each build can hold."""
    held = chosen.capacity.held_tb_by_month
    edges = [held.p90, held.p10] if evaluation.draws else [held.p50]
    bands = [_heights(plan, edge) for edge in edges]
    own = {
        build.key: (build, _heights(plan, build.capacity.held_tb_by_month.p50))
        for build in own_footages(evaluation)
        if build.alternative.footage_key != chosen.alternative.footage_key
    }
    alike = _by_most(evaluation, chosen)
    yield _scale(plan)
    yield from _band(plan, bands)
    for _, heights in own.values():
        yield _curve(plan, heights, OTHER, stroke_width=1.6, stroke_dasharray="1.5 3")
    for builds in alike:
        if most_tb(builds[0]) <= plan.frame.top_tb:
            yield _most(plan, plan.y(most_tb(builds[0])), dark=chosen in builds)
    labels = Labels(
        left=plan.left,
        right=plan.right,
        top=0,
        bottom=plan.footage_bottom,
        lines=[plan.y(most_tb(builds[0])) for builds in alike],
        curves=[*bands, *(heights for _, heights in own.values())],
    )
    for named in _names(plan, evaluation, alike, own.values(), min(bands[0])):
        yield from _label(labels, *named)
    yield from _beside(plan, evaluation)


def _names(
    plan: Plan,
    evaluation: Evaluation,
    alike: Sequence[list[BuildResult]],
    own: Iterable[tuple[BuildResult, list[float]]],
    band_top: float,
) -> list[Named]:
    """What is named, the most important first: it has the first choice of places."""
    found: list[Named] = []
    for builds in alike:
        most = most_tb(builds[0])
        rest = [build for build in evaluation.builds if build not in builds]
        told = words.most_label(builds, rest, above=most > plan.frame.top_tb)
        found.append((told, plan.y(most), 0.0, OTHER if found else CHOSEN))
    if plan.narrow:
        told = ("", words.footage_label(evaluation))
        start = plan.right - text_px(told[1], SIZE, bold=True)
        found.insert(1, (told, band_top, start, FOOTAGE))
    start = plan.left + PARTED * (plan.right - plan.left)
    for build, heights in own:
        height = min(heights[int(len(heights) * PARTED) :])
        found.append((words.own_footage_label(build), height, start, OTHER))
    return found


def _most(plan: Plan, height: float, *, dark: bool) -> Node:
    """The dashed line of the most that builds can hold."""
    look = {"stroke_dasharray": "7 4", "stroke_width": 2 if dark else 1.5}
    return line(plan.left, height, plan.right, height, CHOSEN if dark else OTHER, **look)


def _by_most(evaluation: Evaluation, chosen: BuildResult) -> list[list[BuildResult]]:
    """Builds that hold as much together, the recommended first."""
    alike: dict[float, list[BuildResult]] = {}
    for build in sorted(evaluation.builds, key=lambda build: build is not chosen):
        alike.setdefault(round(most_tb(build), 6), []).append(build)
    return [*alike.values()]


def _heights(plan: Plan, held_tb: Any) -> list[float]:
    """Of the end of each month; what is held at the start is not told apart from the first."""
    return [plan.y(value) for value in held_tb.tolist()]


def _points(plan: Plan, heights: list[float]) -> list[str]:
    step = (plan.right - plan.left) / max(len(heights) - 1, 1)
    return [f"{plan.left + number * step:.1f},{y:.1f}" for number, y in enumerate(heights)]


def _curve(plan: Plan, heights: list[float], color: str, **look: Any) -> Node:
    points = " ".join(_points(plan, heights))
    return node("polyline", points=points, fill="none", stroke=color, **look)


def _band(plan: Plan, bands: list[list[float]]) -> Iterator[Node]:
    """The band with its edges; a single line where nothing was drawn."""
    if len(bands) == 2:
        high, low = (_points(plan, heights) for heights in bands)
        yield node("polygon", points=" ".join([*high, *reversed(low)]), fill=BAND)
    for heights in bands:
        yield _curve(plan, heights, FOOTAGE, stroke_width=1.3)


def _scale(plan: Plan) -> Node:
    top, step = plan.frame.top_tb, plan.frame.step_tb
    every = 1 if plan.y(0) - plan.y(step) >= STEP_PX else 2
    values = [step * number for number in range(every, int(top / step + 1e-9) + 1, every)]
    unit = None if plan.narrow else values[-1]
    return node(
        "g",
        [line(plan.left, plan.y(value), plan.right, plan.y(value), HAIR) for value in values],
        [
            text(words.tick_words(value, unit=value == unit), plan.left - 5, plan.y(value) + 4)
            for value in values
        ],
        text_anchor="end",
        fill=SOFT,
    )


def _label(
    labels: Labels, told: tuple[str, str], height: float, start: float, color: str
) -> Iterator[Node]:
    """A name and what is said of it at a line; nothing where there is no room for them.

    They stay legible on whatever they lie.
    """
    name, said = told
    shown = cut(name, labels.right - labels.left - 10 - text_px(said, SIZE), SIZE) + said
    place = labels.place(shown, height, start=start)
    if place is not None:
        look = {"stroke": "#FFFFFF", "stroke_width": 4, "paint_order": "stroke"}
        weight = "bold" if color == FOOTAGE else None
        yield node("text", shown, x=place[0], y=place[1], fill=color, font_weight=weight, **look)


def _beside(plan: Plan, evaluation: Evaluation) -> Iterator[Node]:
    """What stands left and right of the axis: what is shown, and the head of the last dots."""
    head = words.not_full_head(evaluation.scenario, narrow=plan.narrow)
    for number, told in enumerate(head):
        foot = plan.footage_bottom - 6 - 14 * (len(head) - 1 - number)
        yield text(told, plan.right + 8, foot, fill=SOFT)
    if plan.narrow:
        return
    yield bold(words.FOOTAGE_HEAD, 8, plan.footage_top, fill=FOOTAGE, font_size=plan.name_size)
    for number, told in enumerate(words.footage_notes(evaluation), start=1):
        yield text(told, 8, plan.footage_top + 1 + 15 * number, fill=SOFT)
    for number, told in enumerate(words.MOST_HEAD):
        yield text(told, 8, plan.footage_bottom - 22 + 15 * number)
