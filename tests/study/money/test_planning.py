"""Best plans: the line of space they are made for, and what they do and do not hang on."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from study.small import FURTHER, owned, with_tables

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.models.expansion import Order, Plan, search_cells
from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.study.evaluate import purchase_plans
from storagecalc.study.money import planning
from storagecalc.study.money.plan_problem import plan_problem
from storagecalc.study.money.planning import (
    PLANNED_FUTURES,
    Line,
    asks_for_plans,
    further_box,
    percentile_line,
    plan_candidates,
    planned_problems,
    planning_futures,
    purchase_plan,
    required_by_alternative,
)
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.quantity import Range

# Rent is dear enough to buy for; some 6 to 16 TB come a month.
PLANNED = {
    "builds.box.plan": "best",
    "remedy.elsewhere_price_per_tb_month": 60,
    "work.shoots.shoot_days_per_month": {"low": 6, "middle": 10, "high": 16},
}
SHELF = {"bays": 4, "price": 300, "drives_at_first": 3, "shelves_at_most": 2}


def planned(small: Scenario, **changes: Any) -> Scenario:
    return with_tables(small, {**PLANNED, **changes})


def plans_of(scenario: Scenario, *, draws: int = 0, seed: int = 0) -> dict[str, PurchasePlan]:
    return purchase_plans(sampler(scenario, draws=draws, seed=seed))


# Each month has 1 to 5 TB; the first and the last future have 5 TB in some month.
FIVE = np.array([[1, 5, 2], [2, 1, 3], [3, 2, 1], [4, 3, 4], [5, 4, 5]], dtype=float)


@pytest.mark.parametrize(
    ("confidence", "tb", "line_fraction", "under_fraction"),
    [
        (0.01, 3, 0.6, 0.4),
        (0.4, 3, 0.6, 0.4),
        (0.41, 4, 0.8, 0.6),
        (0.6, 4, 0.8, 0.6),
        (0.61, 5, 1.0, 1.0),
        (1.0, 5, 1.0, 1.0),
    ],
)
def test_the_line_by_hand(confidence, tb, line_fraction, under_fraction):
    """Futures 2 and 3 stay within 3 TB in every month, future 4 within 4 TB, all within 5 TB."""
    line = percentile_line(FIVE, confidence)
    assert line.tb_by_month.tolist() == [tb] * 3
    assert line.line_fraction == pytest.approx(line_fraction)
    assert line.under_fraction == pytest.approx(under_fraction)


def test_the_line_never_falls():
    """The middle one of 4, 5, 6 and of 1, 2, 3 is 5 and 2: what has been needed stays."""
    line = percentile_line(np.array([[4.0, 2.0], [6.0, 1.0], [5.0, 3.0]]), 0.6)
    assert line.tb_by_month.tolist() == [5.0, 5.0]
    assert line.line_fraction == pytest.approx(2 / 3)
    assert line.under_fraction == pytest.approx(2 / 3)


def test_one_future_is_its_own_line():
    line = percentile_line(np.array([[3.0, 1.0, 7.0]]), 0.5)
    assert line.tb_by_month.tolist() == [3.0, 3.0, 7.0]
    assert (line.line_fraction, line.under_fraction) == (1.0, 1.0)


FUTURES = st.integers(1, 12).flatmap(
    lambda count: st.lists(
        st.lists(st.integers(0, 9), min_size=4, max_size=4), min_size=count, max_size=count
    )
)


@given(FUTURES, st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_a_line_has_enough_futures_under_it_and_none_lower_has(rows, one, other):
    required = np.array(rows, dtype=float)
    low, high = (percentile_line(required, each) for each in sorted((one, other)))
    assert (low.tb_by_month <= high.tb_by_month).all()
    for line, confidence in ((low, min(one, other)), (high, max(one, other))):
        assert (np.diff(line.tb_by_month) >= 0).all()
        under = (required <= line.tb_by_month).all(axis=1)
        assert under.mean() == line.under_fraction >= confidence
        assert line.under_fraction <= line.line_fraction <= 1
        percentiles = np.maximum.accumulate(np.sort(required, axis=0), axis=1)
        lower = [each for each in percentiles if (each < line.tb_by_month).any()]
        assert all((required <= each).all(axis=1).mean() < confidence for each in lower)


def test_with_all_confidence_the_line_is_the_most_of_any_future(small):
    scenario = planned(small, **{"needs.confidence_fraction": 0.99})
    [(_, required)] = required_by_alternative(planning_futures(sampler(scenario)))
    assert required.shape == (PLANNED_FUTURES, 24)
    [plan] = plans_of(scenario).values()
    assert plan.under_fraction >= 0.99
    top = percentile_line(required, 1.0).tb_by_month
    np.testing.assert_array_equal(top, np.maximum.accumulate(required.max(axis=0)))
    assert (np.array(plan.line_tb_by_month) <= top).all()


def test_a_plan_is_made_for_the_confidence_of_the_studio(small):
    lines = []
    for confidence in (0.5, 0.8, 0.95):
        [plan] = plans_of(planned(small, **{"needs.confidence_fraction": confidence})).values()
        assert confidence <= plan.under_fraction < confidence + 0.01
        lines.append(plan.line_tb_by_month[-1])
    assert lines[0] < lines[1] < lines[2]
    assert lines[0] == pytest.approx(240, rel=0.02)


def test_nobody_plans_who_was_not_asked(small):
    assert not asks_for_plans(small)
    assert plans_of(small) == {}
    two = with_tables(planned(small), {"builds.rule": small.as_written()["builds"]["box"]})
    assert asks_for_plans(two)
    assert list(plans_of(two)) == ["box"]
    assert list(evaluate(two).plans) == ["box"]


def test_a_plan_does_not_hang_on_how_many_futures_are_shown(small):
    scenario = planned(small, **{"builds.box.shelf": SHELF})
    plan = plans_of(scenario)
    assert len(plan["box"].orders) > 1
    for draws in (0, 3, 700):
        assert plans_of(scenario, draws=draws) == plan
    assert evaluate(scenario, draws=5).plans == plan


def test_a_plan_does_not_hang_on_what_else_is_in_the_file(small):
    alone = plans_of(planned(small))["box"]
    others = {
        "builds.aside": {**small.as_written()["builds"]["box"], "plan": "best", "bays": 12},
        "options.sooner": {"build": "box", "cull_sooner_months": 3},
        "keep.all": {"steps": [{"after_months": 24, "keep_fraction": 0.5}]},
        "running.labour_price_per_h": {"low": 8, "middle": 12, "high": 20},
    }
    found = plans_of(planned(small, **others))
    assert found["box"] == alone
    assert list(found) == ["box", "aside", "sooner"]


def test_each_option_is_planned_for_its_own_footage(small):
    """Everything is deleted half a year later, or a quarter of a year later."""
    scenario = planned(
        small,
        **{
            "keep.all": {"steps": [{"after_months": 6, "keep_fraction": 0}]},
            "options.sooner": {"build": "box", "cull_sooner_months": 3},
        },
    )
    found = plans_of(scenario)
    held, sooner = (found[key].line_tb_by_month[-1] for key in ("box", "sooner"))
    assert sooner == pytest.approx(held / 2)
    futures = planning_futures(sampler(scenario))
    own = {each.key: required for each, required in required_by_alternative(futures)}
    assert own["sooner"].max() == pytest.approx(own["box"].max() / 2)
    for key, plan in found.items():
        line = percentile_line(own[key], scenario.needs.confidence_fraction)
        assert plan.line_tb_by_month == tuple(line.tb_by_month)


def test_what_is_kept_is_taken_off_as_long_as_it_stands(small):
    """20 TB of an old box, for ten months; 10 TB more each month."""
    box = owned((3, 1), redundancy="single parity")
    kept = {"owned.old": box, "builds.box.keeps": ["old"], "builds.box.keeps_months": 10}
    still = {**kept, "work.shoots.shoot_days_per_month": 10}
    [plan] = plans_of(planned(small, **still)).values()
    months = np.arange(1, 25)
    expected = np.where(months <= 10, np.maximum(10.0 * months - 20, 0), 10.0 * months)
    assert plan.line_tb_by_month == pytest.approx(expected)
    assert (plan.line_fraction, plan.under_fraction) == (1.0, 1.0)


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("work.shoots.shoot_days_per_month", [2.0, 10.0, {"low": 9, "middle": 15, "high": 25}]),
        ("drives.ten.price", [20.0, 100.0, 900.0]),
        ("builds.box.lead_time_months", [0.0, 4.0]),
    ],
)
def test_each_position_of_a_grid_has_plans_of_its_own(small, key, values):
    scenario = planned(small, **{"builds.box.shelf": SHELF})
    values = [Range(**value) if isinstance(value, dict) else value for value in values]
    grid = evaluate(scenario, draws=4, positions={key: values})
    orders = set()
    for place, value in enumerate(values):
        here, alone = grid.at(place), evaluate(scenario.varied({key: value}), draws=4)
        assert here.plans == alone.plans
        orders.add(here.plans["box"].orders)
        [one], [other] = here.builds, alone.builds
        np.testing.assert_allclose(
            one.money.net_present_cost_by_draw, other.money.net_present_cost_by_draw, rtol=1e-12
        )
        assert [(each.what, each.count) for each in one.money.orders] == [
            (each.what, each.count) for each in other.money.orders
        ]
        points = grid.builds[0].money.net_present_cost.point
        assert points[place] == pytest.approx(other.money.net_present_cost.point, rel=1e-12)
    assert len(orders) == len(values)


ONE_BOX = PlannedOrder(month=3, pool=0, unit="box", drives="ten", count=5, swap=False)
BY_HAND = PurchasePlan(
    lack_price="bridging",
    orders=(ONE_BOX,),
    line_tb_by_month=(50.0,) * 24,
    line_fraction=0.5,
    under_fraction=0.5,
)


def test_plans_that_are_given_are_followed_as_they_are(small):
    scenario = planned(small)
    found = evaluate(scenario, draws=3, plans={"box": BY_HAND})
    assert found.plans == {"box": BY_HAND}
    bought = [(each.month, each.what, each.count) for each in found.builds[0].money.purchases]
    assert bought == [(3, "box", 1), (3, "drives", 5), (3, "work", 1)]
    grid = evaluate(
        scenario, draws=3, plans={"box": BY_HAND}, positions={"drives.ten.price": [100, 200]}
    )
    for place in range(2):
        assert grid.at(place).plans == {"box": BY_HAND}
        assert float(grid.at(place).builds[0].money.orders[0].month.min()) == 3


def test_orders_of_the_planner_as_the_study_follows_them():
    zeros = np.zeros(2)
    order = Order(month=1, pool=1, unit="shelf", drive="ten", drives=3, swap=False)
    swap = Order(month=2, pool=0, unit=None, drive="twenty", drives=4, swap=True)
    plan = Plan(
        net_present_cost=1.0,
        orders=(order, swap),
        plannable_tb_by_month=zeros,
        unmet_tb_by_month=zeros,
        cost_by_month=zeros,
    )
    found = purchase_plan(
        plan, percentile_line(np.array([[1.0, 2.0], [2.0, 3.0]]), 0.5), "bridging"
    )
    assert found == PurchasePlan(
        lack_price="bridging",
        orders=(
            PlannedOrder(month=1, pool=1, unit="shelf", drives="ten", count=3, swap=False),
            PlannedOrder(month=2, pool=0, unit=None, drives="twenty", count=4, swap=True),
        ),
        line_tb_by_month=(1.0, 2.0),
        line_fraction=0.5,
        under_fraction=0.5,
    )


def test_a_plan_with_too_many_choices_is_refused_with_advice(small):
    many = {**SHELF, "bays": 24, "shelves_at_most": 8}
    scenario = planned(small, **{"builds.box.shelf": many})
    with pytest.raises(ScenarioError, match="choose fewer shelves_at_most") as refused:
        evaluate(scenario)
    [fault] = refused.value.faults
    assert (fault.key, fault.value) == ("builds.box.plan", "best")


def test_a_plan_may_take_as_much_as_it_may(small, monkeypatch):
    scenario = planned(small)
    middle = sampler(scenario).middle()
    prices, required = price_paths(middle), np.zeros(24)
    cells = search_cells(
        plan_problem(middle, middle.builds["box"], prices, None, "bridging", required)
    )
    monkeypatch.setattr(planning, "MOST_CELLS", cells)
    assert plans_of(scenario)["box"].orders
    monkeypatch.setattr(planning, "MOST_CELLS", cells - 1)
    with pytest.raises(ScenarioError):
        plans_of(scenario)


def test_the_further_box_is_the_next_build_as_one_buys_it(small):
    assert further_box(small) is None
    boxed = with_tables(
        small, {"remedy.kind": "next box", "remedy.next_build": "box", "builds.box.shelf": SHELF}
    )
    box = further_box(sampler(boxed).middle())
    assert box is not None
    assert box.build.shelf is None
    assert box.space.ladder.plannable_tb.tolist() == [[[30, 40, 50, 60, 70]]]


@pytest.mark.parametrize(
    ("remedy", "lack_prices"),
    [({}, ["bridging"]), (FURTHER, ["share of a further box", "bridging"])],
)
def test_the_lack_is_priced_both_ways_where_a_further_box_may_come(small, remedy, lack_prices):
    found = plan_candidates(sampler(planned(small, **remedy)))
    assert [plans["box"].lack_price for plans in found] == lack_prices


def test_a_plan_keeps_both_shares_of_its_line():
    none = np.zeros(2)
    plan = Plan(net_present_cost=0.0, orders=(), plannable_tb_by_month=none,
                unmet_tb_by_month=none, cost_by_month=none)  # fmt: skip
    line = Line(tb_by_month=none, line_fraction=0.9, under_fraction=0.8)
    found = purchase_plan(plan, line, "bridging")
    assert (found.line_fraction, found.under_fraction) == (0.9, 0.8)


def test_a_plan_counts_on_the_lead_time_at_the_middle_of_its_range(small):
    """The mean of the range is four months."""
    ranged = {"builds.box.lead_time_months": {"low": 1, "middle": 2, "high": 9}}
    sample = sampler(planned(small, **ranged))
    asked = {"box": (np.zeros(24), "bridging")}
    [(_, problem)] = planned_problems(sample.middle(), planning_futures(sample), asked)
    assert problem.lead_time_months == 2
