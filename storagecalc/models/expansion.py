"""The cheapest way to hold a growing amount of data: what to buy in which month."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion_price import Ledger, Order, cost_by_month
from storagecalc.models.expansion_problem import (
    DriveOption,
    OwnedLot,
    OwnedPool,
    Problem,
    UnitOption,
)
from storagecalc.models.expansion_search import Change, Columns, Search
from storagecalc.models.expansion_states import NOTHING, States

__all__ = [
    "DriveOption",
    "InfeasiblePlan",
    "Order",
    "OwnedLot",
    "OwnedPool",
    "Plan",
    "Problem",
    "UnitOption",
    "best_plan",
    "cost_by_month",
    "search_cells",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What to buy in which month, and what comes of it.

    Parameters
    ----------
    net_present_cost
        All costs in the money of month 0; no plan within the rules has less.
    orders
        Lines of what to order, in order of month.
    plannable_tb_by_month
        Plannable TB that stands in each month.
    unmet_tb_by_month
        TB asked for that find no room in each month.
    cost_by_month
        Costs in the money of each month; what comes in is negative.
    """

    net_present_cost: float
    orders: tuple[Order, ...]
    plannable_tb_by_month: FloatArray
    unmet_tb_by_month: FloatArray
    cost_by_month: FloatArray


class InfeasiblePlan(ValueError):  # noqa: N818
    """No orders hold what is asked for, and nothing may find no room.

    Parameters
    ----------
    month
        The first month such that no orders meet what is asked for up to it, from 0.
    required_tb
        Plannable TB asked for in that month.
    short_tb
        The least lack in that month among orders that meet what is asked for before it.
    """

    def __init__(self, *, month: int, required_tb: float, short_tb: float) -> None:
        super().__init__(
            f"month {month} asks for {required_tb:.6g} TB of plannable space; "
            f"{round(required_tb - short_tb, 9):.6g} TB is the most that can stand by then"
        )
        self.month = month
        self.short_tb = short_tb


def best_plan(problem: Problem) -> Plan:
    """The orders with the least net present cost that hold what is asked for in every month.

    Exact for any prices: of all plans within the rules none is cheaper; of several that cost the
    same it returns one. In each month one order may bring new units with their first drives, more
    drives of the same size for pools that stand, and a swap of all drives of the box for larger
    ones. Formula of the recursion, from the last month back: ``V[t](x) = min(G[t](x) + V[t+1](x),
    order cost + min over y ahead of x of cost[t](x to y) + G[t](y) + V[t+1](y))`` with x, y what
    has been ordered, and G what it costs while it stands and what finds no room.

    Nothing is worth anything behind the horizon unless ``sell_at_end``: so the last purchases come
    out small or late. Ask again with a longer horizon before acting on more than the first order.

    Parameters
    ----------
    problem
        What is asked for, for sale and owned; see `Problem`.

    Returns
    -------
    Plan

    Raises
    ------
    InfeasiblePlan
        Where nothing may stay unmet and no orders hold what is asked for.
    ValueError
        Where the problem has more than 1,000,000,000 states times months.

    Notes
    -----
    H. M. Wagner, T. M. Whitin, "Dynamic Version of the Economic Lot Size Model", Management Science
    5(1), 1958, has the recursion for one product; states of several pools are the same over pairs.

    Examples
    --------
    Two mirrored drives of 1 TB in a box; what is asked for never outgrows them.

    >>> problem = Problem(
    ...     required_tb_by_month=[0.5, 1.0, 1.0],
    ...     drive_options=(
    ...         DriveOption(
    ...             key="d", size_tb=1.0, price_by_month=[10.0] * 3, running_cost_by_month=[1.0] * 3
    ...         ),
    ...     ),
    ...     unit_options=(
    ...         UnitOption(
    ...             key="box", bays=2, redundancy="mirror", hot_spares=0, drives_at_first=2,
    ...             drives_per_step=1, price_by_month=[50.0] * 3, running_cost_by_month=[0.0] * 3,
    ...         ),
    ...     ),
    ...     order_cost_by_month=[5.0] * 3, swap_cost_by_month=[0.0] * 3, unmet_price_by_month=None,
    ...     plannable_fraction=1.0, lead_time_months=0, discount_rate_per_year=0.0,
    ... )
    >>> plan = best_plan(problem)
    >>> plan.net_present_cost, [(order.month, order.drives) for order in plan.orders]
    (81.0, [(0, 2)])
    """
    search = Search(problem)
    cost, changes = search.best()
    if cost == float("inf"):
        month, short = search.first_lack()
        required = float(problem.required_tb_by_month[month])
        raise InfeasiblePlan(month=month, required_tb=required, short_tb=short)
    orders = tuple(_orders(search, changes))
    ledger = Ledger(problem, orders)
    return Plan(
        net_present_cost=cost,
        orders=orders,
        plannable_tb_by_month=ledger.plannable_tb_by_month,
        unmet_tb_by_month=ledger.unmet_tb_by_month,
        cost_by_month=ledger.cost_by_month(),
    )


def search_cells(problem: Problem) -> int:
    """How many states times months `best_plan` looks at, found without looking at them.

    Formula: states times order months. Where what a swap takes out is sold, each order month counts
    once for every month left for the next swap, and once for "never"; where drives may be swapped
    and fetch something at the end alone, it counts twice.

    Parameters
    ----------
    problem
        What is asked for, for sale and owned; see `Problem`.

    Returns
    -------
    int
        1 or more; the time that `best_plan` takes grows with it.

    Examples
    --------
    No box, or a box with one, two, three or four drives, in three months.

    >>> problem = Problem(
    ...     required_tb_by_month=[1.0, 2.0, 3.0],
    ...     drive_options=(
    ...         DriveOption(
    ...             key="d", size_tb=1.0, price_by_month=[10.0] * 3, running_cost_by_month=[1.0] * 3
    ...         ),
    ...     ),
    ...     unit_options=(
    ...         UnitOption(
    ...             key="box", bays=4, redundancy="none", hot_spares=0, drives_at_first=1,
    ...             drives_per_step=1, price_by_month=[50.0] * 3, running_cost_by_month=[0.0] * 3,
    ...         ),
    ...     ),
    ...     order_cost_by_month=[5.0] * 3, swap_cost_by_month=[0.0] * 3, unmet_price_by_month=None,
    ...     plannable_fraction=1.0, lead_time_months=0, discount_rate_per_year=0.0,
    ... )
    >>> search_cells(problem)
    15
    """
    states = States(problem)
    return Columns(states, np.ones(problem.months)).cells(states)


def _orders(search: Search, changes: Iterable[Change]) -> Iterable[Order]:
    """Lines of orders from changes of state."""
    units, drives = search.states.units, search.states.drives
    pools = {axis: axis.pool for axis in search.states.axes if axis.pool is not None}
    for month, axis, old, new in changes:
        is_new = axis.unit[old] == NOTHING
        if is_new:
            pools[axis] = len(pools)
        is_swap = not is_new and axis.drive[old] != axis.drive[new]
        had, has = int(axis.count[old]), int(axis.count[new])
        lines = [(had, True)] if is_swap else []
        lines += [(has - had, False)] if has > had else []
        for count, swap in lines:
            yield Order(
                month=month,
                pool=pools[axis],
                unit=units[axis.unit[new]].key if is_new else None,
                drive=drives[axis.drive[new]].key,
                drives=count,
                swap=swap,
            )
