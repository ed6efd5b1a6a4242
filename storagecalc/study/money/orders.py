"""The orders of every future: what is ordered, in which month, at what price."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.ordering import IntArray
from storagecalc.study.capacity.growth import Growth
from storagecalc.study.capacity.space import Space
from storagecalc.study.capacity.steps import FurtherBox, Steps, own_steps
from storagecalc.study.money.cash_flow import CashFlow
from storagecalc.study.money.price_paths import PricePaths, box_price, drive_price, shelf_price
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

# Later ones are counted and paid for like the others, but stand in no list.
LISTED_BOXES = 6
THINGS = ("box", "shelf", "drives", "larger drives", "further box")


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One thing that is ordered at most once: arrays of shape (positions, draws, 1).

    ``what`` is "box", "shelf", "drives", "larger drives", "work", "copy: NAME", "other: NAME" or
    "further box" (with its first drives). ``drives`` is the key of their class, None for other
    things.
    ``month`` is infinite in futures that never order it, and ``cost`` is then 0; else it is the
    price in that month.
    """

    what: str
    count: int
    month: FloatArray
    cost: FloatArray
    drives: str | None = None


def orders(
    drawn: Scenario,
    build: Build,
    space: Space,
    box: FurtherBox | None,
    grown: Growth,
    flow: CashFlow,
    prices: PricePaths,
) -> tuple[Order, ...]:
    """The first order, every step after it, then the first few further boxes.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, space, box
        The build, its space by step, and the further box.
    grown, flow
        Which steps are ordered when, and what is paid.
    prices
        How prices move.
    """
    things, month = _things(drawn, build, own_steps(space), prices), grown.first_order_month
    box_price_by_month = box_price(drawn, build, prices)
    found = list(_at_first(build, things, box_price_by_month, flow, month))
    found += _of_steps(things, grown.own.steps_ordered_by_month)
    if box is not None:
        found += _of_boxes(drawn, box, grown, prices)
    return tuple(found)


def unlisted_cost(flow: CashFlow, listed: Sequence[Order]) -> FloatArray:
    """What boxes, shelves and drives cost that are no order of the list, (positions, draws, 1).

    They are the successors of what is worn out, drives that further boxes get later, and further
    boxes after the first few.

    Parameters
    ----------
    flow
        What is paid.
    listed
        The orders of the same futures.
    """
    bought = [cost for each in flow.holdings for cost in each.cost_by_purchase.values()]
    rest: Any = sum(cost.sum(axis=-1, keepdims=True) for cost in bought)
    for order in listed:
        if order.what in THINGS:
            rest = rest - order.cost
    return np.maximum(rest, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Thing:
    """What steps bring: how many so far by step, and the price of one by month."""

    what: str
    drives: str | None
    so_far_by_step: FloatArray
    price_by_month: FloatArray


def _things(drawn: Scenario, build: Build, steps: Steps, prices: PricePaths) -> list[_Thing]:
    """Shelves and drives by class, cold spares among those of the first order."""
    shelves = _Thing(
        what="shelf",
        drives=None,
        so_far_by_step=steps.shelves_by_step,
        price_by_month=shelf_price(build, prices),
    )
    return [shelves] + [
        _Thing(
            what=stint.what,
            drives=stint.drives,
            so_far_by_step=stint.bought_drives_by_step + (0 if place else build.cold_spares),
            price_by_month=drive_price(drawn, prices, stint.drives),
        )
        for place, stint in enumerate(steps.stints)
    ]


def _at_first(
    build: Build,
    things: Sequence[_Thing],
    box_price_by_month: FloatArray,
    flow: CashFlow,
    month: int,
) -> Iterator[Order]:
    """What the first order brings in every future, but for steps that are due at once."""
    counted: list[tuple[str, int, FloatArray, str | None]] = []
    if build.starts_in is None:
        counted.append(("box", 1, box_price_by_month, None))
    for each in things:
        count = int(each.so_far_by_step[0])
        if count:
            counted.append((each.what, count, count * each.price_by_month, each.drives))
    counted.append(("work", 1, flow.holdings[0].order_work_cost_by_month, None))
    for what, count, cost, drives in counted if month < box_price_by_month.shape[-1] else ():
        yield _once(what, count, cost[..., month : month + 1], month, drives)
    for name, cost in flow.bought_cost_by_name.items():
        yield _once(name, 1, cost[..., :1], 0, None)


def _once(what: str, count: int, cost: FloatArray, month: int, drives: str | None) -> Order:
    # Which orders there are never hangs on the futures: blocks of them are joined.
    when = np.where(cost > 0, float(month), np.inf)
    return Order(what=what, count=count, month=when, cost=cost, drives=drives)


def _of_steps(things: Sequence[_Thing], ordered: IntArray) -> list[Order]:
    steps = things[0].so_far_by_step.size
    months = _months_of(ordered, range(1, steps))
    found: list[tuple[int, Order]] = []
    for thing in things:
        new = np.diff(thing.so_far_by_step)
        taken = np.flatnonzero(new > 0)
        if taken.size:
            month = months[..., taken]
            cost = new[taken] * _at(thing.price_by_month, month)
            listed = _listed(thing.what, new[taken], month, cost, thing.drives)
            found += zip(taken, listed, strict=True)
    return [order for _, order in sorted(found, key=lambda each: each[0])]


def _of_boxes(
    drawn: Scenario, box: FurtherBox, grown: Growth, prices: PricePaths
) -> Iterator[Order]:
    steps, each = own_steps(box.space), box.space.ladder.plannable_tb.shape[-1]
    drives = steps.stints[0].count_by_step[0] + box.build.cold_spares
    price = box_price(drawn, box.build, prices)
    price = price + drives * drive_price(drawn, prices, box.build.drives)
    firsts = range(1, 1 + LISTED_BOXES * each, each)
    month = np.full((1, 1, LISTED_BOXES), np.inf)
    if grown.further is not None:
        month = _months_of(grown.further.steps_ordered_by_month, firsts)
    return _listed("further box", np.ones(LISTED_BOXES), month, _at(price, month))


def _listed(
    what: str,
    counts: FloatArray,
    month: FloatArray,
    cost: FloatArray,
    drives: str | None = None,
) -> Iterator[Order]:
    """One order for each step along the last axis."""
    for place, count in enumerate(counts):
        own = slice(place, place + 1)
        yield Order(
            what=what,
            count=int(count),
            month=month[..., own],
            cost=cost[..., own],
            drives=drives,
        )


def _months_of(steps_ordered_by_month: IntArray, steps: Sequence[int]) -> FloatArray:
    """The month in which each step is ordered, infinite where it never is."""
    shape = (*steps_ordered_by_month.shape[:2], len(steps))
    before = np.empty(shape)
    for place, step in enumerate(steps):
        before[..., place] = (steps_ordered_by_month < step).sum(axis=-1)
    return np.where(before < steps_ordered_by_month.shape[-1], before, np.inf)


def _at(price_by_month: FloatArray, month: FloatArray) -> FloatArray:
    """The price in a month; 0 where the month never comes."""
    comes = np.isfinite(month)
    if not comes.any():
        return np.zeros((1, 1, month.shape[-1]))
    shape = np.broadcast_shapes(price_by_month.shape[:2], month.shape[:2])
    found = np.take_along_axis(
        np.broadcast_to(price_by_month, (*shape, price_by_month.shape[-1])),
        np.broadcast_to(np.where(comes, month, 0).astype(np.int64), (*shape, month.shape[-1])),
        axis=-1,
    )
    return np.where(comes, found, 0.0)
