"""Whatever else the project costs: paid once, again and again, or bought anew when worn out."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import with_replacements
from storagecalc.models.checks import FloatArray
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.dates import months_between
from storagecalc.study.money.price_paths import PricePaths
from storagecalc.study.scenario.costs import Cost
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherCosts:
    """Cost by month, shape (positions, draws, months): all of it, and by name what is bought.

    What is paid again and again (insurance, a contract) is a running cost and not bought.
    """

    cost_by_month: FloatArray
    bought_cost_by_name: Mapping[str, FloatArray]


def other_costs(drawn: Scenario, build_key: str, prices: PricePaths) -> OtherCosts:
    """What else an alternative costs, at prices that rise with inflation.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build_key
        The build it is about.
    prices
        How prices move.
    """
    total: Any = np.zeros((1, 1, drawn.horizon_months))
    bought = {}
    for name, cost in drawn.costs.items():
        if cost.builds and build_key not in cost.builds:
            continue
        paid = cost.price * prices.general_price * _times_by_month(drawn, cost)
        total = total + paid
        if cost.every_months is None:
            bought[name] = paid
    return OtherCosts(cost_by_month=total, bought_cost_by_name=bought)


def _times_by_month(drawn: Scenario, cost: Cost) -> FloatArray:
    """How often it is paid in each month."""
    months = np.arange(drawn.horizon_months)[None, None]
    first = 0 if cost.from_date is None else months_between(drawn.start_date, cost.from_date)
    if cost.every_months is not None:
        due: FloatArray = (months >= first) & ((months - first) % cost.every_months == 0)
        return due.astype(np.float64)
    once = (months == first).astype(np.float64)
    if cost.life_years is None:
        return once
    return with_replacements(
        bought_by_month=once, service_life_months=cost.life_years * MONTHS_PER_YEAR
    )
