"""Looking back: what a plan costs in futures, and what the best orders would have cost in each.

Both are the planner's costs: box, shelves, drives and what stands with them, and a price for what
finds no room. In hindsight nothing is unknown, but the menu is the plan's, and so is the lead time.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from storagecalc.models.cashflow import net_present_cost
from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion import Order, Problem, best_plan, cost_by_month, search_cells
from storagecalc.study.alternatives import Alternative, alternatives
from storagecalc.study.axes import mean_number, with_draws
from storagecalc.study.capacity.purchase_plan import LackPrice, PlannedOrder, PurchasePlan
from storagecalc.study.money.plan_problem import plan_problem
from storagecalc.study.money.planning import (
    further_box,
    planning_futures,
    required_by_alternative,
    with_lead_time,
)
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.sampling import Sampler
from storagecalc.study.scenario.drives import DriveClass
from storagecalc.study.scenario.quantity import Amount
from storagecalc.study.scenario.scenario import Scenario

# Futures looked at, and the states times months that all their plans together may take: some 15 s.
# A month takes as long as so many states even where it has few. Where few futures fit, so few are
# looked at nevertheless.
MOST_FUTURES = 200
FEWEST_FUTURES = 4
CELLS_IN_ALL = 300_000_000
CELLS_A_MONTH = 7_000
# Drives of sizes that differ by no more than this share hold the same.
SAME_SIZE_FRACTION = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Hindsight:
    """Net present costs by future, shape (draws,): of the plan's own orders, and of the best."""

    plan_cost_by_draw: FloatArray
    best_cost_by_draw: FloatArray


def hindsight(sample: Sampler, plans: Mapping[str, PurchasePlan]) -> dict[str, Hindsight]:
    """What plans cost in futures, and what is best in each of them, by alternative.

    How many futures hangs on how much each plan is to find, and on nothing else.

    Parameters
    ----------
    sample
        With one position. Its own number of draws does not matter.
    plans
        What is ordered, by alternative.
    """
    cases = _cases(sample.middle(), plans)
    futures = futures_looked_at(problems_planned(sample, plans).values())
    sample = replace(sample, draws=futures)
    required = {
        each.key: with_draws(rows[None], futures)[0]
        for each, rows in required_by_alternative(sample.futures(0, futures))
    }
    cost = {key: np.empty((2, futures)) for key in cases}
    for future in range(futures):
        drawn = sample.futures(future, future + 1)
        for key, case in cases.items():
            problem = case.problem(drawn, required[key][future])
            found = plan_cost(problem, plans[key]), best_plan(problem).net_present_cost
            cost[key][:, future] = found
    return {
        key: Hindsight(plan_cost_by_draw=rows[0], best_cost_by_draw=rows[1])
        for key, rows in cost.items()
    }


def problems_planned(sample: Sampler, plans: Mapping[str, PurchasePlan]) -> dict[str, Problem]:
    """What each plan was asked for, by alternative: its line, at the mean prices of its futures.

    Parameters
    ----------
    sample, plans
        As of `hindsight`.
    """
    drawn = planning_futures(sample)
    return {
        key: case.problem(drawn, plans[key].line_tb_by_month)
        for key, case in _cases(sample.middle(), plans).items()
    }


def futures_looked_at(problems: Iterable[Problem]) -> int:
    """Futures for which all of these problems are solved anew, fewer where they are large."""
    cells = sum(search_cells(each) + CELLS_A_MONTH * each.months for each in problems)
    return max(FEWEST_FUTURES, min(MOST_FUTURES, CELLS_IN_ALL // max(cells, 1)))


def plan_cost(problem: Problem, plan: PurchasePlan) -> float:
    """Net present cost of a plan's own orders, by the ledger that follows drive by drive.

    Parameters
    ----------
    problem
        Of the middle or of one future, from `problems_planned` or like it.
    plan
        What is ordered.
    """
    return orders_cost(problem, model_orders(plan.orders))


def orders_cost(problem: Problem, orders: Sequence[Order]) -> float:
    """The same of any lines that keep to the rules of the problem."""
    return float(
        net_present_cost(
            cost_by_month=cost_by_month(problem, orders),
            discount_rate_per_year=problem.discount_rate_per_year,
        )
    )


def model_orders(orders: Iterable[PlannedOrder]) -> tuple[Order, ...]:
    """Lines of a plan as the planner writes them."""
    return tuple(
        Order(
            month=line.month,
            pool=line.pool,
            unit=line.unit,
            drive=line.drives,
            drives=line.count,
            swap=line.swap,
        )
        for line in orders
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """An alternative that is planned, its lead time, and the classes it is planned with, smallest
    first: no future changes them."""

    each: Alternative
    lead_time_months: Amount
    lack_price: LackPrice
    classes: tuple[str, ...]

    def problem(self, drawn: Scenario, required_tb_by_month: Sequence[float]) -> Problem:
        """What the planner is asked on average, or in one future."""
        build, box, prices = self.each.build(drawn), further_box(drawn), price_paths(drawn)
        build = with_lead_time(build, self.lead_time_months)
        apart = drawn.model_copy(update={"drives": _apart(drawn.drives, self.classes)})
        required = np.asarray(required_tb_by_month)
        problem = plan_problem(apart, build, prices, box, self.lack_price, required)
        menu = [each for each in problem.drive_options if each.key in self.classes]
        return replace(problem, drive_options=tuple(menu))


def _cases(middle: Scenario, plans: Mapping[str, PurchasePlan]) -> dict[str, _Case]:
    return {
        each.key: _case(middle, each, plans[each.key])
        for each in alternatives(middle)
        if each.key in plans
    }


def _case(middle: Scenario, each: Alternative, plan: PurchasePlan) -> _Case:
    build, box, prices = each.build(middle), further_box(middle), price_paths(middle)
    line = np.array(plan.line_tb_by_month)
    options = plan_problem(middle, build, prices, box, plan.lack_price, line).drive_options
    # Of two classes of a size the plan has one, whichever is the cheaper in a future.
    by_size = {option.size_tb: option.key for option in options}
    by_size |= {_size_tb(middle.drives[line.drives]): line.drives for line in plan.orders}
    return _Case(
        each=each,
        lead_time_months=build.lead_time_months,
        lack_price=plan.lack_price,
        classes=tuple(by_size[size_tb] for size_tb in sorted(by_size)),
    )


def _apart(drives: Mapping[str, DriveClass], classes: Sequence[str]) -> dict[str, DriveClass]:
    """Drives of sizes that all differ: none on the menu is smaller than one before it, and what is
    not on it is larger than all that is.

    Where sizes are ranges, what is the larger drive at the middle may be none in a future.
    """
    sizes: dict[str, float] = {}
    for key in (*classes, *(key for key in drives if key not in classes)):
        before = max(sizes.values(), default=0.0) * (1.0 + SAME_SIZE_FRACTION)
        sizes[key] = max(_size_tb(drives[key]), before)
    return {key: own.model_copy(update={"size_tb": sizes[key]}) for key, own in drives.items()}


def _size_tb(drives: DriveClass) -> float:
    return mean_number(drives.size_tb)
