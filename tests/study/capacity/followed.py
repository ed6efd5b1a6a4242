"""Plans by hand for the studio that can be worked out by hand, and what comes of them."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from study.small import owned, with_tables

from storagecalc import Scenario
from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.study.evaluate import outcomes
from storagecalc.study.outcome import Outcome
from storagecalc.study.sampling import sampler

TWENTY = {"size_tb": 20, "price": 180, "failures_per_drive_year": 0.02, "power_w": 12}
MENU = {"drives.twenty": TWENTY, "drives.forty": {**TWENTY, "size_tb": 40, "price": 320}}
SHELF = {"bays": 6, "price": 300, "drives_at_first": 3, "shelves_at_most": 3}
SWAPS = {"builds.box.grows_by": "swapping", "builds.box.swap_to": "twenty"}
MOVED = {"owned.old": owned((1, 2), (3, 1)), "builds.box.drives_from": "old"}
KEPT = {
    "owned.old": owned((4, 1), redundancy="single parity"),
    "builds.box.keeps": ["old"],
    "builds.box.keeps_months": 8,
}
# Far above all that is held: no future is fuller than planned.
HIGH, LOW = [1000.0] * 24, [0.0] * 24


def line(
    month: int, pool: int, drives: str, count: int, unit: Any = None, *, swap: bool = False
) -> PlannedOrder:
    return PlannedOrder(month=month, pool=pool, unit=unit, drives=drives, count=count, swap=swap)


def plan_of(lines: Sequence[PlannedOrder], tb_by_month: Sequence[float] = HIGH) -> PurchasePlan:
    return PurchasePlan(
        lack_price="bridging",
        orders=tuple(lines),
        line_tb_by_month=tuple(tb_by_month),
        line_fraction=0.9,
        under_fraction=0.8,
    )


def followed(
    small: Scenario, *lines: PlannedOrder, tb_by_month: Sequence[float] = HIGH, **tables: Any
) -> Outcome:
    """What a plan comes to at the middle."""
    scenario = with_tables(small, {**MENU, "builds.box.plan": "best", **tables})
    drawn = sampler(scenario).middle()
    found = outcomes(drawn, {"box": plan_of(lines, tb_by_month)})
    return next(each for each in found if each.alternative.key == "box")


def by_month(rows: Any) -> list[float]:
    return np.broadcast_to(rows, (1, 1, 24))[0, 0].tolist()


def plannable(outcome: Outcome) -> list[float]:
    """Space of its own by month."""
    return by_month(outcome.brought.own.plannable_tb_by_month)


# Drives, then a shelf of another class, then drives for it.
GROWN = [line(0, 0, "ten", 4, "box"), line(5, 0, "ten", 2), line(9, 1, "twenty", 3, "shelf"),
         line(9, 0, "ten", 1), line(14, 1, "twenty", 2)]  # fmt: skip
