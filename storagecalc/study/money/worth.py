"""What things bought are still worth: at the end, and when drives are swapped out."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from storagecalc.models.cashflow import worth_at_end
from storagecalc.models.checks import FloatArray
from storagecalc.models.months import new_by_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.capacity.consequences import Holding
from storagecalc.study.capacity.drives_in_service import DrivesInService
from storagecalc.study.money.price_paths import PricePaths, drive_price
from storagecalc.study.scenario.scenario import Scenario


def holding_worth(
    drawn: Scenario,
    holding: Holding,
    bought: Mapping[str, FloatArray],
    price: Mapping[str, FloatArray],
    prices: PricePaths,
) -> Any:
    """What all that was bought is worth when the last month is over, shape (positions, draws, 1).

    The work of bringing it in counts likewise.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    holding, bought, price
        What is there, how much of each thing was bought by month, and the price of one.
    prices
        How prices move.
    """
    build, kept = holding.build, drawn.prices
    box_life = build.box_life_years * MONTHS_PER_YEAR
    drive_life = drawn.drives[build.drives].service_life_years * MONTHS_PER_YEAR
    running, boxes = drawn.running, holding.boxes_ordered_by_month
    worth: Any = np.zeros((1, 1, 1))
    for what, count in bought.items():
        if what in holding.drives:
            own = holding.drives[what]
            life = own.drives.service_life_years * MONTHS_PER_YEAR
            share = kept.drive_value_kept_per_year_fraction
            worth = worth + _worth(price[what], own.staying_drives_by_month, share, life)
        else:
            share = kept.box_value_kept_per_year_fraction
            if holding.stands_by_month is not None:
                count = count * holding.stands_by_month[..., -1:]
            worth = worth + _worth(price[what], count, share, box_life)
    hour, share = prices.hour_price, kept.drive_value_kept_per_year_fraction
    orders = holding.orders_by_month * running.work_per_order_h
    worth = worth + _worth(hour, orders, share, drive_life)
    if holding.is_further:
        moved = boxes * drawn.remedy.migration_h
        worth = worth + _worth(hour, moved, kept.box_value_kept_per_year_fraction, box_life)
    return worth


def sold_by_month(drawn: Scenario, holding: Holding, prices: PricePaths) -> Any:
    """What drives fetch in the month in which larger ones have taken their place."""
    sold: Any = np.zeros((1, 1, drawn.horizon_months))
    if np.any(drawn.prices.drive_sale_fraction):
        for own in holding.drives.values():
            if own.swapped_drives_by_month.any():
                sold = sold + _sold_by_month(drawn, own, drive_price(drawn, prices, own.key))
    return sold


def _sold_by_month(drawn: Scenario, own: DrivesInService, price: FloatArray) -> Any:
    share, sold = drawn.prices.drive_sale_fraction, 0.0
    swapped = new_by_month(own.swapped_drives_by_month) > 0
    leaving = own.bought_by_month - own.staying_drives_by_month
    life = own.drives.service_life_years * MONTHS_PER_YEAR
    for month in np.flatnonzero(swapped.any(axis=(0, 1))):
        out = (leaving * swapped[..., month, None])[..., : month + 1]
        paid = price[..., : month + 1]
        worth = _worth(paid, out, drawn.prices.drive_value_kept_per_year_fraction, life)
        sold = sold + worth * share * (np.arange(drawn.horizon_months) == month)
    return sold


def _worth(price: Any, bought: Any, kept: Any, life_months: Any) -> Any:
    if not bought.any():
        return 0.0
    worth = worth_at_end(
        price_paid_by_month=price,
        price_at_end=price[..., -1:],
        bought_by_month=bought,
        value_kept_per_year_fraction=kept,
        service_life_months=life_months,
    )
    return np.asarray(worth)[..., None]
