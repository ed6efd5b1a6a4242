"""The orders of one alternative as people read them: median month, share of futures, mean price."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from storagecalc.study.money.orders import Order
from storagecalc.study.result import BuildResult

# What gives it more room.
STEPS = ("drives", "larger drives", "shelf", "further box")
# What fewer futures than this order is left out of the list.
LEAST_FRACTION = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """One line of the list: median month among the futures that place the order, their share, and
    the mean price they pay.

    One in ten of those futures places it before ``month_p10``, one in ten after ``month_p90``.
    ``drives`` is the key of their class, None for other things.
    """

    month: int
    month_p10: int
    month_p90: int
    what: str
    count: int
    drives: str | None
    placed_fraction: float
    cost: float


def order_list(build: BuildResult) -> tuple[OrderRow, ...]:
    """What is ordered and when, by month; steps taken together stand in one line a class of drives.

    The lines of month 0 add up to the mean of the first order, where no step is due at once in
    some futures only.

    Parameters
    ----------
    build
        An alternative of an evaluation without a grid.
    """
    rows = [row for order in build.money.orders for row in _row(order)]
    return tuple(sorted(_together(rows), key=lambda row: row.month))


def first_things(build: BuildResult) -> list[tuple[str, int]]:
    """What the first order brings in every future, with how many of each.

    Parameters
    ----------
    build
        An alternative of an evaluation without a grid.
    """
    counts: dict[str, int] = {}
    for order in build.money.orders:
        if _is_at_once(order):
            counts[order.what] = counts.get(order.what, 0) + order.count
    return [*counts.items()]


def next_order(build: BuildResult) -> OrderRow | None:
    """The first order after that which brings more room; None where few futures place one.

    Parameters
    ----------
    build
        An alternative of an evaluation without a grid.
    """
    steps = (each for each in build.money.orders if each.what in STEPS and not _is_at_once(each))
    rows = _together(row for each in steps for row in _row(each))
    return min(rows, key=lambda row: row.month, default=None)


def unlisted_cost(build: BuildResult) -> float:
    """What is paid on average for boxes, shelves and drives that stand in no line of the list.

    They are the successors of what is worn out, what further boxes get later, and what is ordered
    in few futures.

    Parameters
    ----------
    build
        An alternative of an evaluation without a grid.
    """
    rare = [order for order in build.money.orders if not any(_row(order))]
    return float(build.money.unlisted_orders_cost.mean + sum(np.mean(order.cost) for order in rare))


def _is_at_once(order: Order) -> bool:
    return not np.any(order.month)


def _row(order: Order) -> Iterable[OrderRow]:
    # A picture that is redrawn while a slider moves waits for this: one sort, no masks.
    month: Any = np.sort(order.month, axis=None)
    placed = int(np.searchsorted(month, np.inf))
    share = placed / month.size
    if share >= LEAST_FRACTION:
        early, middle, late = (
            math.floor(month[math.ceil(placed * tenths / 10) - 1]) for tenths in (1, 5, 9)
        )
        yield OrderRow(
            month=middle,
            month_p10=early,
            month_p90=late,
            what=order.what,
            count=order.count,
            drives=order.drives,
            placed_fraction=share,
            # It costs nothing where it is not placed.
            cost=float(order.cost.sum() * (month.size / order.cost.size) / placed),
        )


def _together(rows: Iterable[OrderRow]) -> list[OrderRow]:
    found: dict[tuple[int, str, str | None, float], OrderRow] = {}
    for row in rows:
        key = (row.month, row.what, row.drives, row.placed_fraction)
        if key in found:
            same = found[key]
            row = replace(
                same,
                month_p10=min(same.month_p10, row.month_p10),
                month_p90=max(same.month_p90, row.month_p90),
                count=same.count + row.count,
                cost=same.cost + row.cost,
            )
        found[key] = row
    return [*found.values()]
