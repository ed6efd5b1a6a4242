"""Plans looked back on: a case worked by hand, and orders that hold in every future."""

from dataclasses import replace

import numpy as np
import pytest
from study.small import with_tables

from storagecalc.models.expansion import search_cells
from storagecalc.study.capacity.purchase_plan import PlannedOrder
from storagecalc.study.evaluate import purchase_plans
from storagecalc.study.money import hindsight as looked_back
from storagecalc.study.money.hindsight import futures_looked_at, hindsight, problems_planned
from storagecalc.study.sampling import sampler

# A year in which nothing costs but the box, drives, their power and rent. Each drive comes when it
# is needed: after the first four one a month, from month 3 to 6, and saves rent ever after.
BARE = {
    "horizon_months": 12, "builds.box.plan": "best", "builds.box.box_power_w": 0,
    "drives.ten.warranty_years": 10,
    "running.work_per_order_h": 0, "prices.box_value_kept_per_year_fraction": 0,
    "prices.drive_value_kept_per_year_fraction": 0,
}  # fmt: skip
# A drive of 10 W draws 7.3 kWh a month, at 1 a kWh.
POWER = 7.3
# Box and eight drives; 10 to 50 TB too many in the last five months, at 5 a TB-month.
BEST_COST = 1000 + 8 * 100 + 150 * 5 + (4 * 12 + 9 + 8 + 7 + 6) * POWER


@pytest.fixture(autouse=True)
def few_futures(monkeypatch):
    monkeypatch.setattr(looked_back, "MOST_FUTURES", 12)


def ordering(plan, *lines):
    """The plan with other lines: (month, drives, whether the box comes with them)."""
    orders = tuple(
        PlannedOrder(
            month=month, pool=0, unit="box" if box else None, drives="ten", count=count, swap=False
        )
        for month, count, box in lines
    )
    return replace(plan, orders=orders)


def looking_back(scenario, *lines):
    sample = sampler(scenario)
    plans = purchase_plans(sample)
    if lines:
        plans = {"box": ordering(plans["box"], *lines)}
    return hindsight(sample, plans)["box"]


def test_a_plan_for_the_one_future_there_is_costs_what_the_best_does(small):
    found = looking_back(small.varied(BARE))
    np.testing.assert_allclose(found.best_cost_by_draw, BEST_COST)
    np.testing.assert_allclose(found.plan_cost_by_draw, BEST_COST)
    assert len(found.plan_cost_by_draw) == 12


@pytest.mark.parametrize(
    ("lines", "cost"),
    [
        ([(11, 4, True)], 1000 + 400 + (780 - 30) * 5 + 4 * POWER),
        ([(0, 4, True)], 1000 + 400 + 450 * 5 + 48 * POWER),
        ([(0, 4, True), (6, 4, False)], 1000 + 800 + (60 + 150) * 5 + (48 + 24) * POWER),
    ],
)
def test_other_orders_cost_what_one_works_out_by_hand(small, lines, cost):
    found = looking_back(small.varied(BARE), *lines)
    np.testing.assert_allclose(found.plan_cost_by_draw, cost)
    np.testing.assert_allclose(found.best_cost_by_draw, BEST_COST)


def test_buying_nothing_is_rent(small):
    sample = sampler(small.varied(BARE))
    nothing = ordering(purchase_plans(sample)["box"])
    found = hindsight(sample, {"box": nothing})["box"]
    np.testing.assert_allclose(found.plan_cost_by_draw, 780 * 5)


def test_each_future_has_its_own_footage_prices_and_rate(small):
    apart = {
        "work.shoots.shoot_days_per_month": {"low": 6, "middle": 10, "high": 14},
        "drives.ten.price": {"low": 60, "middle": 100, "high": 220},
        "discount_rate_per_year": {"low": 0.01, "middle": 0.05, "high": 0.1},
    }
    for key, spread in apart.items():
        found = looking_back(small.varied({**BARE, key: spread}))
        assert len(set(found.best_cost_by_draw)) == 12
        assert (found.plan_cost_by_draw >= found.best_cost_by_draw - 1e-6).all()


def test_the_lead_time_is_the_plans_in_every_future(small):
    unknown = {"builds.box.lead_time_months": {"low": 1, "middle": 3, "high": 8}}
    found = looking_back(small.varied({**BARE, **unknown}))
    assert len(set(found.plan_cost_by_draw)) == len(set(found.best_cost_by_draw)) == 1


def test_of_two_classes_of_a_size_every_future_has_that_of_the_plan(small):
    ten = small.as_written()["drives"]["ten"]
    other = {**ten, "price": {"low": 60, "middle": 101, "high": 140}}
    scenario = with_tables(small.varied(BARE), {"drives.other": other})
    sample = sampler(scenario)
    plans = purchase_plans(sample)
    assert {line.drives for line in plans["box"].orders} == {"ten"}
    np.testing.assert_allclose(hindsight(sample, plans)["box"].best_cost_by_draw, BEST_COST)
    # Even where that of the plan is the dearer at the middle, as after a slider has moved.
    moved = sampler(scenario.varied({"drives.ten.price": 120}))
    (problem,) = problems_planned(moved, plans).values()
    assert [option.key for option in problem.drive_options] == ["ten"]


def test_a_larger_drive_is_none_the_less_where_its_size_turns_out_smaller(small):
    ten = small.as_written()["drives"]["ten"]
    sizes = {"low": 8, "middle": 14, "high": 24}
    swapping = {"grows_by": "swapping", "swap_to": "more", "bays": 4, "plan": "best"}
    scenario = with_tables(
        small.varied({**BARE, "horizon_months": 24}),
        {
            "drives.more": {**ten, "size_tb": sizes, "price": 150},
            "drives.third": {**ten, "size_tb": 12, "price": 125},
            "builds.box": {**small.as_written()["builds"]["box"], **swapping},
        },
    )
    sample = sampler(scenario)
    plan = ordering(purchase_plans(sample)["box"], (0, 4, True))
    swap = PlannedOrder(month=6, pool=0, unit=None, drives="more", count=4, swap=True)
    found = hindsight(sample, {"box": replace(plan, orders=(*plan.orders, swap))})["box"]
    assert (found.plan_cost_by_draw >= found.best_cost_by_draw - 1e-6).all()
    assert len(set(found.plan_cost_by_draw)) > 1


def test_options_are_looked_back_on_with_their_own_footage(small):
    scenario = with_tables(
        small.varied(BARE),
        {
            "elsewhere.store": {"price_per_tb_month": 1},
            "options.off": {"build": "box", "move_off_after_months": 3, "to": "store"},
        },
    )
    sample = sampler(scenario)
    found = hindsight(sample, purchase_plans(sample))
    assert found["off"].plan_cost_by_draw.max() < found["box"].plan_cost_by_draw.min()


def test_large_problems_get_fewer_futures_but_never_none(small, monkeypatch):
    sample = sampler(small.varied(BARE))
    (problem,) = problems_planned(sample, purchase_plans(sample)).values()
    monkeypatch.setattr(looked_back, "CELLS_A_MONTH", 0)
    monkeypatch.setattr(looked_back, "CELLS_IN_ALL", 7 * search_cells(problem))
    assert [futures_looked_at([problem] * count) for count in (1, 2, 7)] == [7, 4, 4]
    monkeypatch.setattr(looked_back, "CELLS_A_MONTH", 1)
    assert futures_looked_at([problem]) == 7 * search_cells(problem) // (search_cells(problem) + 12)
