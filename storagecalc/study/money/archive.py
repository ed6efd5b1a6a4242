"""What footage costs that is not on the box: the same for every build that serves it."""

from typing import Any

import numpy as np

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
            # Media that are free again are used again: only a new highest amount needs more. But
            # everything that comes in is handled.
            new = new_by_month(np.maximum.accumulate(there, axis=-1))
            paid = paid + place.media_price_per_tb * place.copies * new
            moved_in = footage.moved_in_tb_by_month[key]
            hours = hours + place.handling_h_per_tb * place.copies * moved_in
        cost = cost + (rent + paid) * prices.general_price + hours * prices.hour_price
    return cost
