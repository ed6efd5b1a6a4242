"""On the line that a plan is made for no rule within its menu is cheaper, as the planner prices."""

from pathlib import Path

import numpy as np
import pytest

from storagecalc import load_scenario
from storagecalc.models.expansion import Order
from storagecalc.study.evaluate import purchase_plans
from storagecalc.study.money.hindsight import orders_cost, plan_cost, problems_planned
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from

DEMO = Path(__file__).parents[3] / "data_examples" / "stage_films.toml"


@pytest.fixture(scope="module")
def planned():
    raw = load_scenario(DEMO).as_written()
    raw["builds"]["planned"] = {**raw["builds"]["twelve_and_shelf"], "plan": "best", "name": "plan"}
    sample = sampler(scenario_from(raw, source="planned"))
    plans = purchase_plans(sample)
    return plans["planned"], problems_planned(sample, plans)["planned"]


def by_rule(problem, first, step, point):
    """The box with its first drives, then so many more each time the line has so much of it filled;
    at last shelves alike."""
    (drive,), tb = problem.drive_options, np.maximum.accumulate(problem.required_tb_by_month)
    orders, pools, held = [], [], 0.0
    units = [problem.unit_options[0]] + [problem.unit_options[1]] * problem.unit_options[1].at_most

    def place(month, unit, count):
        pool = len(pools) if unit else len(pools) - 1
        pools.extend([0] if unit else [])
        pools[-1] += count
        orders.append(Order(month=month, pool=pool, unit=unit and unit.key, drive=drive.key,
                            drives=count, swap=False))  # fmt: skip

    place(0, units.pop(0), first)
    unit = problem.unit_options[0]
    for month in range(problem.order_months):
        while True:
            tb_of = [problem.unit_options[bool(n)].usable_tb(count, drive.size_tb)
                     for n, count in enumerate(pools)]  # fmt: skip
            held = problem.plannable_fraction * sum(tb_of)
            if tb[month] <= point * held:
                break
            if pools[-1] + step <= unit.bays:
                place(month, None, step)
            elif units:
                unit = units.pop(0)
                place(month, unit, unit.drives_at_first)
            else:
                break
    return _together(orders)


def _together(orders):
    """Lines of one pool in one month are one line."""
    found = {}
    for order in orders:
        key = order.month, order.pool
        if key in found:
            found[key]["drives"] += order.drives
        else:
            found[key] = {name: getattr(order, name) for name in Order.__slots__}
    return [Order(**line) for line in found.values()]


@pytest.mark.parametrize("point", [0.5, 0.7, 0.8, 0.9, 1.0])
@pytest.mark.parametrize(("first", "step"), [(6, 2), (8, 2), (12, 2), (6, 4), (8, 4)])
def test_no_rule_costs_less_than_the_plan(planned, first, step, point):
    plan, problem = planned
    best = plan_cost(problem, plan)
    rule = orders_cost(problem, by_rule(problem, first, step, point))
    assert rule >= best - 1e-6 * abs(best)
