"""What is told of an alternative's money: means over the futures, with what they may stray."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import ByPosition, Spread, monthless_spread, spread
from storagecalc.study.money.orders import Order
from storagecalc.study.money.purchases import Purchase, purchases
from storagecalc.study.outcome import Futures, Outcome

# Shoot days fewer than this in all the years are none to share a cost among.
LEAST_DAYS = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyResult:
    """Money of one alternative, in the scenario's currency: one number (or row) a position.

    Present values are at the scenario's discount rate. ``upfront_cost`` is what month 0 orders.
    ``present_cost_by_category`` are means that add up to the mean of ``net_present_cost``.
    A ratio's mean is the ratio of means. ``cost_by_year`` is what is paid in each year, in money
    of that year; ``present_cost_by_year`` is its mean in today's money, which comes to the mean of
    ``net_present_cost`` but for what is worth something at the end. ``purchases`` are the orders at
    the middle of every range, ``orders`` those of every future, and ``unlisted_orders_cost`` what
    boxes and drives cost that are none of these.
    """

    upfront_cost: Spread
    upfront_cost_by_draw: Any
    net_present_cost: Spread
    net_present_cost_by_draw: Any
    present_cost_by_category: Mapping[str, ByPosition]
    cost_per_usable_tb: Spread
    cost_per_plannable_tb: Spread
    full_cost: Spread
    full_cost_per_usable_tb: Spread
    full_cost_per_plannable_tb: Spread
    levelised_cost_per_tb_year: Spread
    remedy_cost: Spread
    cost_by_year: Spread
    present_cost_by_year: Any
    dearest_later_year_cost: Spread
    dearest_later_year_cost_by_draw: Any
    cost_per_shoot_day: Mapping[str, Spread]
    purchases: tuple[Purchase, ...]
    orders: tuple[Order, ...]
    unlisted_orders_cost: Spread


def money_result(
    point: Outcome, middle: Futures, futures: Futures, *, gridded: bool
) -> MoneyResult:
    """Money of one alternative, from its middle and its futures.

    Parameters
    ----------
    point
        What it comes to at the middle of every range.
    middle, futures
        What is kept of that, and of every future.
    gridded
        Whether there are several positions: each would have a list of orders of its own.
    """

    def spread_of(name: str) -> Spread:
        return monthless_spread(getattr(middle, name), getattr(futures, name))

    def ratio_of(cost: str, amount: str) -> Spread:
        pairs = [(getattr(each, cost), getattr(each, amount)) for each in (middle, futures)]
        return _ratio(*pairs)

    return MoneyResult(
        upfront_cost=spread_of("upfront_cost"),
        upfront_cost_by_draw=futures.upfront_cost[..., 0],
        net_present_cost=spread_of("net_present_cost"),
        net_present_cost_by_draw=futures.net_present_cost[..., 0],
        present_cost_by_category={
            category: cost[..., 0].mean(axis=1)
            for category, cost in futures.present_cost_by_category.items()
        },
        cost_per_usable_tb=ratio_of("hardware_cost", "usable_tb"),
        cost_per_plannable_tb=ratio_of("hardware_cost", "plannable_tb"),
        full_cost=spread_of("full_cost"),
        full_cost_per_usable_tb=ratio_of("full_cost", "full_usable_tb"),
        full_cost_per_plannable_tb=ratio_of("full_cost", "full_plannable_tb"),
        levelised_cost_per_tb_year=ratio_of("net_present_cost", "demanded_tb_years"),
        remedy_cost=spread_of("remedy_cost"),
        cost_by_year=spread(middle.cost_by_year, futures.cost_by_year),
        present_cost_by_year=futures.present_cost_by_year.mean(axis=1),
        dearest_later_year_cost=spread_of("dearest_later_year_cost"),
        dearest_later_year_cost_by_draw=futures.dearest_later_year_cost[..., 0],
        cost_per_shoot_day=_per_shoot_day(middle, futures),
        purchases=() if gridded else purchases(point.flow),
        orders=futures.orders,
        unlisted_orders_cost=spread_of("unlisted_orders_cost"),
    )


def _per_shoot_day(middle: Futures, futures: Futures) -> dict[str, Spread]:
    """What a shoot day of each kind of work costs."""

    def of(kept: Futures, work: str) -> tuple[FloatArray, FloatArray]:
        cost = kept.net_present_cost * kept.held_fraction_by_work[work]
        return cost, kept.shoot_days_by_work[work]

    return {work: _ratio(of(middle, work), of(futures, work)) for work in middle.shoot_days_by_work}


def _ratio(point: tuple[FloatArray, FloatArray], futures: tuple[FloatArray, FloatArray]) -> Spread:
    """Cost over amount: its mean is the ratio of means; 0 where there is no amount to share."""
    (cost, amount), (costs, amounts) = point, futures
    found = monthless_spread(_shared(cost, amount), _shared(costs, amounts))
    mean = _shared(costs.mean(axis=1), amounts.mean(axis=1))[..., 0]
    return Spread(point=found.point, mean=mean, p10=found.p10, p50=found.p50, p90=found.p90)


def _shared(cost: FloatArray, amount: FloatArray) -> FloatArray:
    some = amount > LEAST_DAYS
    return np.where(some, cost / np.where(some, amount, 1.0), 0.0)
