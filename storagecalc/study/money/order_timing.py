"""When the space of each line of a plan is needed, and what the line would cost ordered for it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from storagecalc.models.expansion import Order, Problem, UnitOption
from storagecalc.models.expansion_price import Ledger
from storagecalc.models.expansion_problem import CAPACITY_TOLERANCE_TB
from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.study.money.hindsight import model_orders, orders_cost, problems_planned
from storagecalc.study.sampling import Sampler


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTiming:
    """One line of a plan, and when it would be ordered for its space alone.

    ``needed_months`` is the month in which the line planned for outgrows all lines before this one,
    infinite for never. ``order_by_months`` is the last month whose order stands by then, 0 where
    none does. ``waiting_cost`` is what the line costs more if it is ordered then, discounted and
    without the work of an order: below 0 where it gets cheaper, infinite where its drives are no
    longer sold, 0 where it is not ordered earlier.
    """

    line: PlannedOrder
    needed_months: float
    order_by_months: float
    waiting_cost: float


def timings(sample: Sampler, plans: Mapping[str, PurchasePlan]) -> dict[str, list[LineTiming]]:
    """The timing of every line of every plan, by alternative, at the mean prices of the
    futures that plans are made for.

    Parameters
    ----------
    sample
        With one position. Its number of draws does not matter.
    plans
        What is ordered, by alternative.
    """
    return {
        key: line_timings(problem, plans[key].orders)
        for key, problem in problems_planned(sample, plans).items()
    }


def line_timings(problem: Problem, lines: Sequence[PlannedOrder]) -> list[LineTiming]:
    """The timing of every line, each with only those before it.

    A line of which a part is needed at once is told in two: that part, and the drives ordered
    ahead.

    Parameters
    ----------
    problem
        Its required space never falls.
    lines
        Orders that keep to its rules.
    """
    # An order's work is shared by its lines: what is left is what a line costs by itself.
    workless = replace(problem, order_cost_by_month=np.zeros(problem.months))
    found: list[LineTiming] = []
    before: tuple[Order, ...] = ()
    for line in lines:
        for part in _parts(problem, before, line):
            found.append(_timing(workless, before, part))
            before = (*before, *model_orders([part]))
    return found


def _timing(problem: Problem, before: tuple[Order, ...], line: PlannedOrder) -> LineTiming:
    needed = _needed_months(problem, before)
    by = _order_by_months(problem, needed)
    (order,) = model_orders([line])
    waits = line.month < by < math.inf
    return LineTiming(
        line=line,
        needed_months=needed,
        order_by_months=by,
        waiting_cost=_waiting_cost(problem, before, order, int(by)) if waits else 0.0,
    )


def _parts(problem: Problem, before: tuple[Order, ...], line: PlannedOrder) -> list[PlannedOrder]:
    """The fewest drives of a line that leave nothing needed at once, and the others."""
    if line.swap or _order_by_months(problem, _needed_months(problem, before)) > line.month:
        return [line]
    there, unit = _there(problem, before, line)
    for count in range(1, line.count):
        part = replace(line, count=count)
        if there + count in unit.drive_counts:
            orders = (*before, *model_orders([part]))
            if _order_by_months(problem, _needed_months(problem, orders)) > line.month:
                return [part, replace(line, count=line.count - count, unit=None)]
    return [line]


def _there(
    problem: Problem, before: tuple[Order, ...], line: PlannedOrder
) -> tuple[int, UnitOption]:
    """The drives that a line finds in its pool, and the pool's unit."""
    if line.unit is not None:
        return 0, problem.unit(line.unit)
    owned = dict(enumerate(problem.owned))
    count, key = 0, ""
    if line.pool in owned:
        count, key = owned[line.pool].drives, owned[line.pool].unit
    for order in before:
        if order.pool == line.pool:
            key = order.unit or key
            count = order.drives if order.swap else count + order.drives
    return count, problem.unit(key)


def _needed_months(problem: Problem, before: Sequence[Order]) -> float:
    """The first month that asks for more than all these lines bring, once they stand."""
    most_tb = Ledger(problem, before).plannable_tb_by_month[-1] + CAPACITY_TOLERANCE_TB
    short = np.flatnonzero(problem.required_tb_by_month > most_tb)
    return float(short[0]) if len(short) else math.inf


def _order_by_months(problem: Problem, needed_months: float) -> float:
    if needed_months == math.inf:
        return math.inf
    months = range(problem.order_months)
    in_time = [month for month in months if problem.standing_month(month) <= needed_months]
    return float(max(in_time, default=0))


def _waiting_cost(problem: Problem, before: Sequence[Order], order: Order, month: int) -> float:
    """What one order costs more in a later month, in which its space is still in time."""
    if not problem.drive(order.drive).is_for_sale(month):
        return math.inf
    later = replace(order, month=month)
    return orders_cost(problem, (*before, later)) - orders_cost(problem, (*before, order))
