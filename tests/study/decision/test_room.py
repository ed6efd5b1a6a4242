"""Twenty futures that stand for all, and the orders that a picture marks."""

from dataclasses import replace

import numpy as np
from study.decision.crafted import crafted

from storagecalc.study.decision.room import order_marks, rooms, twenty_futures
from storagecalc.study.decision.verdict import (
    common_costs,
    gap_by_draw,
    verdict,
)
from storagecalc.study.money.categories import CATEGORIES
from storagecalc.study.money.orders import Order
from storagecalc.study.result import BuildResult

FUTURES = 100


def with_orders(due_months: float, *orders: tuple[str, int, float, int]) -> BuildResult:
    """A build with orders of what, how many, in which month, by how many futures."""
    build = crafted({"a": 100}).builds[0]
    made = tuple(
        Order(
            what=what,
            count=count,
            month=np.where(np.arange(FUTURES) < placed, month, np.inf).reshape(1, -1, 1),
            cost=np.zeros((1, 1, 1)),
        )
        for what, count, month, placed in orders
    )
    capacity = replace(build.capacity, first_order_months=due_months)
    return replace(build, capacity=capacity, money=replace(build.money, orders=made))


def told(build: BuildResult) -> list[tuple[int, dict[str, int], bool]]:
    return [(mark.month, mark.counts, mark.is_next) for mark in order_marks(build)]


def test_the_futures_are_the_odd_fortieths_of_all():
    # Of a hundred the 2.5th, 7.5th, … by rank: the third, the eighth, up to the 98th.
    assert twenty_futures(range(1, 101)) == tuple(range(3, 101, 5))
    assert twenty_futures([30.0, 10.0, 20.0]) == (10.0,) * 7 + (20.0,) * 6 + (30.0,) * 7


def test_never_stays_never_and_one_alone_stays_alone():
    months = [5.0] * 51 + [np.inf] * 49
    assert twenty_futures(months) == (5.0,) * 10 + (np.inf,) * 10
    assert twenty_futures([np.inf]) == (np.inf,)


def test_what_half_of_the_futures_order_is_marked_and_the_next_order_in_any_case():
    build = with_orders(
        7.0,
        ("box", 1, 0, 100),
        ("drives", 4, 0, 100),
        ("work", 1, 0, 100),
        ("drives", 2, 9, 40),
        ("shelf", 1, 15, 50),
        ("drives", 3, 15, 50),
        ("further box", 1, 15, 60),
        ("drives", 2, 20, 49),
    )
    assert told(build) == [
        (0, {"box": 1, "drives": 4}, False),
        (7, {"drives": 2}, True),
        (15, {"shelf": 1, "drives": 3}, False),
        (15, {"further box": 1}, False),
    ]


def test_without_a_next_order_only_what_is_usual_is_marked():
    build = with_orders(np.inf, ("drives", 4, 0, 100), ("drives", 2, 9, 40), ("drives", 2, 12, 50))
    assert told(build) == [(0, {"drives": 4}, False), (12, {"drives": 2}, False)]


def test_a_next_order_due_at_once_stands_with_the_first():
    build = with_orders(0.0, ("drives", 4, 0, 100), ("larger drives", 8, 5, 100))
    assert told(build) == [(0, {"drives": 4, "larger drives": 8}, True)]


def test_rooms_stand_in_the_order_of_the_file_and_tell_who_fills_in_time():
    whole = crafted({"dear": 300, "cheap": 100})
    months = np.where(np.arange(FUTURES) < 50, 7.0, np.inf)
    builds = tuple(
        replace(each, capacity=replace(each.capacity, headroom_months_by_draw=months))
        for each in whole.builds
    )
    evaluation = replace(whole, builds=builds)
    told_rooms = rooms(evaluation, verdict(evaluation))
    assert [room.build.key for room in told_rooms] == ["dear", "cheap"]
    assert [room.in_time_months for room in told_rooms] == [(7.0,) * 10] * 2


def test_what_costs_the_same_is_told_with_the_largest_first():
    one, other = crafted({"a": 100, "b": 300}).builds
    costs = dict.fromkeys(CATEGORIES, 0.0)
    money = replace(
        one.money,
        present_cost_by_category=costs | {"box": 10.0, "archive": 50.0, "power": 20.0},
    )
    dearer = replace(
        other.money,
        present_cost_by_category=costs | {"box": 30.0, "archive": 50.2, "power": 20.0},
    )
    pair = replace(one, money=money), replace(other, money=dearer)
    assert common_costs(*pair) == {"archive": 50.0, "power": 20.0}
    assert gap_by_draw(*pair).tolist() == [200.0] * FUTURES


def test_an_order_due_within_a_month_is_marked_at_its_beginning():
    build = with_orders(7.6, ("drives", 2, 9, 100))
    assert told(build) == [(7, {"drives": 2}, True)]
