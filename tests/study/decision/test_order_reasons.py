"""Why now: one small studio for each reason."""

import math
from dataclasses import replace

import pytest
from study.money.test_hindsight import BARE
from study.small import with_tables

from storagecalc import evaluate
from storagecalc.study.capacity.purchase_plan import PlannedOrder
from storagecalc.study.decision import order_reasons as module
from storagecalc.study.decision.order_reasons import order_reasons
from storagecalc.study.money.order_timing import LineTiming

RENT = {"remedy.elsewhere_price_per_tb_month": 500}
NEXT_TO_NO_POWER = {"running.electricity_price_per_kwh": 0.01}


def whole_lines(told):
    """The lines that the parts add up to: what is needed at once, and what comes ahead with it."""
    lines = []
    for each in (found.line for found in told):
        if lines and each.unit is None and not each.swap:
            last = lines[-1]
            if (last.month, last.pool, last.swap) == (each.month, each.pool, False):
                lines[-1] = replace(last, count=last.count + each.count)
                continue
        lines.append(each)
    return tuple(lines)


def reasons(scenario, **how):
    """Month, drives, reason and month of need, line by line."""
    return [
        (each.line.month, each.line.count, each.reason, each.needed_months)
        for each in order_reasons(evaluate(scenario, **how))["box"]
    ]


def test_drives_that_cost_power_come_when_their_space_is_needed(small):
    told = reasons(small.varied({**BARE, **RENT}))
    # 30 TB in the four drives it begins with, then one for each month.
    assert told == [
        (0, 4, "space", 0.0), (3, 1, "space", 3.0), (4, 1, "space", 4.0), (5, 1, "space", 5.0),
        (6, 1, "space", 6.0),
    ]  # fmt: skip


def test_drives_that_get_dearer_come_at_once(small):
    scenario = small.varied(
        {**BARE, **RENT, **NEXT_TO_NO_POWER, "prices.drive_change_per_year": 0.5}
    )
    # One line of eight, four of which are needed at once.
    assert reasons(scenario) == [(0, 4, "space", 0.0), (0, 4, "price", 3.0)]
    first, ahead = (each.line for each in order_reasons(evaluate(scenario))["box"])
    assert (first.unit, ahead.unit) == ("box", None)


def owning(small, **changes):
    """The studio with four drives of its own, so that all that is ordered is more."""
    box = {
        "drives": "ten", "bays": 8, "redundancy": "single parity", "box_age_years": 1,
        "box_price": 1000, "box_life_years": 10, "box_failures_per_year": 0, "box_power_w": 0,
        "lots": [{"count": 4, "age_years": 0}],
    }  # fmt: skip
    build = {"starts_in": "now", "drives_from": "now"}
    scenario = with_tables(
        small.varied({**BARE, **RENT}),
        {"owned.now": box, "builds.box": {**small.as_written()["builds"]["box"], **build}},
    )
    return scenario.varied({**changes, "builds.box.plan": "best"})


def test_before_they_are_needed_because_they_get_dearer(small):
    told = reasons(owning(small, **NEXT_TO_NO_POWER, **{"prices.drive_change_per_year": 0.5}))
    assert told == [(0, 4, "price", 3.0)]


def test_before_they_are_needed_because_they_will_be_no_longer_sold(small):
    ending = {"drives.ten.available_until_date": "2027-02-01"}
    (line,) = order_reasons(evaluate(owning(small, **ending)))["box"]
    assert (line.line.month, line.reason, line.waiting_cost) == (1, "sale", math.inf)


def test_before_they_are_needed_to_share_the_work_of_an_order(small):
    """A shelf is needed from the day on which the box is full: one order brings both."""
    shelf = {"bays": 8, "price": 10, "drives_at_first": 4, "power_w": 0}
    changes = {
        **NEXT_TO_NO_POWER, "running.work_per_order_h": 200, "running.care_h_per_month": 0,
        "builds.box.shelf": shelf,
    }  # fmt: skip
    found = order_reasons(evaluate(owning(small, **changes)))["box"]
    told = [(each.line.month, each.line.count, each.line.unit, each.reason) for each in found]
    # One drive is needed then and holds a month's footage, the others come along with the shelf.
    ahead = found[1].line.count
    assert told == [(3, 1, None, "space"), (3, ahead, None, "work"), (3, 8, "shelf", "work")]
    assert [each.needed_months for each in found] == [3.0, 4.0, 4.0 + ahead]
    assert all(each.waiting_cost < 0.0 for each in found[1:])


def test_after_their_space_is_needed_where_going_without_costs_less(small):
    """A drive costs 100 and 7 less a month later; renting 10 TB until then costs 2."""
    changes = {
        **NEXT_TO_NO_POWER, "prices.drive_change_per_year": -0.6, "horizon_months": 36,
        "remedy.elsewhere_price_per_tb_month": 0.2,
    }  # fmt: skip
    found = order_reasons(evaluate(owning(small, **changes)))["box"]
    assert found
    assert found[0].reason == "late"
    assert found[0].needed_months == 3.0 < found[0].line.month


def test_what_is_never_needed_is_worth_it(small):
    """Orders handed in: a fifth drive where four will do for all that comes."""
    scenario = small.varied({**BARE, **RENT, "work.shoots.shoot_days_per_month": 2})
    evaluation = evaluate(scenario)
    (plan,) = evaluation.plans.values()
    more = PlannedOrder(month=0, pool=0, unit=None, drives="ten", count=1, swap=False)
    told = reasons(scenario, plans={"box": replace(plan, orders=(*plan.orders, more))})
    assert told == [(0, 4, "space", 0.0), (0, 1, "worth", math.inf)]


def test_every_line_of_a_plan_has_its_reason(demo):
    evaluation = evaluate(demo.varied({"builds.twelve_and_shelf.plan": "best"}), draws=20)
    found = order_reasons(evaluation)
    assert found.keys() == evaluation.plans.keys()
    for key, told in found.items():
        assert whole_lines(told) == evaluation.plans[key].orders
    assert found is order_reasons(evaluation)


def test_a_grid_is_refused(small):
    with pytest.raises(ValueError, match="grid"):
        order_reasons(evaluate(small, positions={"running.care_h_per_month": [1.0, 2.0]}))


LINE = PlannedOrder(month=2, pool=0, unit=None, drives="ten", count=1, swap=False)


@pytest.mark.parametrize(
    ("order_by", "waiting", "reason"),
    [
        # Two months on their way, ordered for month 3 a month too late.
        (1.0, 0.0, "late"),
        (2.0, 0.0, "space"),
        (3.0, 0.0, "price"),
        (3.0, -5e-7, "price"),
        (3.0, -2e-6, "work"),
        (3.0, math.inf, "sale"),
    ],
)
def test_a_reason_hangs_on_the_last_month_to_order_and_on_what_waiting_costs(
    small, monkeypatch, order_by, waiting, reason
):
    timing = LineTiming(
        line=LINE, needed_months=order_by + 2, order_by_months=order_by, waiting_cost=waiting
    )
    monkeypatch.setattr(module, "timings", lambda *_: {"box": [timing]})
    (found,) = order_reasons(evaluate(small.varied(BARE)))["box"]
    assert (found.reason, found.needed_months) == (reason, order_by + 2)
    assert found.waiting_cost == waiting


def test_what_waiting_costs_is_of_the_futures_that_the_plan_is_made_for(small):
    """What drives cost later is a mean over those futures: it hangs on their seed."""
    uncertain = {
        **BARE, **RENT, **NEXT_TO_NO_POWER,
        "prices.drive_change_per_year": {"low": 0.0, "middle": 0.3, "high": 0.5},
    }  # fmt: skip
    plans = evaluate(small.varied(uncertain)).plans
    one, other = (
        order_reasons(evaluate(small.varied(uncertain), seed=seed, plans=plans))["box"]
        for seed in (0, 1)
    )
    assert [each.line for each in one] == [each.line for each in other]
    assert one[-1].waiting_cost != other[-1].waiting_cost
