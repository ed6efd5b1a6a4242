"""The purchase calendar, on orders by hand."""

from dataclasses import replace
from typing import Any

import pytest
from study.decision.crafted import crafted
from views.figures import with_figures
from views.orders import NEVER, order

from storagecalc import evaluate
from storagecalc.study.decision.order_list import order_list
from storagecalc.study.decision.planned_orders import OrderedThing
from storagecalc.study.decision.purchase_calendar import (
    CalendarOrder,
    purchase_calendar,
)
from storagecalc.study.evaluate import Evaluation

# Eight of ten futures order in months 4 to 11, three in months 20 to 22.
EIGHT, THREE = [*range(4, 12), NEVER, NEVER], [20, 21, 22] + [NEVER] * 7


def drives(count: int, months: Any, costs: Any, key: str = "ten") -> Any:
    return replace(order("drives", count, months, costs), drives=key)


def ordering(*orders: Any) -> Evaluation:
    """Two alternatives; the second, which is dearer, orders what is given."""
    whole = crafted({"a": 100, "b": 300})
    big = {**whole.scenario.as_written()["drives"]["ten"], "size_tb": [18, 20, 24]}
    big["size_tb"] = dict(zip(("low", "middle", "high"), big["size_tb"], strict=True))
    classes = {**whole.scenario.as_written()["drives"], "big": big}
    whole = replace(whole, scenario=whole.scenario.varied({"drives": classes}))
    return with_figures({"money.orders": orders}, evaluation=whole, number=1)


def orders_of(*orders: Any) -> tuple[CalendarOrder, ...]:
    return purchase_calendar(ordering(*orders)).lanes[1].orders


def test_what_the_same_futures_order_in_the_same_months_is_one_order():
    first = [order("box", 1, [0] * 10, [900] * 10), drives(4, [0] * 10, [400] * 10)]
    shelf = order("shelf", 1, EIGHT, [300] * 8 + [0] * 2)
    beside = drives(2, EIGHT, [*range(100, 180, 10), 0, 0], "big")
    box = order("further box", 1, THREE, [1000, 1100, 1200] + [0] * 7)
    now, later, last = orders_of(*first, shelf, beside, box)
    assert now == CalendarOrder(
        month=0,
        month_p10=0,
        month_p90=0,
        placed_fraction=1.0,
        things=(
            OrderedThing(what="box", count=1, drives=None, size_tb=None),
            OrderedThing(what="drives", count=4, drives="ten", size_tb=10.0),
        ),
        cost=1300.0,
    )
    # The fourth of eight months is the median; the first is one in ten, the last nine in ten.
    assert (later.month_p10, later.month, later.month_p90) == (4, 7, 11)
    assert later.placed_fraction == 0.8
    assert [(each.what, each.size_tb) for each in later.things] == [("shelf", None), ("drives", 20)]
    assert later.cost == pytest.approx(300 + 135)
    assert (last.month_p10, last.month, last.month_p90, last.cost) == (20, 21, 22, 1100)
    assert [each.is_further_box for each in (now, later, last)] == [False, False, True]
    assert [each.is_usual for each in (now, later, last)] == [True, True, False]


def test_drives_of_two_classes_stay_two_things_of_one_order():
    (found,) = orders_of(drives(2, [3] * 4, [50] * 4), drives(1, [3] * 4, [90] * 4, "big"))
    assert [(each.drives, each.count) for each in found.things] == [("ten", 2), ("big", 1)]
    assert found.cost == 140


def test_a_further_box_is_an_order_of_its_own_and_so_is_what_other_futures_order():
    box = order("further box", 1, EIGHT, [1000] * 10)
    beside = drives(1, EIGHT, [100] * 10)
    fewer = drives(3, [NEVER, *EIGHT[1:]], [300] * 10)
    found = orders_of(box, beside, fewer)
    assert [(each.month, each.things[0].count, each.is_further_box) for each in found] == [
        (7, 1, False), (7, 1, True), (8, 3, False),
    ]  # fmt: skip


def test_work_and_other_costs_are_no_purchases_and_rare_orders_are_left_out():
    work = order("work", 1, [0] * 20, [50] * 20)
    switch = order("other: switch", 1, [0] * 20, [50] * 20)
    rare = order("shelf", 1, [3] + [NEVER] * 19, [300] + [0] * 19)
    assert orders_of(work, switch, rare) == ()


def test_lanes_stand_as_alternatives_do_and_one_is_the_recommended():
    calendar = purchase_calendar(ordering())
    assert [(lane.build.name, lane.is_recommended) for lane in calendar.lanes] == [
        ("a", True), ("b", False),
    ]  # fmt: skip
    assert calendar.lane_of(calendar.lanes[1].build) is calendar.lanes[1]


def test_usual_orders_are_those_of_half_or_more():
    half = [3] * 5 + [NEVER] * 5
    lane = purchase_calendar(
        ordering(order("shelf", 1, half, [9] * 10), drives(1, THREE, [9] * 10))
    )
    assert [each.month for each in lane.lanes[1].usual_orders] == [3]


@pytest.mark.parametrize(
    ("start", "januaries"),
    [
        ("2027-01-01", {0: 2027, 12: 2028, 24: 2029}),
        ("2027-04-01", {9: 2028, 21: 2029}),
        ("2026-12-01", {1: 2027, 13: 2028}),
    ],
)
def test_years_begin_in_january_up_to_the_end_of_the_last_month(start, januaries):
    whole = ordering()
    moved = replace(whole, scenario=whole.scenario.varied({"start_date": start}))
    assert purchase_calendar(moved).januaries == januaries


def test_every_purchase_of_the_list_stands_in_the_calendar_once(small):
    found = evaluate(small, draws=40)
    (lane,) = purchase_calendar(found).lanes
    things = ("box", "drives")
    rows = [row for row in order_list(lane.build) if row.what in things]
    assert sum(row.cost for row in rows) == pytest.approx(sum(each.cost for each in lane.orders))
    told = [
        (order.month, thing.what, thing.count) for order in lane.orders for thing in order.things
    ]
    assert sorted(told) == sorted((row.month, row.what, row.count) for row in rows)


def test_of_one_month_what_more_futures_order_comes_first():
    found = orders_of(drives(1, [3] * 5 + [NEVER] * 5, [9] * 10), drives(2, [3] * 10, [9] * 10))
    assert [each.placed_fraction for each in found] == [1.0, 0.5]


@pytest.mark.parametrize("months", [[5, 5, *range(6, 12)], [*range(4, 11), 12]])
def test_what_is_ordered_sooner_or_later_at_the_ends_is_another_order(months):
    """The same eight of ten futures, the same median, but another first or last month."""
    shelf = order("shelf", 1, EIGHT, [300] * 10)
    found = orders_of(shelf, drives(2, [*months, NEVER, NEVER], [100] * 10))
    assert sorted((each.month_p10, each.month, each.month_p90) for each in found) == sorted(
        [(4, 7, 11), (months[0], 7, months[-1])]
    )


def test_the_axis_is_as_long_as_the_horizon():
    assert purchase_calendar(ordering()).months == 24
