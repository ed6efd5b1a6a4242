"""What a build costs, month by month and by category, for the same footage as every other build."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import (
    cost_by_year,
    net_present_cost,
    resale_value,
    with_replacements,
)
from storagecalc.models.checks import FloatArray
from storagecalc.models.power import energy_kwh_per_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.axes import unmonthed
from storagecalc.study.capacity.consequences import Consequences
from storagecalc.study.capacity.drives_in_service import (
    DrivesInService,
    months_left,
    out_of_warranty,
)
from storagecalc.study.money.price_paths import PricePaths, price_paths
from storagecalc.study.money.remedy import NextBox, next_box, remedy_cost_by_month
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the money of every build stands on: how prices move, and the box bought when full."""

    prices: PricePaths
    box: NextBox | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CashFlow:
    """Cash flow of one build; arrays of shape (positions, draws, months), nominal.

    ``cost_by_category`` has one array a cause, the remedy among them; they add up to
    ``cost_by_month``. ``bought_by_month`` counts boxes, shelves and drives, successors of those at
    the end of their service life among them, and ``cost_by_purchase`` is what they cost.
    ``net_present_cost`` has shape (positions, draws, 1).
    """

    cost_by_category: Mapping[str, FloatArray]
    cost_by_month: FloatArray
    bought_by_month: Mapping[str, FloatArray]
    cost_by_purchase: Mapping[str, FloatArray]
    net_present_cost: FloatArray


def cash_flow(
    drawn: Scenario,
    build: Build,
    brought: Consequences,
    drives: Mapping[str, DrivesInService],
    power_w_by_month: FloatArray,
    apart: Mapping[str, FloatArray],
    ground: Ground,
) -> CashFlow:
    """The monthly cash flow of a build, by category.

    Parameters
    ----------
    drawn
        A scenario whose ranges are drawn or arrays.
    build
        The build that is paid for.
    brought, drives
        What its steps bring, and its drives by class.
    power_w_by_month
        Electricity they draw.
    apart
        Costs by category of the footage apart from the box, the same for every build with it.
    ground
        Prices and the next box, the same for every build.
    """
    prices = ground.prices
    things = _bought_by_month(drawn, build, brought, drives)
    spent = {what: things[what] * _price(drawn, build, prices, what) for what in things}
    failed = {what: own.uncovered_failures_by_month for what, own in drives.items()}
    categories = {
        "box": spent["box"],
        "shelf": spent["shelf"],
        "drives": sum(spent[what] for what in drives),
        "labour": prices.hour_price * _hours_by_month(drawn, brought),
        "power": prices.kwh_price * energy_kwh_per_month(power_w=power_w_by_month),
        "failures": sum(n * _price(drawn, build, prices, what) for what, n in failed.items())
        + _box_failures_by_month(build, things["box"]) * build.box_price * prices.box_price,
        **apart,
        "remedy": remedy_cost_by_month(drawn, build, brought, prices, ground.box),
        "sales": _resale(drawn, build, prices, things["box"]),
    }
    total = np.zeros(np.broadcast_shapes(*(cost.shape for cost in categories.values())))
    for cost in categories.values():
        total += cost
    present = net_present_cost(
        cost_by_month=total, discount_rate_per_year=unmonthed(drawn.discount_rate_per_year)
    )
    return CashFlow(
        cost_by_category=categories,
        cost_by_month=total,
        bought_by_month=things,
        cost_by_purchase=spent,
        net_present_cost=present[..., None],
    )


def ground_for(drawn: Scenario) -> Ground:
    """Prices and the next box, once for all builds."""
    prices = price_paths(drawn)
    return Ground(prices=prices, box=next_box(drawn, prices))


def _bought_by_month(
    drawn: Scenario, build: Build, brought: Consequences, drives: Mapping[str, DrivesInService]
) -> dict[str, FloatArray]:
    """Things bought by month, each followed by its successor when its service life ends."""
    months = np.arange(drawn.horizon_months)[None, None]
    box = (months == _box_bought_in(build)).astype(np.float64)
    life_months = build.box_life_years * MONTHS_PER_YEAR
    boxes = {"box": box, "shelf": brought.shelves_ordered_by_month}
    return {
        what: with_replacements(bought_by_month=first, service_life_months=life_months)
        for what, first in boxes.items()
    } | {what: own.bought_by_month for what, own in drives.items()}


def _box_bought_in(build: Build) -> Any:
    """The month in which the box is bought: the first, or when the one owned is worn out."""
    if build.box_age_years is None:
        return 0
    return months_left(build.box_life_years, build.box_age_years)


def _box_failures_by_month(build: Build, boxes: FloatArray) -> FloatArray:
    """Expected failures of the box that no warranty covers any more."""
    old: Any = out_of_warranty(
        boxes, warranty_years=build.box_warranty_years, life_years=build.box_life_years
    )
    if build.box_age_years is not None:
        months = np.arange(boxes.shape[-1])
        uncovered = months >= months_left(build.box_warranty_years, build.box_age_years)
        old = old + uncovered * (months < _box_bought_in(build))
    failures: FloatArray = old * build.box_failures_per_year / MONTHS_PER_YEAR
    return failures


def _price(drawn: Scenario, build: Build, prices: PricePaths, what: str) -> Any:
    """The price of one thing by month."""
    if what == "box":
        return build.box_price * prices.box_price
    if what == "shelf":
        return (build.shelf.price if build.shelf else 0.0) * prices.box_price
    drives = build.swap_to if what == "larger drives" else build.drives
    return drawn.drives[str(drives)].price * prices.drive_price


def _hours_by_month(drawn: Scenario, brought: Consequences) -> FloatArray:
    new = brought.drives_ordered_by_month + brought.larger_drives_ordered_by_month
    orders = (new > 0).astype(np.float64)
    hours: FloatArray = drawn.running.care_h_per_month + drawn.running.work_per_order_h * orders
    return hours


def _resale(drawn: Scenario, build: Build, prices: PricePaths, bought: FloatArray) -> FloatArray:
    """What the box in service at the end still fetches, as a negative cost in the last month."""
    months = drawn.horizon_months
    owned = months - np.arange(months)
    in_service = owned <= build.box_life_years * MONTHS_PER_YEAR
    price = build.box_price * prices.box_price
    value = resale_value(
        price_paid=price,
        price_then=price[..., -1:],
        months_owned=owned,
        value_kept_per_year_fraction=drawn.prices.box_value_kept_per_year_fraction,
    )
    fetched = (value * bought * in_service).sum(axis=-1, keepdims=True)
    return -fetched * (np.arange(months) == months - 1)


def dearest_later_year_cost(cost_by_month: FloatArray) -> FloatArray:
    """The dearest twelve months, the purchase on day one left out: shape (positions, draws, 1)."""
    later = cost_by_month.copy()
    later[..., 0] = 0.0
    dearest: FloatArray = cost_by_year(cost_by_month=later).max(axis=-1, keepdims=True)
    return dearest
