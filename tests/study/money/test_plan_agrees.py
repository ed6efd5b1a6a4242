"""The planner's prices are the ledger's: any two plans differ by the same in both.

Where nothing wears out, a warranty covers all failures or none, and what finds no room is rented.
"""

import copy
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from models.expansion_cases import some_list_of_orders
from study.small import SMALL, owned

from storagecalc import Scenario, evaluate
from storagecalc.models.cashflow import net_present_cost
from storagecalc.models.expansion import Order, Problem, best_plan, cost_by_month
from storagecalc.study.capacity.purchase_plan import PurchasePlan
from storagecalc.study.money.plan_problem import plan_problem
from storagecalc.study.money.planning import (
    Line,
    further_box,
    percentile_line,
    planning_futures,
    purchase_plan,
    required_by_alternative,
)
from storagecalc.study.money.price_paths import drive_price, price_paths
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from

LISTS = 15
FAILING = {"warranty_years": 0}
DRIVES = {
    "ten": {**SMALL["drives"]["ten"], **FAILING},
    "twenty": {"size_tb": 20, "price": 180, "power_w": 12, "failures_per_drive_year": 0.02},
    "forty": {"size_tb": 40, "price": 300, "power_w": 14, "failures_per_drive_year": 0.03,
              **FAILING, "price_holds_until_date": "2027-08-31"},
    "gone": {"size_tb": 30, "price": 150, "power_w": 9, "failures_per_drive_year": 0.03,
             **FAILING, "available_until_date": "2027-11-30"},
}  # fmt: skip
PRICES = {
    "drive_change_per_year": -0.1, "drive_shock_per_year": 0, "box_change_per_year": 0.03,
    "inflation_per_year": 0.04, "electricity_change_per_year": 0.05, "drive_sale_fraction": 0.5,
    "box_value_kept_per_year_fraction": 0.6, "drive_value_kept_per_year_fraction": 0.8,
}  # fmt: skip
OLD = {"redundancy": "single parity", "box_age_years": 1, "box_warranty_years": 0}
SHELF = {"bays": 5, "price": 400, "drives_at_first": 3, "shelves_at_most": 2, "power_w": 25}
SWAPPING = {"grows_by": "swapping", "swap_to": "forty"}
FOUR = {"old": owned((4, 1), **OLD)}
TWO_AGES = {"old": owned((2, 1), (2, 3), **OLD)}
OWN = {"drives_from": "old", "starts_in": "old"}
KEPT = {"keeps": ["old"], "keeps_months": 20}
CASES: dict[str, dict[str, Any]] = {
    "new": {},
    "as old as it gets in the last month": {"life_years": 4},
    "shelves": {"box": {"shelf": SHELF, "hot_spares": 1}},
    "in groups": {"box": {"grows_by": "groups", "drives_per_step": 2, "lead_time_months": 2.4}},
    "swaps": {"box": {**SWAPPING, "shelf": SHELF}},
    "owned": {"owned": TWO_AGES, "box": {**OWN, "shelf": SHELF}},
    "owned with spares": {"owned": FOUR, "box": {**OWN, "cold_spares": 2}},
    "owned, swapped": {"owned": TWO_AGES, "box": {**OWN, **SWAPPING}},
    "owned, in a new box": {"owned": FOUR, "box": {"drives_from": "old", "shelf": SHELF}},
    "in a box that is owned": {"owned": FOUR, "box": {"starts_in": "old"}},
    "kept": {"owned": FOUR, "box": {**KEPT, "shelf": SHELF}},
    "kept, its own box owned": {
        "owned": {**FOUR, "other": owned((4, 0), **OLD)}, "box": {**KEPT, "starts_in": "other"},
    },
    "kept beside what is owned": {
        "owned": {**FOUR, "other": owned((4, 0), **OLD)}, "box": {**KEPT, "drives_from": "other"},
    },
}  # fmt: skip


def studio(
    box: Mapping[str, Any] | None = None,
    owned: Mapping[str, Any] | None = None,
    life_years: float = 10,
) -> Scenario:
    """The studio worked out by hand, with a plan, prices that move and things that keep value."""
    raw = copy.deepcopy(SMALL)
    raw["horizon_months"], raw["discount_rate_per_year"] = 48, 0.05
    raw["work"]["shoots"]["shoot_days_per_month"] = 2
    raw["filling"] = {"formatting_fraction": 0.02, "snapshot_fraction": 0.05, "free_fraction": 0.1}
    raw["running"]["further_box_care_fraction"] = 0.25
    drives = {key: {**each, "service_life_years": life_years} for key, each in DRIVES.items()}
    drives["twenty"]["warranty_years"] = life_years
    raw |= {"drives": drives, "prices": PRICES, "owned": owned or {}}
    raw["builds"]["box"] |= {
        "plan": "best", "lead_time_months": 2, "box_failures_per_year": 0.05,
        "box_warranty_years": 0, "box_life_years": life_years, **(box or {}),
    }  # fmt: skip
    return scenario_from(raw, source="by both")


def asked(scenario: Scenario) -> tuple[Line, Problem]:
    """What the planner is asked for, all at its middle."""
    middle = sampler(scenario).middle()
    [(_, required)] = required_by_alternative(planning_futures(sampler(scenario)))
    line = percentile_line(required, 1.0)
    prices, box = price_paths(middle), further_box(middle)
    return line, plan_problem(
        middle, middle.builds["box"], prices, box, "share of a further box", line.tb_by_month
    )


def by_planner(problem: Problem, orders: Sequence[Order]) -> float:
    cost = cost_by_month(problem, orders)
    rate = problem.discount_rate_per_year
    return float(net_present_cost(cost_by_month=cost, discount_rate_per_year=rate))


def by_ledger(scenario: Scenario, plan: PurchasePlan) -> float:
    return evaluate(scenario, plans={"box": plan}).builds[0].money.net_present_cost.point


def gaps(scenario: Scenario) -> list[tuple[tuple[Order, ...], float, float]]:
    """Lists of orders, what the ledger counts beyond the planner, and what a billionth is."""
    (line, problem), random = asked(scenario), np.random.default_rng(1)
    best = best_plan(problem)
    lists = [best.orders, ()]
    lists += [tuple(some_list_of_orders(problem, random)) for _ in range(LISTS)]
    found = []
    for orders in lists:
        ledger = by_ledger(scenario, purchase_plan(replace(best, orders=orders), line, "bridging"))
        found.append((orders, ledger - by_planner(problem, orders), 1e-9 * ledger))
    return found


@pytest.mark.parametrize("name", CASES)
def test_plans_differ_by_the_same_for_planner_and_ledger(name):
    (_, first, _), *others = gaps(studio(**CASES[name]))
    wrong = [(gap - first, orders) for orders, gap, near in others if abs(gap - first) > near]
    assert wrong == []


def test_the_lists_have_all_that_can_be_ordered():
    listed = {
        name: [order for orders, *_ in gaps(studio(**CASES[name])) for order in orders]
        for name in ("shelves", "owned, swapped", "kept", "new")
    }
    assert {order.unit for order in listed["shelves"]} == {"box", "shelf", None}
    assert {order.swap for order in listed["owned, swapped"]} == {True}
    assert len({order.month for order in listed["owned, swapped"]}) > 8
    assert {order.drive for order in listed["new"]} == set(DRIVES)
    assert {order.month > 0 for order in listed["kept"] if order.unit == "box"} == {True, False}


def test_cold_spares_of_a_new_box_are_all_that_the_planner_leaves_out():
    """Two spares of the first class in the month of the first order, less their worth."""
    scenario = studio(box={"cold_spares": 2})
    months, middle = scenario.horizon_months, sampler(scenario).middle()
    found = gaps(scenario)
    nothing = next(gap for orders, gap, _ in found if not orders)
    paths = price_paths(middle)
    for orders, gap, near in found:
        if orders:
            month, price = orders[0].month, drive_price(middle, paths, orders[0].drive)[0, 0]
            worth = 0.8 ** ((months - month) / 12) * min(price[month], price[-1])
            spare = price[month] * 1.05 ** (-month / 12) - worth * 1.05 ** (-(months - 1) / 12)
            assert gap - nothing == pytest.approx(2 * spare, abs=near)
