"""What footage costs that is not on the box: the same for every build that serves it."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import new_by_month
from storagecalc.study.footage.footage import Footage
from storagecalc.study.money.price_paths import PricePaths
from storagecalc.study.scenario.scenario import Scenario


def archive_cost_by_month(drawn: Scenario, footage: Footage, prices: PricePaths) -> Any:
    """Rent, media and work of what lies elsewhere, and price and work of fetching some back.

    Parameters
    ----------
    drawn
        A scenario whose ranges are drawn or arrays.
    footage, prices
        What is moved and fetched, and how prices move.
    """
    cost: Any = np.zeros((1, 1, drawn.horizon_months))
    for key, place in drawn.elsewhere.items():
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


def deleted_early_cost_by_month(drawn: Scenario, deleted_tb: FloatArray, prices: PricePaths) -> Any:
    """What is lost by deleting before the time, once for each TB at its highest amount.

    Parameters
    ----------
    drawn
        A scenario whose ranges are drawn or arrays.
    deleted_tb
        What has been deleted before its time by the end of each month.
    prices
        How prices move.
    """
    if not deleted_tb.any():
        return deleted_tb
    new = new_by_month(np.maximum.accumulate(deleted_tb, axis=-1))
    return new * drawn.remedy.cull_price_per_tb * prices.general_price
