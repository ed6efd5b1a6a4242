"""What storage costs by kind of work and by shoot day, so that it can be put into a quote."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from storagecalc.models.cashflow import net_present_cost
from storagecalc.study.axes import ByPosition, by_position, unmonthed
from storagecalc.study.footage.footage import Footage
from storagecalc.study.money.cash_flow import CashFlow
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkCost:
    """One kind of work's part of a build's costs in today's money, and that part by shoot day."""

    cost: ByPosition
    cost_per_shoot_day: ByPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkShare:
    """One kind of work's share of the terabyte-months held, and its shoot days.

    Both discounted as the money is; shape (positions, 1).
    """

    held_fraction: ByPosition
    shoot_days: ByPosition


def work_shares(drawn: Scenario, footage: Footage) -> Mapping[str, WorkShare]:
    """Each kind of work's share of what is held; working copies are shared out in proportion.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    footage
        What is held.
    """
    rate = unmonthed(drawn.discount_rate_per_year)
    by_month = [*footage.held_tb_by_work.values(), *footage.shoot_days_by_work.values()]
    present = net_present_cost(
        cost_by_month=np.stack(np.broadcast_arrays(*by_month)), discount_rate_per_year=rate
    )
    count = len(footage.held_tb_by_work)
    total = present[:count].sum(axis=0)
    shares = np.divide(present[:count], total, out=np.zeros_like(present[:count]), where=total > 0)
    return {
        key: WorkShare(held_fraction=shares[place], shoot_days=present[count + place])
        for place, key in enumerate(footage.held_tb_by_work)
    }


def work_costs(shares: Mapping[str, WorkShare], flow: CashFlow) -> Mapping[str, WorkCost]:
    """What each kind of work costs in a build, and by shoot day.

    A kind of work that shoots on no day has a cost of 0 a day.

    Parameters
    ----------
    shares
        From ``work_shares``.
    flow
        What the build costs.
    """
    found = {}
    for key, share in shares.items():
        cost, days = flow.net_present_cost[..., 0] * share.held_fraction, share.shoot_days
        by_day = cost / np.where(days > 0, days, np.inf)
        found[key] = WorkCost(cost=by_position(cost), cost_per_shoot_day=by_position(by_day))
    return found
