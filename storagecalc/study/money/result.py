"""What is told of an alternative's money."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import (
    cost_by_year,
    levelised_cost_per_tb_year,
    net_present_cost,
)
from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import ByPosition, Spread, by_position, spread, unmonthed
from storagecalc.study.money.cash_flow import CashFlow, dearest_later_year_cost
from storagecalc.study.money.purchases import Purchase, full_cost, purchases
from storagecalc.study.money.quotes import WorkCost, work_costs, work_shares
from storagecalc.study.outcome import Futures, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyResult:
    """Money of one alternative, in the scenario's currency: one number (or row) a position.

    Present values are at the scenario's discount rate. ``present_cost_by_category`` adds up to the
    point of ``net_present_cost``.
    """

    upfront_cost: ByPosition
    net_present_cost: Spread
    net_present_cost_by_draw: Any
    present_cost_by_category: Mapping[str, ByPosition]
    cost_per_usable_tb: ByPosition
    cost_per_plannable_tb: ByPosition
    full_cost: ByPosition
    full_cost_per_usable_tb: ByPosition
    full_cost_per_plannable_tb: ByPosition
    levelised_cost_per_tb_year: ByPosition
    remedy_cost: ByPosition
    cost_by_year: Any
    dearest_later_year_cost: Spread
    dearest_later_year_cost_by_draw: Any
    total_cost_by_month: Spread
    work_costs: Mapping[str, WorkCost]
    purchases: tuple[Purchase, ...]


def money_result(point: Outcome, futures: Futures, *, gridded: bool) -> MoneyResult:
    """Money of one alternative, from its middle and its futures.

    Parameters
    ----------
    point, futures
        What it comes to at the middle of every range, and what is kept of every future.
    gridded
        Whether there are several positions: each would have a list of purchases of its own.
    """
    ladder, flow = point.space.ladder, point.flow
    rate = unmonthed(point.drawn.discount_rate_per_year)
    present = _present_cost_by_category(flow, rate)
    upfront = flow.cost_by_month[:, 0, 0]
    full = by_position(full_cost(point.drawn, point.build, point.space))
    levelised = levelised_cost_per_tb_year(
        cost_by_month=flow.cost_by_month,
        held_tb_by_month=point.footage.demanded_tb_by_month,
        discount_rate_per_year=rate,
    )
    by_draw, dearest = futures.net_present_cost[..., 0], futures.dearest_later_year_cost[..., 0]
    return MoneyResult(
        upfront_cost=upfront,
        net_present_cost=spread(flow.net_present_cost[..., 0], by_draw),
        net_present_cost_by_draw=by_draw,
        present_cost_by_category=present,
        cost_per_usable_tb=upfront / ladder.usable_tb[:, 0, 0],
        cost_per_plannable_tb=upfront / ladder.plannable_tb[:, 0, 0],
        full_cost=full,
        full_cost_per_usable_tb=full / ladder.usable_tb[:, 0, -1],
        full_cost_per_plannable_tb=full / ladder.plannable_tb[:, 0, -1],
        levelised_cost_per_tb_year=by_position(levelised),
        remedy_cost=present["remedy"],
        cost_by_year=cost_by_year(cost_by_month=flow.cost_by_month)[:, 0],
        dearest_later_year_cost=spread(
            dearest_later_year_cost(flow.cost_by_month)[..., 0], dearest
        ),
        dearest_later_year_cost_by_draw=dearest,
        total_cost_by_month=spread(
            np.cumsum(flow.cost_by_month, axis=-1), futures.total_cost_by_month
        ),
        work_costs=work_costs(work_shares(point.drawn, point.footage), flow),
        purchases=() if gridded else purchases(flow),
    )


def _present_cost_by_category(flow: CashFlow, rate: Any) -> dict[str, FloatArray]:
    by_category = np.empty((len(flow.cost_by_category), *flow.cost_by_month.shape))
    for row, cost_by_month in zip(by_category, flow.cost_by_category.values(), strict=True):
        row[...] = cost_by_month
    present = net_present_cost(cost_by_month=by_category, discount_rate_per_year=rate)
    return dict(zip(flow.cost_by_category, present[..., 0], strict=True))
