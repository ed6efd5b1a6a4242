"""When each line's space is needed, and what waiting for that costs: worked by hand."""

import math
from collections import Counter

import pytest
from models.expansion_cases import drive, problem, unit

from storagecalc.models.expansion import OwnedLot, OwnedPool
from storagecalc.study.capacity.purchase_plan import PlannedOrder
from storagecalc.study.evaluate import purchase_plans
from storagecalc.study.money.order_timing import line_timings, timings
from storagecalc.study.sampling import sampler

REQUIRED = [1.0, 1.0, 2.0, 3.0]


def lines(*told):
    """Lines of small drives for the box: (month, drives); the first brings it."""
    return [
        PlannedOrder(
            month=month, pool=0, unit=None if place else "box", drives="small", count=count,
            swap=False,
        )
        for place, (month, count) in enumerate(told)
    ]  # fmt: skip


def asked(price=10.0, running=0.0, required=REQUIRED, sale=None, box_price=0.0, **others):
    small = drive("small", 1.0, price, running, months=len(required), **(sale or {}))
    box = unit("box", 4, box_price, months=len(required))
    return problem(required, [small], [box], unmet=9.0, **others)


def test_each_line_is_needed_once_the_lines_before_it_are_full():
    found = line_timings(asked(), lines((0, 1), (2, 1), (3, 1), (3, 1)))
    assert [each.needed_months for each in found] == [0.0, 2.0, 3.0, math.inf]
    assert [each.order_by_months for each in found] == [0.0, 2.0, 3.0, math.inf]
    assert {each.waiting_cost for each in found} == {0.0}


def test_a_line_that_stands_late_leaves_the_next_its_own_month():
    found = line_timings(asked(), lines((1, 1), (3, 1), (3, 1)))
    assert [each.needed_months for each in found] == [0.0, 2.0, 3.0]


@pytest.mark.parametrize(
    ("price", "running", "discount", "waiting"),
    [
        ([10.0, 10.0, 12.0, 12.0], 0.0, 0.0, 2.0),
        ([10.0, 10.0, 9.0, 9.0], 0.0, 0.0, -1.0),
        (10.0, 1.0, 0.0, -2.0),
        ([10.0, 10.0, 12.0, 12.0], 1.0, 0.0, 0.0),
        (10.0, 0.0, 0.21, 10.0 * 1.21 ** (-2 / 12) - 10.0),
    ],
)
def test_waiting_costs_the_later_price_less_what_running_it_costs(
    price, running, discount, waiting
):
    bought = asked(price, running, discount_rate_per_year=discount, order_cost=50.0)
    _, second = line_timings(bought, lines((0, 1), (0, 1)))
    assert second.needed_months == second.order_by_months == 2.0
    assert second.waiting_cost == pytest.approx(waiting, abs=1e-12)


def test_what_waits_is_worth_more_at_the_end():
    bought = asked(sale={"value_kept_per_year_fraction": 0.25}, sell_at_end=True)
    _, second = line_timings(bought, lines((0, 1), (0, 1)))
    assert second.waiting_cost == pytest.approx(10.0 * (0.25 ** (4 / 12) - 0.25 ** (2 / 12)))


def test_a_box_waits_with_its_drives():
    bought = asked(required=[0.0, 0.0, 1.0], box_price=[40.0, 40.0, 30.0])
    (first,) = line_timings(bought, lines((0, 1)))
    assert first.waiting_cost == -10.0


def test_what_is_no_longer_sold_cannot_wait():
    _, second = line_timings(asked(sale={"last_order_month": 1}), lines((0, 1), (0, 1)))
    assert second.waiting_cost == math.inf


def test_an_order_has_to_go_out_a_lead_time_before():
    owned = OwnedPool(
        unit="box", drive="small", lots=(OwnedLot(count=1, age_months=5, price_paid=0.0),)
    )
    waiting = asked(required=[1.0, 2.0, 3.0, 3.0, 4.0], lead_time_months=2, owned=(owned,))
    more = [
        PlannedOrder(month=month, pool=0, unit=None, drives="small", count=1, swap=False)
        for month in (0, 1, 2)
    ]
    found = line_timings(waiting, more)
    assert [each.needed_months for each in found] == [1.0, 2.0, 4.0]
    # The first would have to go out before today: today is the month.
    assert [each.order_by_months for each in found] == [0.0, 0.0, 2.0]


def test_the_first_order_stands_at_once_and_all_others_later():
    bought = asked(required=[1.0, 2.0, 2.0, 3.0], lead_time_months=2)
    found = line_timings(bought, lines((0, 1), (0, 1), (1, 1)))
    assert [each.order_by_months for each in found] == [0.0, 0.0, 1.0]


def test_a_swap_waits_as_a_whole():
    small = drive("small", 1.0, 10.0, 1.0, months=4)
    large = drive("large", 3.0, [30.0, 28.0, 20.0, 20.0], 2.0, months=4)
    box = unit("box", 2, months=4)
    bought = problem([1.0, 1.0, 1.0, 2.0], [small, large], [box], unmet=9.0, allow_swap=True)
    swap = PlannedOrder(month=1, pool=0, unit=None, drives="large", count=1, swap=True)
    _, swapped = line_timings(bought, [*lines((0, 1)), swap])
    # Two months later: 8 less for the drive, and each month 1 less to run.
    assert swapped.needed_months == 3.0
    assert swapped.waiting_cost == pytest.approx(-8.0 - 2.0)


def test_a_best_plan_is_timed_line_by_line(demo):
    scenario = demo.varied({"builds.twelve_and_shelf.plan": "best"})
    sample = sampler(scenario)
    plans = purchase_plans(sample)
    found = timings(sample, plans)["twelve_and_shelf"]
    counts = Counter[int]()
    for each in found:
        counts[each.line.month] += each.line.count
    assert counts == Counter(
        {order.month: order.count for order in plans["twelve_and_shelf"].orders}
    )
    first, ahead = found[:2]
    assert (first.line.unit, ahead.line.unit) == ("box", None)
    assert first.line.count == 6
    needed = [each.needed_months for each in found]
    assert needed == sorted(needed)
    assert needed[0] == 0.0


def test_all_that_is_needed_at_once_is_one_part_and_what_comes_ahead_another():
    found = line_timings(asked(required=[2.0, 2.0, 3.0]), lines((0, 3)))
    assert [(each.line.count, each.needed_months) for each in found] == [(2, 0.0), (1, 2.0)]


def test_a_swap_is_never_parted_and_what_follows_finds_the_swapped_drives():
    """Two drives of 3 TB for two of 1 TB; two bays are left, of which one is needed a month on."""
    small = drive("small", 1.0, 10.0, months=5)
    large = drive("large", 3.0, 30.0, months=5)
    bought = problem([2.0, 2.0, 3.0, 7.0, 10.0], [small, large], [unit("box", 4, months=5)],
                     unmet=9.0, allow_swap=True)  # fmt: skip
    swap = PlannedOrder(month=2, pool=0, unit=None, drives="large", count=2, swap=True)
    more = PlannedOrder(month=3, pool=0, unit=None, drives="large", count=2, swap=False)
    found = line_timings(bought, [*lines((0, 2)), swap, more])
    assert [each.line.count for each in found] == [2, 2, 1, 1]
    assert [each.needed_months for each in found] == [0.0, 2.0, 3.0, 4.0]
