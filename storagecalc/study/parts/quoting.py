"""What storage costs by kind of work and by shoot day, so that it can be put into a quote."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from storagecalc.models.cashflow import net_present_cost
from storagecalc.study.axes import ByPosition, by_position, unmonthed
from storagecalc.study.parts.held import Held
from storagecalc.study.parts.money import Money
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkCost:
    """One kind of work's part of a build's costs in today's money, and that part by shoot day."""

    cost: ByPosition
    cost_per_shoot_day: ByPosition


def work_costs(numbers: Scenario, footage: Held, flow: Money) -> Mapping[str, WorkCost]:
    """Each kind of work's share of all costs: the share of the terabyte-months it holds.

    Terabyte-months and shoot days are discounted as the money is; working copies are shared out
    in the same proportion. A kind of work that shoots on no day has a cost of 0 a day.

    Parameters
    ----------
    numbers
        A scenario at its middle: no draws.
    footage, flow
        What is held, and what a build costs.
    """
    rate = unmonthed(numbers.discount_rate_per_year)

    def present(by_month: object) -> ByPosition:
        return net_present_cost(cost_by_month=by_month, discount_rate_per_year=rate)

    held = {key: present(tb) for key, tb in footage.held_tb_by_work.items()}
    total = sum(held.values())
    found = {}
    for key, part in held.items():
        share = np.divide(part, total, out=np.zeros_like(total), where=total > 0)
        cost = flow.net_present_cost * share
        days = present(footage.shoot_days_by_work[key])
        found[key] = WorkCost(
            cost=by_position(cost),
            cost_per_shoot_day=by_position(
                np.divide(cost, days, out=np.zeros(np.broadcast(cost, days).shape), where=days > 0)
            ),
        )
    return found
