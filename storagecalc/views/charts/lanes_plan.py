"""Where everything stands in the picture "room against footage": axes, heights, sizes."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.charts.drawing import AXIS, HAIR, SOFT, line, round_step, text
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text import lanes as words

# Below this many px the labels stand above the lanes; from the second on there is room to spare.
NARROW_PX, AMPLE_PX = 600, 900
# More lanes than this are drawn lower.
FEW = 3
# A build that holds many times the footage would press the footage flat: its line is left out.
MOST_OVER_FOOTAGE = 2.5
# A frame that is this many times what is needed is too high.
TOO_HIGH = 3.0
# Names of years closer than this would touch.
YEAR_PX = 34


@dataclass(frozen=True, slots=True, kw_only=True)
class LanesFrame:
    """What stands still while a slider moves: the top of the axis of TB, and its step."""

    top_tb: float
    step_tb: float


def lanes_frame(evaluations: Sequence[Evaluation]) -> LanesFrame:
    """A frame in round steps into which one or several evaluations fit."""
    needed = max(map(_needed_tb, evaluations))
    step = round_step(needed / 4)
    return LanesFrame(top_tb=step / 2 * math.ceil(needed * 1.04 / (step / 2)), step_tb=step)


def fits(evaluation: Evaluation, frame: LanesFrame) -> bool:
    """Whether an evaluation can be drawn in a frame: it neither stands out nor lies flat."""
    needed = _needed_tb(evaluation)
    return needed <= frame.top_tb <= TOO_HIGH * needed


def own_footages(evaluation: Evaluation) -> list[BuildResult]:
    """One alternative for each footage that is held."""
    return [*{build.alternative.footage_key: build for build in evaluation.builds}.values()]


def most_tb(build: BuildResult) -> float:
    """The most a build can hold after all of its own steps."""
    return float(build.capacity.full_ladder.plannable_tb)


def _needed_tb(evaluation: Evaluation) -> float:
    """The highest that must be seen: footage, and lines that do not press it flat."""
    footage = max(
        float(build.capacity.held_tb_by_month.p90.max()) for build in own_footages(evaluation)
    )
    lines = map(most_tb, evaluation.builds)
    needed = max([footage, *(most for most in lines if most <= MOST_OVER_FOOTAGE * footage)])
    return needed or 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Where everything stands, in px: the axis from ``left`` to ``right``, the footage above."""

    width: float
    left: float
    right: float
    footage_top: float
    footage_bottom: float
    lane: float
    lanes: int
    name_size: float
    pitch: float
    frame: LanesFrame
    months: int

    @property
    def narrow(self) -> bool:
        """Whether labels stand above the lanes."""
        return self.width < NARROW_PX

    @property
    def label_px(self) -> float:
        """The room that the label of a lane has."""
        return (self.width if self.narrow else self.left) - 20

    @property
    def compact(self) -> bool:
        """Whether there are many lanes."""
        return self.lanes > FEW

    @property
    def rows(self) -> int:
        """Most dots in a column."""
        return 3 if self.compact else 4

    @property
    def bottom(self) -> float:
        """Where the lanes end."""
        return self.footage_bottom + self.lane * self.lanes

    @property
    def height(self) -> float:
        """Of all of it."""
        return self.bottom + (44 if self.narrow else 26)

    @property
    def month_px(self) -> float:
        """The width of a month."""
        return (self.right - self.left) / self.months

    @property
    def bin_px(self) -> float:
        """Half a year; less where the horizon is short, more where a dot would not fit."""
        months = 6 if self.months > 36 else 3
        while months * self.month_px < self.pitch:
            months *= 2
        return months * self.month_px

    def lane_top(self, number: int) -> float:
        """Where the lane with this number begins."""
        return self.footage_bottom + number * self.lane

    def x(self, months: float) -> float:
        """Where a month stands, inside the axis."""
        return self.left + min(max(months, 0.0), self.months) * self.month_px

    def y(self, held_tb: float) -> float:
        """Where so many TB stand; what is above the frame stands at its top."""
        whole = self.footage_bottom - self.footage_top
        return self.footage_bottom - min(held_tb / self.frame.top_tb, 1.0) * whole


def lanes_plan(evaluation: Evaluation, width: float, frame: LanesFrame) -> Plan:
    """The plan for a width in px."""
    few, ample = len(evaluation.builds) <= FEW, width >= AMPLE_PX
    if width < NARROW_PX:
        left, right, top, footage, lane = 34.0, width - 66, 14.0, 92.0, 84.0 if few else 76.0
    else:
        left, right, top = min(266.0, 94 + 0.152 * width), width - 118, 14.0
        footage = (146.0 if ample else 108.0) if few else 112.0
        lane = (82.0 if ample else 70.0) if few else (54.0 if ample else 60.0)
    return Plan(
        width=width,
        left=left,
        right=right,
        footage_top=top,
        footage_bottom=footage,
        lane=lane,
        lanes=len(evaluation.builds),
        name_size=14 if width < NARROW_PX or (few and ample) else 13,
        pitch=7.5 if width < NARROW_PX else 10.5 if few and ample else 8.5,
        frame=frame,
        months=evaluation.scenario.horizon_months,
    )


def calendar(plan: Plan, evaluation: Evaluation) -> Iterator[Node]:
    """Januaries through all of the picture, named at the foot."""
    start = evaluation.scenario.start_date
    januaries = range((13 - start.month) % 12, plan.months + 1, 12)
    every = next(years for years in (1, 2, 5, 10, 20) if years * 12 * plan.month_px >= YEAR_PX)
    for month in januaries:
        yield line(plan.x(month), plan.footage_top - 6, plan.x(month), plan.bottom, HAIR)
    for foot in (plan.footage_bottom, plan.bottom):
        yield line(plan.left, foot, plan.right, foot, AXIS)
    years = [(month, start.year + (start.month - 1 + month) // 12) for month in januaries]
    named = [(month, str(year)) for month, year in years if year % every == 0]
    if not named or plan.x(named[0][0]) - plan.left > 60:
        named = [(0, words.short_month(evaluation.scenario, 0)), *named]
    for month, _ in named:
        yield line(plan.x(month), plan.bottom, plan.x(month), plan.bottom + 5, AXIS)
    names = [text(name, plan.x(month), plan.bottom + 18) for month, name in named]
    yield node("g", names, text_anchor="middle", fill=SOFT)
