"""What footage costs that is not on the box: the same for every build that serves it."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import new_by_month
from storagecalc.study.footage.held import Held
from storagecalc.study.money.price_paths import PricePaths
from storagecalc.study.scenario.scenario import Scenario


def elsewhere_cost_by_month(numbers: Scenario, footage: Held, prices: PricePaths) -> Any:
    """Rent, media and work of what lies elsewhere, and price and work of fetching some back.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays.
    footage, prices
        What is moved and fetched, and how prices move.
    """
    cost: Any = np.zeros((1, 1, numbers.horizon_months))
    for key, place in numbers.elsewhere.items():
        there, fetched = footage.moved_tb_by_month[key], footage.fetched_tb_by_month[key]
        rent = place.price_per_tb_month * place.copies * there
        paid, hours = place.fetch_price_per_tb * fetched, place.fetch_h_per_tb * fetched
        if np.any(place.media_price_per_tb) or np.any(place.handling_h_per_tb):
            # Media that are free again are used again: only a new highest amount needs more.
            new = new_by_month(np.maximum.accumulate(there, axis=-1))
            paid = paid + place.media_price_per_tb * place.copies * new
            hours = hours + place.handling_h_per_tb * place.copies * new
        cost = cost + (rent + paid) * prices.general_price + hours * prices.hour_price
    return cost


def given_up_cost_by_month(numbers: Scenario, given_up_tb: FloatArray, prices: PricePaths) -> Any:
    """What is lost by deleting before the time, once for each TB at its highest amount.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays.
    given_up_tb
        What has been deleted before its time by the end of each month.
    prices
        How prices move.
    """
    if not given_up_tb.any():
        return given_up_tb
    new = new_by_month(np.maximum.accumulate(given_up_tb, axis=-1))
    return new * numbers.remedy.cull_price_per_tb * prices.general_price
