"""What an alternative costs, month by month and by category, for the same footage as all others."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from storagecalc.models.cashflow import cost_by_year, net_present_cost
from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import unmonthed
from storagecalc.study.capacity.consequences import Consequences
from storagecalc.study.money.categories import NOT_PAID
from storagecalc.study.money.holding_cost import HoldingCost, holding_cost
from storagecalc.study.money.other_costs import OtherCosts
from storagecalc.study.money.price_paths import PricePaths
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """What the footage of an alternative costs by month apart from its boxes, and TB that an option
    deletes early."""

    archive_cost_by_month: FloatArray
    copies_cost_by_month: FloatArray
    copies_bought_cost_by_name: Mapping[str, FloatArray]
    deleted_early_tb_by_month: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class CashFlow:
    """Cash flow of one alternative; arrays of shape (positions, draws, months), nominal.

    ``cost_by_category`` has one array a category; they add up to ``cost_by_month``, and without
    what is only worth something at the end to ``paid_cost_by_month``. ``holdings`` are the first
    box and, where there are any, boxes kept beside it and further boxes.
    ``remedy_cost_by_month`` is an "of which": further boxes with all they need, rent, and early
    deletion for want of space. ``bought_cost_by_name`` has copies and other costs that are bought.
    ``net_present_cost`` and ``upfront_cost`` (what month 0 orders) have shape (positions, draws,
    1).
    """

    cost_by_category: Mapping[str, FloatArray]
    cost_by_month: FloatArray
    paid_cost_by_month: FloatArray
    holdings: tuple[HoldingCost, ...]
    remedy_cost_by_month: FloatArray
    bought_cost_by_name: Mapping[str, FloatArray]
    net_present_cost: FloatArray
    upfront_cost: FloatArray


def cash_flow(
    drawn: Scenario,
    brought: Consequences,
    power_w_by_month: Sequence[FloatArray],
    early_tb_by_month: FloatArray,
    apart: Apart,
    others: OtherCosts,
    prices: PricePaths,
) -> CashFlow:
    """The monthly cash flow of an alternative, by category.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    brought, power_w_by_month
        What its steps bring, and the electricity that each holding draws.
    early_tb_by_month
        TB deleted early for want of space.
    apart, others
        What its footage costs apart from the boxes, and whatever else the project costs.
    prices
        How prices move.
    """
    holdings = tuple(
        holding_cost(drawn, holding, power_w, prices)
        for holding, power_w in zip(brought.holdings, power_w_by_month, strict=True)
    )
    rent_price = drawn.remedy.elsewhere_price_per_tb_month * prices.general_price
    rent = _rented_tb_by_month(drawn, brought) * rent_price
    cull_price = drawn.remedy.cull_price_per_tb * prices.general_price
    early = early_tb_by_month * cull_price
    categories = _added([holding.cost_by_category for holding in holdings]) | {
        "copies": apart.copies_cost_by_month,
        "archive": apart.archive_cost_by_month,
        "rent": rent,
        "deleted early": apart.deleted_early_tb_by_month * cull_price + early,
        "other costs": others.cost_by_month,
    }
    further = [
        cost for each in holdings if each.is_further for cost in each.cost_by_category.values()
    ]
    return _with_totals(
        drawn,
        categories,
        holdings,
        remedy=_total([rent, early, *further]),
        bought=_bought_by_name(apart, others),
    )


def _with_totals(
    drawn: Scenario,
    categories: dict[str, FloatArray],
    holdings: tuple[HoldingCost, ...],
    *,
    remedy: FloatArray,
    bought: Mapping[str, FloatArray],
) -> CashFlow:
    paid = _total([*categories.values()])
    worth = sum(holding.worth_at_end_cost for holding in holdings)
    at_end = -worth * (np.arange(paid.shape[-1]) == paid.shape[-1] - 1)
    total = paid + at_end
    present = net_present_cost(
        cost_by_month=total, discount_rate_per_year=unmonthed(drawn.discount_rate_per_year)
    )
    return CashFlow(
        cost_by_category={**categories, NOT_PAID: at_end},
        cost_by_month=total,
        paid_cost_by_month=paid,
        holdings=holdings,
        remedy_cost_by_month=remedy,
        bought_cost_by_name=bought,
        net_present_cost=np.asarray(present)[..., None],
        upfront_cost=_upfront_cost(holdings, bought),
    )


def _bought_by_name(apart: Apart, others: OtherCosts) -> dict[str, FloatArray]:
    """Copies and other costs that are bought, by what the list of orders calls them."""
    copied, other = apart.copies_bought_cost_by_name, others.bought_cost_by_name
    return {f"copy: {name}": cost for name, cost in copied.items()} | {
        f"other: {name}": cost for name, cost in other.items()
    }


def present_cost(prices: PricePaths, cost_by_month: FloatArray) -> FloatArray:
    """A part of the costs in the money of month 0, shape (positions, draws, 1)."""
    factor = prices.discount_factor
    if factor.shape[:2] == (1, 1):
        factor = factor[0, 0]
    return np.asarray(np.einsum("...m,...m->...", cost_by_month, factor))[..., None]


def _rented_tb_by_month(drawn: Scenario, brought: Consequences) -> FloatArray:
    """TB held in rented space: until a step stands, or for want of any where that is the remedy."""
    if drawn.remedy.kind == "early cull":
        return np.maximum(brought.unmet_tb_by_month - brought.beyond_tb_by_month, 0.0)
    return brought.unmet_tb_by_month


def dearest_later_year_cost(paid_cost_by_month: FloatArray) -> FloatArray:
    """The dearest twelve months, the purchase on day one left out: shape (positions, draws, 1)."""
    later = paid_cost_by_month.copy()
    later[..., 0] = 0.0
    dearest: FloatArray = cost_by_year(cost_by_month=later).max(axis=-1, keepdims=True)
    return dearest


def _upfront_cost(
    holdings: Sequence[HoldingCost], bought_cost_by_name: Mapping[str, FloatArray]
) -> FloatArray:
    """What month 0 orders: boxes, shelves, drives, the work of bringing them in, other purchases.

    What drives cost that replace failed or worn-out ones later is no part of it.
    """
    ordered = [cost for each in holdings for cost in each.cost_by_purchase.values()]
    ordered += [each.order_work_cost_by_month for each in holdings]
    return _total([cost[..., :1] for cost in (*ordered, *bought_cost_by_name.values())])


def _added(parts: Sequence[Mapping[str, FloatArray]]) -> dict[str, FloatArray]:
    return {name: _total([part[name] for part in parts]) for name in parts[0]}


def _total(costs: Sequence[FloatArray]) -> FloatArray:
    """The sum of costs by month; what is the same in all futures is added up first."""
    small, *larger = sorted(costs, key=lambda cost: cost.size)
    total = small
    for cost in larger:
        total = total + cost
    return total
