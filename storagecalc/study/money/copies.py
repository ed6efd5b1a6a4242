"""The copies outside the box: what they cost, and how long each holds everything."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import with_replacements
from storagecalc.models.checks import FloatArray
from storagecalc.models.ordering import first_month_over
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.footage.footage import Footage
from storagecalc.study.money.price_paths import PricePaths
from storagecalc.study.scenario.copies import Copy
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Copies:
    """Cost of all copies by month, shape (positions, draws, months), the part of it that sets each
    one up, and by copy the months until it no longer holds all that is on the box, shape
    (positions, draws, 1), infinite for never."""

    cost_by_month: FloatArray
    set_up_cost_by_name: Mapping[str, FloatArray]
    full_after_months: Mapping[str, FloatArray]


def copies(drawn: Scenario, footage: Footage, prices: PricePaths) -> Copies:
    """What a scenario's copies of the footage on the box cost and hold.

    A copy that is full keeps what it has; what goes beyond it is not copied and not paid for.

    Parameters
    ----------
    drawn
        A scenario whose ranges are drawn or arrays.
    footage, prices
        What is held, and how prices move.
    """
    held = footage.held_tb_by_month
    cost: Any = np.zeros((1, 1, drawn.horizon_months))
    set_up, full = {}, {}
    for key, copy in drawn.copies.items():
        set_up[key] = _set_up_cost_by_month(copy, prices)
        cost = cost + set_up[key] + _rent_by_month(copy, held, prices)
        if copy.capacity_tb is None:
            full[key] = np.full((1, 1, 1), np.inf)
        else:
            limit = first_month_over(held_tb_by_month=held, limit_tb=copy.capacity_tb)
            full[key] = np.asarray(limit)[..., None]
    return Copies(cost_by_month=cost, set_up_cost_by_name=set_up, full_after_months=full)


def _set_up_cost_by_month(copy: Copy, prices: PricePaths) -> FloatArray:
    first = (np.arange(prices.box_price.shape[-1]) == 0).astype(np.float64)[None, None]
    bought = with_replacements(
        bought_by_month=first, service_life_months=copy.life_years * MONTHS_PER_YEAR
    )
    return copy.price * prices.box_price * bought


def _rent_by_month(copy: Copy, held_tb_by_month: FloatArray, prices: PricePaths) -> Any:
    copied = held_tb_by_month
    if copy.capacity_tb is not None:
        copied = np.minimum(held_tb_by_month, copy.capacity_tb)
    return copy.price_per_tb_month * copied * prices.general_price
