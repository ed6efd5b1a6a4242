"""What a plan orders in a month, by hand: 10 TB more a month, boxes of 30 TB, drives of 10 TB."""

import pytest
from study.planned import planned
from study.small import owned, with_tables

from storagecalc import evaluate
from storagecalc.study.decision.planned_orders import (
    OrderedThing,
    PlannedOrders,
    next_planned,
    planned_orders,
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
