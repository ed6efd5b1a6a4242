"""What a plan orders in a month, by hand: 10 TB more a month, boxes of 30 TB, drives of 10 TB."""

from dataclasses import replace

import pytest
from study.decision.crafted import crafted, lasts
from study.planned import planned
from study.small import owned, with_tables
from views.figures import with_figures
from views.orders import NEVER, order

from storagecalc import evaluate
from storagecalc.study.decision.planned_orders import (
    OrderedThing,
    PlannedOrders,
    next_planned,
    planned_orders,
    told_plan,
)


def found(scenario):
    evaluation = evaluate(scenario)
    build = next(each for each in evaluation.builds if each.key == "box")
    return planned_orders(evaluation, build), next_planned(evaluation, build)


def drives(count, size_tb=10.0, what="drives"):
    return OrderedThing(what=what, count=count, drives="ten", size_tb=size_tb)


def test_a_plan_is_told_month_by_month_with_its_price(small):
    # Four drives hold 30 TB; each of the other four is ordered in the month that asks for it.
    several, following = found(planned(small))
    box = OrderedThing(what="box", count=1, drives=None, size_tb=None)
    first = PlannedOrders(month=0, things=(box, drives(4)), cost=1400.0)
    assert several == (
        first,
        *(PlannedOrders(month=month, things=(drives(1),), cost=100.0) for month in (3, 4, 5, 6)),
    )
    assert following == several[1]


def test_what_follows_the_rule_has_no_planned_orders(small):
    assert found(small) == ((), None)


def test_drives_of_two_classes_stand_apart(small):
    # A shelf of two bays takes two drives of 40 TB: one holds what three of 10 TB would.
    shelf = {"bays": 2, "price": 100, "drives_at_first": 2}
    both = with_tables(
        planned(small, horizon_months=12),
        {
            "builds.box.shelf": shelf,
            "drives.forty": {"size_tb": 40, "price": 160, "failures_per_drive_year": 0.012,
                             "available_until_date": None},
        },
    )  # fmt: skip
    several, _ = found(both)
    sizes = {thing.size_tb for each in several for thing in each.things if thing.size_tb}
    assert 40.0 in sizes


def test_drives_that_are_owned_are_no_order(small):
    table = {"owned.old": owned((4, 1), drives="ten")}
    scenario = with_tables(planned(small), table)
    own = scenario.varied({"builds.box.starts_in": "old", "builds.box.drives_from": "old"})
    several, following = found(own)
    assert [each.month for each in several] == [3, 4, 5, 6]
    assert following is not None
    assert following.month == 3


@pytest.mark.parametrize("draws", [0, 40])
def test_a_plan_is_the_same_in_every_future(small, draws):
    uncertain = planned(
        small, **{"work.shoots.shoot_days_per_month": {"low": 8, "middle": 10, "high": 12}}
    )
    evaluation = evaluate(uncertain, draws=draws)
    (build,) = evaluation.builds
    again = evaluate(uncertain, draws=7)
    assert evaluation.plans == again.plans
    assert [each.month for each in planned_orders(evaluation, build)] == sorted(
        {order.month for order in evaluation.plans["box"].orders}
    )


def test_what_comes_in_one_month_is_added_up_at_its_mean_price(small):
    """A further box of one future, and the work, are no orders of the plan."""
    one, two = (
        replace(order("drives", count, [3, 3], costs), drives="ten")
        for count, costs in ((1, [100, 300]), (2, [50, 50]))
    )
    others = order("further box", 1, [3, NEVER], [900, 0]), order("work", 1, [3, 3], [20, 20])
    evaluation = with_figures(
        {"money.orders": (one, *others, two)}, evaluation=evaluate(planned(small))
    )
    (april,) = (
        each for each in planned_orders(evaluation, evaluation.builds[0]) if each.month == 3
    )
    assert april == PlannedOrders(month=3, things=(drives(3),), cost=250.0)


def told_of(evaluation, *keys):
    found = told_plan(replace(evaluation, plans=dict.fromkeys(keys)))
    return None if found is None else found.key


def test_the_plan_that_is_told_is_of_the_recommended_or_else_the_cheapest():
    """Of two level ones the dearer is recommended, which meets the needs in nine more of 100."""
    needs = {"headroom_months": (24, {"a": lasts(83), "b": lasts(92), "c": lasts(90)})}
    whole = crafted({"a": 10_000, "b": 10_150, "c": 20_000}, needs)
    assert told_of(whole, "a", "b", "c") == "b"
    assert told_of(whole, "a", "c") == told_of(whole, "c", "a") == "a"
    assert told_of(whole, "c") == "c"
    assert told_of(whole) is None
