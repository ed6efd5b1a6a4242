"""What is bought: the list of orders at the middle, and the whole build at today's prices."""

from dataclasses import dataclass
from typing import Any

from storagecalc.study.capacity.space import Space
from storagecalc.study.money.cash_flow import CashFlow
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """One thing bought at the middle of every range; month 0 is the scenario's start."""

    month: int
    what: str
    count: int
    cost: float


def purchases(flow: CashFlow) -> tuple[Purchase, ...]:
    """Everything bought, by month; the cash flow is at the middle and has one position."""
    rows = []
    for what, counts in flow.bought_by_month.items():
        costs = flow.cost_by_purchase[what][0, 0]
        rows += [
            Purchase(month=month, what=what, count=int(counts[0, 0, month]), cost=costs.item(month))
            for month in counts[0, 0].nonzero()[0].tolist()
        ]
    return tuple(sorted(rows, key=lambda row: row.month))


def full_cost(drawn: Scenario, build: Build, space: Space) -> Any:
    """What is to be bought of the build with every bay filled, at today's prices."""
    pools = space.pools
    drives, swapped = pools.drives_by_step[:, -1], pools.swapped_by_step[:, -1]
    larger = float(drives[swapped].sum())
    bought = float(drives.sum()) - build.old_drive_count + build.cold_spares
    shelves = build.shelf.price * build.shelf.shelves_at_most if build.shelf else 0.0
    larger_price = drawn.drives[build.swap_to].price if build.swap_to else 0.0
    box = build.box_price if build.box_age_years is None else 0.0
    return box + shelves + bought * drawn.drives[build.drives].price + larger * larger_price
