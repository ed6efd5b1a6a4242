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
from storagecalc.study.money.price_paths import PricePaths, price_of
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

# Later ones are counted and paid for like the others, but stand in no list.
LISTED_BOXES = 6
THINGS = ("box", "shelf", "drives", "larger drives", "further box")


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One thing that is ordered at most once: arrays of shape (positions, draws, 1).

    ``what`` is "box", "shelf", "drives", "larger drives", "work", "copy: NAME", "other: NAME" or
    "further box" (with its first drives).
    ``month`` is infinite in futures that never order it, and ``cost`` is then 0; else it is the
    price in that month.
    """

    what: str
    count: int
    month: FloatArray
    cost: FloatArray


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
    steps = own_steps(space)
    found = list(_at_first(drawn, build, steps, flow, prices))
    found += list(_of_steps(drawn, build, steps, grown.own.steps_ordered_by_month, prices))
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


def _at_first(
    drawn: Scenario, build: Build, steps: Steps, flow: CashFlow, prices: PricePaths
) -> Iterator[Order]:
    """What is ordered in month 0 in every future, but for steps that are due at once."""
    counts = {
        "box": 1 if build.starts_in is None else 0,
        "shelf": int(steps.shelves_by_step[0]),
        "drives": int(steps.drives_by_step[0]) + build.cold_spares,
    }
    costs = {what: count * price_of(drawn, build, prices, what) for what, count in counts.items()}
    costs["work"] = flow.holdings[0].order_work_cost_by_month
    for what, cost in {**costs, **flow.bought_cost_by_name}.items():
        first, count = cost[..., :1], counts.get(what, 1)
        # Which orders there are never hangs on the futures: blocks of them are joined.
        if count:
            yield Order(what=what, count=count, month=np.where(first > 0, 0.0, np.inf), cost=first)


def _of_steps(
    drawn: Scenario, build: Build, steps: Steps, ordered: IntArray, prices: PricePaths
) -> list[Order]:
    things = {
        "shelf": steps.shelves_by_step,
        "drives": steps.drives_by_step,
        "larger drives": steps.larger_drives_by_step,
    }
    months = _months_of(ordered, range(1, len(steps.drives_by_step)))
    found: list[tuple[int, Order]] = []
    for what, so_far in things.items():
        new = np.diff(so_far)
        taken = np.flatnonzero(new > 0)
        if taken.size:
            month = months[..., taken]
            cost = new[taken] * _at(price_of(drawn, build, prices, what), month)
            found += zip(taken, _listed(what, new[taken], month, cost), strict=True)
    return [order for _, order in sorted(found, key=lambda each: each[0])]


def _of_boxes(
    drawn: Scenario, box: FurtherBox, grown: Growth, prices: PricePaths
) -> Iterator[Order]:
    steps, each = own_steps(box.space), box.space.ladder.plannable_tb.shape[-1]
    drives = steps.drives_by_step[0] + box.build.cold_spares
    price = price_of(drawn, box.build, prices, "box") + drives * price_of(
        drawn, box.build, prices, "drives"
    )
    firsts = range(1, 1 + LISTED_BOXES * each, each)
    month = np.full((1, 1, LISTED_BOXES), np.inf)
    if grown.further is not None:
        month = _months_of(grown.further.steps_ordered_by_month, firsts)
    return _listed("further box", np.ones(LISTED_BOXES), month, _at(price, month))


def _listed(what: str, counts: FloatArray, month: FloatArray, cost: FloatArray) -> Iterator[Order]:
    """One order for each step along the last axis."""
    for place, count in enumerate(counts):
        own = slice(place, place + 1)
        yield Order(what=what, count=int(count), month=month[..., own], cost=cost[..., own])


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
