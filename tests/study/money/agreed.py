"""Whether an outcome and the ledger say the same, in every category of every future."""

from collections.abc import Iterator, Mapping

import numpy as np
import pytest
from study.money.ladder import deleted_oldest_first
from study.money.ledger import Ledger, at_draw, row
from study.money.planned_ledger import PlannedLedger

from storagecalc import Scenario
from storagecalc.study.capacity.purchase_plan import PurchasePlan
from storagecalc.study.evaluate import outcomes
from storagecalc.study.money.categories import CATEGORIES, NOT_PAID
from storagecalc.study.outcome import Outcome, kept
from storagecalc.study.sampling import sampler

DRAWS = 6


def ledgers(
    scenario: Scenario, plans: Mapping[str, PurchasePlan] | None = None
) -> Iterator[tuple[str, int, Outcome, Ledger]]:
    """Every alternative in each of a few futures, with a ledger of its own."""
    drawn = sampler(scenario, draws=DRAWS).futures(0, DRAWS)
    for outcome in outcomes(drawn, plans):
        key = outcome.alternative.key
        for draw in range(DRAWS):
            yield key, draw, outcome, ledger(outcome, draw, plan=(plans or {}).get(key))


def ledger(
    outcome: Outcome, draw: int, *, plan: PurchasePlan | None = None, further: bool = True
) -> Ledger:
    drawn, grown, footage = at_draw(outcome.drawn, draw), outcome.grown, outcome.footage
    climb = grown.further if further else None
    prices, shortages = outcome.drawn.prices, outcome.drawn.shortages
    asked = {} if plan is None else {"orders": plan.orders}
    return (Ledger if plan is None else PlannedLedger)(
        **asked,
        drawn=drawn,
        build_key=outcome.alternative.build_key,
        held=row(footage.held_tb_by_month, draw),
        own_ordered=row(grown.own.steps_ordered_by_month, draw),
        further_ordered=None if climb is None else row(climb.steps_ordered_by_month, draw),
        strays=row(prices.drive_stray_shares_by_year, draw),
        luck={key: row(each.luck_fraction, draw)[0] for key, each in shortages.items()},
        footage={
            "deleted_early": row(footage.deleted_early_tb_by_month, draw),
            "too_much": too_much(outcome, drawn, draw),
            "there": {key: row(tb, draw) for key, tb in footage.moved_tb_by_month.items()},
            "in": {key: row(tb, draw) for key, tb in footage.moved_in_tb_by_month.items()},
            "back": {key: row(tb, draw) for key, tb in footage.fetched_tb_by_month.items()},
        },
    )


def too_much(outcome: Outcome, drawn: Scenario, draw: int) -> list[float]:
    """TB beyond the most the build can hold, where that is deleted."""
    if drawn.remedy.kind != "early cull":
        return [0.0] * drawn.horizon_months
    footage = outcome.footage
    most = row(outcome.grown.most_tb_by_month, draw)
    most = most * drawn.horizon_months if len(most) == 1 else most
    working = row(footage.working_tb_by_month, draw)
    return deleted_oldest_first(
        [row(tb, draw) for tb in footage.intake_tb_by_work.values()],
        [row(share, draw) for share in footage.keep_fraction_by_work.values()],
        [max(limit - tb, 0.0) for limit, tb in zip(most, working, strict=True)],
    )


def assert_agrees(outcome: Outcome, draw: int, found: Ledger, where: str) -> None:
    future = kept(outcome, DRAWS)
    total = future.net_present_cost[0, draw, 0]
    by_hand = found.present_by_category()
    for category, cost in future.present_cost_by_category.items():
        here = by_hand.get(category, 0.0)
        near = pytest.approx(here, rel=1e-9, abs=1e-9 * abs(total))
        assert cost[0, draw, 0] == near, f"{where}: {category}"
        if category != NOT_PAID:
            months = row(outcome.flow.cost_by_category[category], draw)
            np.testing.assert_allclose(
                months, found.cost[category], rtol=1e-9, atol=1e-9, err_msg=f"{where}: {category}"
            )
    assert set(by_hand) <= set(CATEGORIES)
    years = found.present_by_year()
    paid = future.present_cost_by_year[0, draw]
    np.testing.assert_allclose(paid, years, rtol=1e-9, atol=1e-9 * abs(total), err_msg=where)
    assert total == pytest.approx(sum(by_hand.values()), rel=1e-9), where
    assert future.upfront_cost[0, draw, 0] == pytest.approx(found.upfront, rel=1e-9), where


def assert_remedy_agrees(
    outcome: Outcome, draw: int, found: Ledger, where: str, plan: PurchasePlan | None = None
) -> None:
    """Further boxes with all they need, rent, and what is deleted early for want of space."""
    alone = ledger(outcome, draw, plan=plan, further=False)
    rest = [name for name in found.cost if name not in ("rent", "deleted early")]
    remedy = sum(found.present(found.cost[name]) - alone.present(alone.cost[name]) for name in rest)
    price = found.drawn.remedy.cull_price_per_tb
    early = [
        price * tb * up for tb, up in zip(found.footage["too_much"], found.general, strict=True)
    ]
    remedy += found.present(found.cost["rent"]) + found.present(early)
    cost = kept(outcome, DRAWS).remedy_cost[0, draw, 0]
    assert cost == pytest.approx(remedy, rel=1e-9, abs=1e-6), where
