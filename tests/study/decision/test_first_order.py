"""The first order at longer horizons: planned anew each time, and it may differ."""

from dataclasses import replace

import pytest
from study.money.test_hindsight import BARE

from storagecalc import evaluate
from storagecalc.study.capacity.purchase_plan import PlannedOrder
from storagecalc.study.decision import first_order
from storagecalc.study.decision.first_order import FirstOrder, all_agree, first_lines, first_orders
from storagecalc.study.evaluate import purchase_plans
from storagecalc.study.money import planning
from storagecalc.study.sampling import sampler


def test_each_horizon_is_planned_for_itself(demo):
    scenario = demo.varied({"builds.twelve_and_shelf.plan": "best"})
    found = first_orders(evaluate(scenario, draws=10, seed=3))["twelve_and_shelf"]
    assert [each.horizon_months for each in found] == [84, 96, 108]
    for each in found:
        longer = scenario.varied({"horizon_months": each.horizon_months})
        plan = purchase_plans(sampler(longer, seed=3))["twelve_and_shelf"]
        first = [line for line in plan.orders if line.month == plan.orders[0].month]
        assert list(each.lines) == first


@pytest.mark.parametrize(
    ("box_price", "counts", "agree"), [(1000, [4, 4, 4], True), (3000, [0, 4, 4], False)]
)
def test_a_dear_box_pays_within_two_years_but_not_within_one(small, box_price, counts, agree):
    """A year's rent is 3,900; box, drives, power and the rest of the rent are 3,119 or 5,119."""
    evaluation = evaluate(small.varied({**BARE, "builds.box.box_price": box_price}))
    found = first_orders(evaluation)["box"]
    assert [sum(line.count for line in each.lines) for each in found] == counts
    assert all_agree(found) is agree


@pytest.mark.parametrize(("months", "told"), [(216, [216, 228, 240]), (240, [240])])
def test_no_horizon_lies_beyond_what_a_file_may_say(small, months, told):
    evaluation = evaluate(small.varied({**BARE, "horizon_months": months}))
    assert [each.horizon_months for each in first_orders(evaluation)["box"]] == told


def test_a_horizon_too_long_to_be_planned_is_left_out(small, monkeypatch):
    evaluation = evaluate(small.varied(BARE))
    monkeypatch.setattr(planning, "MOST_CELLS", 1)
    assert [each.horizon_months for each in first_orders(evaluation)["box"]] == [12]


def test_no_order_agrees_with_none(small):
    plan = evaluate(small.varied({**BARE, "builds.box.box_price": 50_000})).plans["box"]
    assert first_lines(plan) == ()
    none = FirstOrder(horizon_months=12, lines=())
    assert all_agree([none, FirstOrder(horizon_months=24, lines=())])
    assert all_agree([])


def test_nothing_is_told_without_a_plan_and_a_grid_is_refused(small):
    assert first_orders(evaluate(small)) == {}
    with pytest.raises(ValueError, match="grid"):
        first_orders(evaluate(small, positions={"running.care_h_per_month": [1.0, 2.0]}))


def test_a_first_order_may_be_of_a_later_month_and_of_two_lines(small):
    lines = tuple(
        PlannedOrder(month=month, pool=pool, unit=None, drives="ten", count=1, swap=False)
        for month, pool in ((3, 0), (3, 1), (5, 0))
    )
    plan = evaluate(small.varied(BARE)).plans["box"]
    assert first_lines(replace(plan, orders=lines)) == lines[:2]


def test_longer_horizons_are_planned_for_the_futures_of_the_same_seed(small, monkeypatch):
    seeds = []

    def planned(sample):
        seeds.append(sample.seed)
        return purchase_plans(sample)

    evaluation = evaluate(small.varied(BARE), seed=4)
    monkeypatch.setattr(first_order, "purchase_plans", planned)
    first_orders(evaluation)
    assert seeds == [4, 4]


def test_a_first_order_that_brings_more_beside_the_same_does_not_agree():
    one, more = (
        PlannedOrder(month=0, pool=pool, unit="box", drives="ten", count=4, swap=False)
        for pool in (0, 1)
    )
    short = FirstOrder(horizon_months=12, lines=(one,))
    assert not all_agree([short, FirstOrder(horizon_months=24, lines=(one, more))])
