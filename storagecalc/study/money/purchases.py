"""The list of orders at the middle of every range: what is bought, when, at what price."""

from collections.abc import Iterator
from dataclasses import dataclass

from storagecalc.models.checks import FloatArray
from storagecalc.study.money.cash_flow import CashFlow
from storagecalc.study.money.holding_cost import HoldingCost


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """One thing bought at the middle of every range; month 0 is the scenario's start.

    ``drives`` is the key of their class, None for anything else.
    """

    month: int
    what: str
    drives: str | None
    count: int
    cost: float


def purchases(flow: CashFlow) -> tuple[Purchase, ...]:
    """Everything bought, by month; the cash flow is at the middle and has one position.

    Those of month 0 add up to what is paid to begin with.
    """
    rows: list[Purchase] = []
    for each in flow.holdings:
        for what, counts in each.bought_by_month.items():
            said = "further box" if each.is_further and what == "box" else what
            said, drives = each.drives_by_purchase.get(what, (said, None))
            rows += _rows(said, counts, each.cost_by_purchase[what], drives)
    rows += _work_rows(flow.holdings)
    for name, cost in flow.bought_cost_by_name.items():
        rows += _rows(name, (cost > 0).astype(float), cost)
    return tuple(sorted(rows, key=lambda row: row.month))


def _rows(
    what: str, counts: FloatArray, costs: FloatArray, drives: str | None = None
) -> Iterator[Purchase]:
    for month in counts[0, 0].nonzero()[0].tolist():
        yield Purchase(
            month=month,
            what=what,
            drives=drives,
            count=int(counts[0, 0, month]),
            cost=costs[0, 0, month].item(),
        )


def _work_rows(holdings: tuple[HoldingCost, ...]) -> Iterator[Purchase]:
    for each in holdings:
        yield from _rows("work", each.orders_by_month, each.order_work_cost_by_month)
