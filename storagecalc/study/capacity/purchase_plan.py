"""The other policy: what is ordered in which month is settled beforehand, for all futures alike."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Literal, TypeAlias

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import delayed
from storagecalc.study.capacity.growth import (
    Climb,
    Growth,
    further_climb,
    months_until,
    still_kept_tb,
)
from storagecalc.study.capacity.owned import (
    KeptBox,
    beside_kept,
    kept_tb_by_month,
    stands_by_month,
    stands_from,
)
from storagecalc.study.capacity.space import Pools, Space, Stint, laid_out, space_of
from storagecalc.study.capacity.steps import FurtherBox
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.owned import moved_class, moved_drive_count
from storagecalc.study.scenario.scenario import Scenario

LackPrice: TypeAlias = Literal["share of a further box", "bridging"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedOrder:
    """One line of a plan: drives of one class for one pool, in the month in which they are ordered.

    ``pool`` is 0 for the box, then shelves as they come. ``unit`` is what the line brings beside
    the drives; ``swap`` says that they take the place of all that are in the pool.
    """

    month: int
    pool: int
    unit: Literal["box", "shelf"] | None
    drives: str
    count: int
    swap: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchasePlan:
    """What a build orders, and the line of required space that it was planned for.

    ``lack_price`` says what footage without room was taken to cost once the last order stands.
    ``line_tb_by_month`` is that line, ``line_fraction`` the share of futures that do not exceed it
    in a single month, the one in which fewest do not, ``under_fraction`` the share in all of them.
    """

    orders: tuple[PlannedOrder, ...]
    lack_price: LackPrice
    line_tb_by_month: tuple[float, ...]
    line_fraction: float
    under_fraction: float


def planned_build(drawn: Scenario, build: Build, plan: PurchasePlan) -> Build:
    """The build with the drives and shelves that its plan gives it.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build
        The build as it is written.
    plan
        What it orders.
    """
    shelves = sum(order.unit == "shelf" for order in plan.orders)
    first, count = _first_drives(drawn, build, plan)
    shelf = build.shelf
    if shelf is not None:
        shelf = shelf.model_copy(update={"shelves_at_most": shelves}) if shelves else None
    return build.model_copy(
        update={"drives": first, "drives_at_first": count, "shelf": shelf, "swap_to": None}
    )


def planned_space(drawn: Scenario, build: Build, plan: PurchasePlan) -> Space:
    """What a planned build holds after each order; step 0 is what is owned, or the first order.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build
        From `planned_build`.
    plan
        What it orders.
    """
    pools, stints = _Ladder(drawn, build, plan).climbed()
    return space_of(drawn, build, pools, stints)


def planned_growth(
    drawn: Scenario,
    build: Build,
    space: Space,
    plan: PurchasePlan,
    held_tb_by_month: FloatArray,
    further: FurtherBox | None,
    kept: tuple[KeptBox, ...] = (),
) -> Growth:
    """The plan's orders in every future, and further boxes in those that are fuller than planned.

    Until its last delivery a fuller future is bridged; then further boxes come as the rule orders
    them. A future that stays under the line planned for needs one only where the plan itself leaves
    footage without room.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, space
        From `planned_build` and `planned_space`.
    plan
        What it orders.
    held_tb_by_month, further, kept
        As of `growth`.
    """
    months, kept_tb = np.arange(drawn.horizon_months), kept_tb_by_month(kept)
    first, later = _order_months(drawn, build, plan)
    ordered = np.searchsorted(later, months, side="right")[None, None]
    in_place = delayed(ordered, delay_months=build.lead_time_months).astype(np.int64)
    stands = stands_by_month(drawn, build) if first == 0 else stands_from(drawn, build, first)
    held = beside_kept(held_tb_by_month, kept_tb)
    # A plan that orders nothing has no space of its own.
    plannable = space.ladder.plannable_tb * (first < drawn.horizon_months)
    most, first_fill = plannable[..., -1:], months_until(held, plannable[..., :1])
    full = months_until(held, most * build.order_at_fraction)
    coming = [float(month) for month in (first, *later) if 0 < month < drawn.horizon_months]
    planned = np.full((1, 1, 1), coming[0]) if coming else None
    return Growth(
        own=Climb(steps_ordered_by_month=ordered, steps_in_place_by_month=in_place),
        further=_further(drawn, build, plan, held_tb_by_month, most, further, kept),
        first_order_month=first,
        stands_by_month=stands,
        counted_tb_by_month=kept_tb,
        most_tb_by_month=most + kept_tb if kept else most,
        first_fill_months=first_fill,
        headroom_months=months_until(held, most),
        # What is planned is the next order, whatever the future turns out to be.
        order_by_months=first_fill - np.ceil(build.lead_time_months)
        if planned is None
        else planned,
        rule_order_months=full if planned is None else planned,
    )


def _further(
    drawn: Scenario,
    build: Build,
    plan: PurchasePlan,
    held_tb_by_month: FloatArray,
    most: FloatArray,
    further: FurtherBox | None,
    kept: tuple[KeptBox, ...],
) -> Climb | None:
    """Further boxes, once all that is ordered stands, of futures fuller than planned."""
    if further is None:
        return None
    months, kept_tb = np.arange(drawn.horizon_months), kept_tb_by_month(kept)
    line_tb = np.array(plan.line_tb_by_month)
    is_fuller = np.maximum.accumulate(beside_kept(held_tb_by_month, kept_tb) > line_tb, axis=-1)
    # What is kept counts as long as it will still stand when a further box comes.
    left = beside_kept(held_tb_by_month, still_kept_tb(kept_tb, further.build))
    due = (months >= _all_stand_from(drawn, build, plan)) & (is_fuller | (left > most))
    return further_climb(build, further, left, most, where=due)


def _all_stand_from(drawn: Scenario, build: Build, plan: PurchasePlan) -> Any:
    """The month from which everything that is ordered stands, by future."""
    last = max((order.month for order in plan.orders), default=0)
    begins_with_it = not (last or build.keeps or moved_drive_count(drawn.owned, build))
    at_once = not plan.orders or begins_with_it
    return last + (0.0 if at_once else np.ceil(build.lead_time_months))


def _order_months(drawn: Scenario, build: Build, plan: PurchasePlan) -> tuple[int, list[int]]:
    """The month of step 0, the horizon where it never comes, and those of the steps after it."""
    months = sorted({order.month for order in plan.orders})
    if moved_drive_count(drawn.owned, build):
        return 0, months
    return (months[0], months[1:]) if months else (drawn.horizon_months, [])


def _first_drives(drawn: Scenario, build: Build, plan: PurchasePlan) -> tuple[str, int]:
    """Class and number of the drives in the box at first."""
    moved = moved_class(drawn.owned, build)
    if moved is not None:
        return moved, moved_drive_count(drawn.owned, build)
    for order in plan.orders:
        return order.drives, order.count
    return build.drives, build.drives_at_first


class _Ladder:
    """Pools and drives, order after order."""

    def __init__(self, drawn: Scenario, build: Build, plan: PurchasePlan) -> None:
        self._build = build
        # By pool the number of its stint, by stint what it is, and its counts step by step.
        self._pools: list[int] = []
        self._stints: list[tuple[str, str]] = []
        self._now: list[list[int]] = []
        self._steps: list[tuple[list[int], list[list[int]]]] = []
        by_month = [list(lines) for _, lines in groupby(plan.orders, lambda each: each.month)]
        moved = moved_drive_count(drawn.owned, build)
        if moved or not by_month:
            self._fill(0, "drives", build.drives, build.drives_at_first, bought=not moved)
            self._keep()
        for lines in by_month:
            for line in lines:
                self._take(line)
            self._keep()

    def climbed(self) -> tuple[Pools, tuple[Stint, ...]]:
        """Pools by step, and the drives that fill them."""
        bought, count, gone = self._by_stint()
        numbers = [[self._number(pools, pool) for pools, _ in self._steps]
                   for pool in range(len(self._pools))]  # fmt: skip
        drives = [[now[pools[pool]][1] if pool < len(pools) else 0 for pools, now in self._steps]
                  for pool in range(len(self._pools))]  # fmt: skip
        shelves = [len(pools) - 1.0 for pools, _ in self._steps]
        pools = laid_out(
            self._build.redundancy,
            self._build.hot_spares,
            np.array(drives),
            np.array(numbers),
            np.array(shelves),
        )
        return pools, tuple(
            Stint(
                what=what,
                drives=drives_key,
                bought_drives_by_step=bought[place],
                count_by_step=count[place],
                swapped_drives_by_step=gone[place],
            )
            for place, (what, drives_key) in enumerate(self._stints)
        )

    def _number(self, pools: Sequence[int], pool: int) -> int:
        """The stint of a pool at a step; of one that is still to come, the one it comes with."""
        if pool < len(pools):
            return pools[pool]
        return next(later[pool] for later, _ in self._steps if pool < len(later))

    def _by_stint(self) -> FloatArray:
        """Drives bought, in place and swapped out: (3, stints, steps)."""
        rows = np.zeros((3, len(self._stints), len(self._steps)))
        for step, (_, now) in enumerate(self._steps):
            rows[:, : len(now), step] = np.array(now).T
        return rows

    def _take(self, line: PlannedOrder) -> None:
        if line.unit is not None:
            self._fill(line.pool, "drives", line.drives, line.count, bought=True)
        elif line.swap:
            old = self._now[self._pools[line.pool]]
            old[1], old[2] = 0, old[1]
            self._fill(line.pool, "larger drives", line.drives, line.count, bought=True)
        else:
            there = self._now[self._pools[line.pool]]
            there[0] += line.count
            there[1] += line.count

    def _fill(self, pool: int, what: str, drives: str, count: int, *, bought: bool) -> None:
        """A new stint in a pool that is new or has been emptied."""
        self._pools[pool : pool + 1] = [len(self._stints)]
        self._stints.append((what, drives))
        self._now.append([count if bought else 0, count, 0])

    def _keep(self) -> None:
        self._steps.append((list(self._pools), [list(each) for each in self._now]))
