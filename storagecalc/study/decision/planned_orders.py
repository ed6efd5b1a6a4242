"""What an alternative that follows a plan orders in one month, as people read it."""

from dataclasses import dataclass

import numpy as np

from storagecalc.study.decision.verdict import mean_cost, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.orders import THINGS
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.quantity import middle
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedThing:
    """One thing of an order, and how many of it.

    ``drives`` is the key of their class and ``size_tb`` the size of one on the label, at the middle
    of its range; both are None for other things.
    """

    what: str
    count: int
    drives: str | None
    size_tb: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedOrders:
    """All that is ordered in one month of a plan, and its mean price then."""

    month: int
    things: tuple[OrderedThing, ...]
    cost: float


def planned_orders(evaluation: Evaluation, build: BuildResult) -> tuple[PlannedOrders, ...]:
    """The orders of a plan by month, the same in all futures; none where there is no plan.

    Parameters
    ----------
    evaluation
        Without a grid.
    build
        One of its alternatives.
    """
    plan = evaluation.plans.get(build.key)
    months = sorted({order.month for order in plan.orders}) if plan is not None else []
    return tuple(_in_month(evaluation, build, month) for month in months)


def next_planned(evaluation: Evaluation, build: BuildResult) -> PlannedOrders | None:
    """The first of them that is not placed at once; None where the plan has none."""
    coming = (each for each in planned_orders(evaluation, build) if each.month > 0)
    return next(coming, None)


def drive_size_tb(scenario: Scenario, drives: str | None) -> float | None:
    """The size of drives of a class on the label, at the middle of its range; None without one."""
    return None if drives is None else middle(scenario.drives[drives].size_tb)


def ordered_thing(scenario: Scenario, what: str, count: int, drives: str | None) -> OrderedThing:
    """So many of a thing; drives with the size of their class."""
    size_tb = drive_size_tb(scenario, drives)
    return OrderedThing(what=what, count=count, drives=drives, size_tb=size_tb)


def told_plan(evaluation: Evaluation) -> BuildResult | None:
    """The alternative whose plan is told: the recommended where it has one, else the cheapest that
    has one; None where nobody follows a plan.

    Parameters
    ----------
    evaluation
        Without a grid.
    """
    chosen = verdict(evaluation).recommended.build
    planned = [build for build in evaluation.builds if build.key in evaluation.plans]
    return chosen if chosen in planned else min(planned, key=mean_cost, default=None)


def _in_month(evaluation: Evaluation, build: BuildResult, month: int) -> PlannedOrders:
    counts: dict[tuple[str, str | None], int] = {}
    cost = 0.0
    for order in build.money.orders:
        if order.what in THINGS and np.all(order.month == month):
            key = order.what, order.drives
            counts[key] = counts.get(key, 0) + order.count
            cost += float(np.mean(order.cost))
    things = (
        ordered_thing(evaluation.scenario, what, count, drives)
        for (what, drives), count in counts.items()
    )
    return PlannedOrders(month=month, things=tuple(things), cost=cost)
