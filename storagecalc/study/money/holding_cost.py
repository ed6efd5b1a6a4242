"""What one holding costs by category: the first box with all in it, or all further boxes."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import with_replacements
from storagecalc.models.checks import FloatArray
from storagecalc.models.power import energy_kwh_per_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.capacity.consequences import Holding, while_kept
from storagecalc.study.capacity.drives_in_service import out_of_warranty
from storagecalc.study.capacity.owned import box_months_left, months_left
from storagecalc.study.money.price_paths import PricePaths, box_price, drive_price, shelf_price
from storagecalc.study.money.worth import holding_worth, sold_by_month
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldingCost:
    """Arrays of shape (positions, draws, months), nominal.

    ``cost_by_category`` has what is paid for. ``bought_by_month`` counts boxes, shelves and drives,
    successors of worn-out ones among them, ``cost_by_purchase`` is what they cost,
    ``drives_by_purchase`` has what an order calls drives and the key of their class, and
    ``order_work_cost_by_month`` the work of bringing them in, for ``orders_by_month``.
    ``worth_at_end_cost`` is what is left of all of it, shape (positions, draws, 1).
    """

    is_further: bool
    cost_by_category: dict[str, FloatArray]
    bought_by_month: dict[str, FloatArray]
    cost_by_purchase: dict[str, FloatArray]
    drives_by_purchase: dict[str, tuple[str, str]]
    orders_by_month: FloatArray
    order_work_cost_by_month: FloatArray
    worth_at_end_cost: FloatArray


def holding_cost(
    drawn: Scenario, holding: Holding, power_w_by_month: FloatArray, prices: PricePaths
) -> HoldingCost:
    """Purchases, work, electricity and failures of one holding, and what it is worth at the end.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    holding, power_w_by_month
        What is bought and stands, and the electricity it draws.
    prices
        How prices move.
    """
    build, drives = holding.build, holding.drives
    bought = _bought_by_month(drawn, holding)
    price = {"box": box_price(drawn, build, prices), "shelf": shelf_price(build, prices)}
    # What stands in for drives owned before is a drive of the build's own class.
    price |= {
        what: drive_price(drawn, prices, build.drives if what == "old drives" else own.key)
        for what, own in drives.items()
    }
    spent = {what: count * price[what] for what, count in bought.items()}
    order_work = prices.hour_price * _order_h(drawn, holding)
    failed = sum(own.uncovered_failures_by_month * price[what] for what, own in drives.items())
    return HoldingCost(
        is_further=holding.is_further,
        cost_by_category={
            "box": spent["box"],
            "shelf": spent["shelf"],
            "drives": _sum([spent[what] for what in drives]),
            "labour": order_work + prices.hour_price * _care_h(drawn, holding),
            "power": prices.kwh_price * energy_kwh_per_month(power_w=power_w_by_month),
            "failures": failed + _box_failures(drawn, holding, bought["box"]) * price["box"],
            "sales": -sold_by_month(drawn, holding, prices),
        },
        bought_by_month=bought,
        cost_by_purchase=spent,
        drives_by_purchase={what: (own.what, own.key) for what, own in drives.items()},
        orders_by_month=holding.orders_by_month,
        order_work_cost_by_month=order_work,
        worth_at_end_cost=holding_worth(drawn, holding, bought, price, prices),
    )


def _sum(costs: list[FloatArray]) -> FloatArray:
    total: FloatArray = sum(costs[1:], costs[0])
    return total


def _bought_by_month(drawn: Scenario, holding: Holding) -> dict[str, FloatArray]:
    """Things bought by month, each followed by its successor when its service life ends."""
    build, boxes = holding.build, holding.boxes_ordered_by_month
    if build.starts_in is not None:
        months = np.arange(drawn.horizon_months)[None, None]
        boxes = (months == box_months_left(drawn, build)).astype(np.float64)
    life_months = build.box_life_years * MONTHS_PER_YEAR
    bought = {
        what: with_replacements(bought_by_month=first, service_life_months=life_months)
        for what, first in (("box", boxes), ("shelf", holding.shelves_ordered_by_month))
    }
    bought["box"] = while_kept(holding, bought["box"])
    return bought | {what: own.bought_by_month for what, own in holding.drives.items()}


def _order_h(drawn: Scenario, holding: Holding) -> Any:
    """Hours of work around the orders of each month."""
    hours = drawn.running.work_per_order_h * holding.orders_by_month
    if holding.is_further:
        hours = hours + drawn.remedy.migration_h * holding.boxes_ordered_by_month
    return hours


def _care_h(drawn: Scenario, holding: Holding) -> Any:
    """Hours of care a month: the first box in full, each further box or shelf a share of that."""
    running = drawn.running
    beside, is_first = holding.shelf_count_by_month, True
    if holding.is_further or holding.stands_by_month is not None:
        beside, is_first = beside + holding.box_count_by_month, False
    first = np.full((1, 1, drawn.horizon_months), float(is_first))
    if beside.any():
        first = first + running.further_box_care_fraction * beside
    return running.care_h_per_month * first


def _box_failures(drawn: Scenario, holding: Holding, boxes: FloatArray) -> FloatArray:
    """Expected failures of boxes that stand and that no warranty covers any more."""
    build = holding.build
    old: Any = out_of_warranty(
        boxes, warranty_years=build.box_warranty_years, life_years=build.box_life_years
    )
    if build.starts_in is not None:
        months, age_years = np.arange(boxes.shape[-1]), drawn.owned[build.starts_in].box_age_years
        uncovered = months >= months_left(build.box_warranty_years, age_years)
        old = old + uncovered * (months < box_months_left(drawn, build))
    old = np.minimum(old, holding.box_count_by_month)
    return old * build.box_failures_per_year / MONTHS_PER_YEAR
