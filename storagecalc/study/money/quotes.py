"""What storage costs by kind of work and by shoot day, so that it can be put into a quote."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.footage.footage import Footage
from storagecalc.study.money.cash_flow import present_cost
from storagecalc.study.money.price_paths import PricePaths


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkShare:
    """One kind of work's share of the terabyte-months held, and its shoot days.

    Both discounted as the money is; shape (positions, draws, 1).
    """

    held_fraction: FloatArray
    shoot_days: FloatArray


def work_shares(footage: Footage, prices: PricePaths) -> Mapping[str, WorkShare]:
    """Each kind of work's share of what is held; working copies are shared out in proportion.

    Parameters
    ----------
    footage, prices
        What is held, and how prices move.
    """
    held = {key: present_cost(prices, tb) for key, tb in footage.held_tb_by_work.items()}
    total: FloatArray = sum(held.values(), np.zeros((1, 1, 1)))
    some = np.where(total > 0, total, np.inf)
    return {
        key: WorkShare(
            held_fraction=tb / some,
            shoot_days=present_cost(prices, footage.shoot_days_by_work[key]),
        )
        for key, tb in held.items()
    }


def present_tb_years(demanded_tb_by_month: FloatArray, prices: PricePaths) -> FloatArray:
    """TB-years demanded, discounted as the money is, shape (positions, draws, 1)."""
    return present_cost(prices, demanded_tb_by_month) / MONTHS_PER_YEAR
