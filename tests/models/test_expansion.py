"""The cheapest purchase plan: each rule worked by hand, limits, and values from outside."""

import math
from dataclasses import replace

import numpy as np
import pytest
from models.expansion_cases import changed, cost_of, drive, problem, random_problem, unit

from storagecalc.models import expansion_search
from storagecalc.models.expansion import (
    InfeasiblePlan,
    Order,
    OwnedLot,
    OwnedPool,
    best_plan,
    cost_by_month,
    search_cells,
)


def owned(*lots, unit="box", drive="small"):
    """An owned pool of lots: (count, age in months, price paid)."""
    made = (OwnedLot(count=n, age_months=age, price_paid=paid) for n, age, paid in lots)
    return OwnedPool(unit=unit, drive=drive, lots=tuple(made))


def lines(plan):
    """Each line as (month, pool, drive, drives), with the unit it brings or "swap" behind."""
    return [
        (o.month, o.pool, o.drive, o.drives, *([o.unit] if o.unit else []), *(["swap"] * o.swap))
        for o in plan.orders
    ]


def test_first_order_stands_at_once_where_nothing_is_owned():
    small = drive("small", 1.0, [10.0, 7.0, 8.0, 9.0], 1.0, months=4)
    asked = problem([1.0, 1.0, 1.0, 2.0], [small], [unit("box", 2, months=4)], lead_time_months=2)
    plan = best_plan(asked)
    assert lines(plan) == [(0, 0, "small", 1, "box"), (1, 0, "small", 1)]
    assert plan.cost_by_month.tolist() == [11.0, 8.0, 1.0, 2.0]
    assert plan.plannable_tb_by_month.tolist() == [1.0, 1.0, 1.0, 2.0]
    assert plan.net_present_cost == 22.0


def test_a_first_order_waits_where_it_is_told_to():
    """Two months without 1 TB at 4 a month; then what was ordered today stands."""
    small = drive("small", 1.0, [10.0, 17.0, 8.0, 9.0], 1.0, months=4)
    asked = problem(
        *([1.0, 1.0, 1.0, 2.0], [small], [unit("box", 2, running=3.0, months=4)]),
        unmet=[4.0, 4.0, 90.0, 90.0],
        lead_time_months=2,
        first_order_waits=True,
    )
    plan = best_plan(asked)
    assert lines(plan) == [(0, 0, "small", 2, "box")]
    assert plan.cost_by_month.tolist() == [20.0 + 4.0, 4.0, 5.0, 5.0]
    assert plan.plannable_tb_by_month.tolist() == [0.0, 0.0, 2.0, 2.0]
    assert plan.unmet_tb_by_month.tolist() == [1.0, 1.0, 0.0, 0.0]
    assert cost_of(changed(asked, first_order_waits=False)) == 20.0 + 4 * 5.0
    with pytest.raises(InfeasiblePlan, match="month 0 asks for 1 TB of plannable space; 0 TB"):
        best_plan(changed(asked, unmet_price_by_month=None))
    # Without a lead time, and where something is owned, nobody waits for longer.
    soon = changed(asked, lead_time_months=0)
    assert cost_of(soon) == cost_of(changed(soon, first_order_waits=False))
    own = changed(asked, owned=(owned((1, 5, 99.0)),))
    assert cost_of(own) == cost_of(changed(own, first_order_waits=False))


def test_what_is_owned_waits_for_the_lead_time():
    small = drive("small", 1.0, [10.0, 7.0, 8.0, 9.0], 1.0, months=4)
    asked = problem(
        [1.0, 2.0, 2.0, 2.0],
        [small],
        [unit("box", 2, running=3.0, months=4)],
        unmet=100.0,
        lead_time_months=2,
        owned=(owned((1, 5, 99.0)),),
    )
    plan = best_plan(asked)
    # An order of month 0 stands in month 2: month 1 goes without 1 TB whatever is ordered.
    assert lines(plan) == [(0, 0, "small", 1)]
    assert plan.unmet_tb_by_month.tolist() == [0.0, 1.0, 0.0, 0.0]
    assert plan.cost_by_month.tolist() == [10.0 + 4.0, 4.0 + 100.0, 5.0, 5.0]


@pytest.mark.parametrize(("price_at_sale", "fetched"), [(60.0, 40.0), (20.0, 20.0)])
def test_a_drive_of_thirty_months_is_swapped_and_sold_after_its_price_rose_or_fell(
    price_at_sale, fetched
):
    small = drive(
        "small",
        1.0,
        [50.0, 50.0, 50.0, price_at_sale],
        months=4,
        value_kept_per_year_fraction=0.5,
        last_order_month=-1,
    )
    large = drive("large", 3.0, [90.0, 90.0, 50.0, 90.0], months=4)
    asked = problem(
        [1.0, 1.0, 1.0, 3.0],
        [small, large],
        [unit("box", 1, months=4)],
        order_cost=3.0,
        swap_cost=5.0,
        lead_time_months=1,
        allow_swap=True,
        swap_sale_fraction=0.8,
        owned=(owned((1, 30, 40.0)),),
    )
    plan = best_plan(asked)
    assert lines(plan) == [(2, 0, "large", 1, "swap")]
    # Ordered in month 2, sold in month 3, when the drive is 33 months old.
    sale = 0.8 * 0.5 ** (33 / 12) * fetched
    np.testing.assert_allclose(plan.cost_by_month, [0.0, 0.0, 50.0 + 5.0 + 3.0, -sale])
    assert plan.net_present_cost == pytest.approx(58.0 - sale, rel=1e-12)


def test_each_drive_of_a_swap_is_sold_at_its_own_age():
    small = drive("small", 1.0, 20.0, months=3, value_kept_per_year_fraction=0.25)
    large = drive("large", 3.0, 30.0, months=3, first_order_month=2)
    asked = problem(
        [1.0, 2.0, 6.0],
        [small, large],
        [unit("box", 2, months=3)],
        allow_swap=True,
        owned=(owned((1, 10, 8.0)),),
    )
    plan = best_plan(asked)
    assert lines(plan) == [(1, 0, "small", 1), (2, 0, "large", 2, "swap")]
    sale = 0.25 ** (12 / 12) * 8.0 + 0.25 ** (1 / 12) * 20.0
    assert plan.cost_by_month[2] == pytest.approx(60.0 - sale, rel=1e-12)


def test_a_swap_may_grow_in_the_same_order_and_comes_as_two_lines():
    drives = [drive("small", 1.0, 10.0, months=2), drive("large", 2.0, [15.0, 14.0], months=2)]
    asked = problem(
        [1.0, 6.0],
        drives,
        [unit("box", 3, months=2)],
        swap_cost=4.0,
        order_cost=1.0,
        allow_swap=True,
        owned=(owned((1, 12, 10.0)),),
    )
    plan = best_plan(asked)
    assert lines(plan) == [(1, 0, "large", 1, "swap"), (1, 0, "large", 2)]
    assert plan.cost_by_month.tolist() == [0.0, 42.0 + 4.0 + 1.0]


def test_two_swaps_one_after_the_other():
    sizes = [("small", 1.0, 5.0), ("middle", 2.0, 8.0), ("large", 4.0, [90.0, 90.0, 9.0])]
    drives = [drive(key, size, price, months=3) for key, size, price in sizes]
    box = unit("box", 1, months=3)
    plan = best_plan(problem([1.0, 2.0, 4.0], drives, [box], allow_swap=True, order_cost=1.0))
    # A drive of 2 TB from the start is cheaper than one of 1 TB and a swap for it.
    assert lines(plan) == [(0, 0, "middle", 1, "box"), (2, 0, "large", 1, "swap")]
    dear = replace(drives[1], price_by_month=np.array([90.0, 8.0, 8.0]))
    plan = best_plan(problem([1.0, 2.0, 4.0], [drives[0], dear, drives[2]], [box], allow_swap=True))
    assert [line[2] for line in lines(plan)] == ["small", "middle", "large"]
    assert plan.net_present_cost == 5.0 + 8.0 + 9.0


def test_a_size_that_goes_out_of_sale_is_bought_ahead():
    small = drive("small", 2.0, 10.0, 1.0, months=3)
    large = drive("large", 4.0, 50.0, months=3)
    asked = problem([2.0, 2.0, 4.0], [small, large], [unit("box", 2, months=3)])
    assert best_plan(asked).cost_by_month.tolist() == [11.0, 1.0, 12.0]
    ending = replace(small, last_order_month=0)
    plan = best_plan(changed(asked, drive_options=(ending, large)))
    assert lines(plan) == [(0, 0, "small", 2, "box")]
    assert plan.cost_by_month.tolist() == [22.0, 2.0, 2.0]
    coming = replace(small, first_order_month=1)
    plan = best_plan(changed(asked, drive_options=(coming, large)))
    assert lines(plan) == [(0, 0, "large", 1, "box")]


def test_hot_spares_and_parity_hold_nothing():
    five = unit(*("box", 5), months=2, redundancy="single parity", hot_spares=1, drives_at_first=3)
    plan = best_plan(problem([1.0, 2.0], [drive("small", 1.0, 10.0, 1.0, months=2)], [five]))
    assert lines(plan) == [(0, 0, "small", 3, "box"), (1, 0, "small", 1)]
    assert plan.cost_by_month.tolist() == [33.0, 14.0]
    assert plan.plannable_tb_by_month.tolist() == [1.0, 2.0]


def test_striped_mirrors_grow_in_steps_of_two():
    pairs = unit(
        *("box", 6),
        months=3,
        redundancy="striped mirrors",
        drives_at_first=2,
        drives_per_step=2,
    )
    small = drive("small", 1.0, [10.0, 8.0, 6.0], months=3)
    plan = best_plan(problem([1.0, 1.5, 2.5], [small], [pairs]))
    assert lines(plan) == [(t, 0, "small", 2, *(["box"] if t == 0 else [])) for t in range(3)]
    assert plan.cost_by_month.tolist() == [20.0, 16.0, 12.0]


@pytest.mark.parametrize(("last_price", "fetched"), [(100.0, 100.0), (80.0, 80.0), (300.0, 100.0)])
def test_what_stands_is_sold_at_the_end(last_price, fetched):
    kept = {"value_kept_per_year_fraction": 0.5}
    small = drive("small", 1.0, [100.0] * 11 + [last_price], months=12, **kept)
    box = unit("box", 1, 200.0, months=12, value_kept_per_year_fraction=0.25)
    asked = problem([1.0] * 12, [small], [box], sell_at_end=True, discount_rate_per_year=0.1)
    plan = best_plan(asked)
    np.testing.assert_allclose(plan.cost_by_month, [300.0] + 10 * [0.0] + [-fetched / 2 - 50.0])
    assert plan.net_present_cost == pytest.approx(
        300.0 - (fetched / 2 + 50.0) * 1.1 ** (-11 / 12), rel=1e-12
    )


def test_owned_drives_are_sold_at_the_end_but_owned_units_are_not():
    small = drive("small", 1.0, 90.0, months=6, value_kept_per_year_fraction=0.5)
    box = unit("box", 2, 200.0, months=6, value_kept_per_year_fraction=1.0)
    asked = problem(
        *([1.0] * 6, [small], [box]), sell_at_end=True, owned=(owned((1, 6, 70.0), (1, 18, 50.0)),)
    )
    plan = best_plan(asked)
    assert plan.orders == ()
    assert plan.net_present_cost == pytest.approx(-(0.5 * 70.0 + 0.25 * 50.0), rel=1e-12)


def test_a_shelf_needs_a_box_that_it_fits():
    small = drive("small", 1.0, [10.0, 11.0], months=2)
    boxes = [unit("old", 2, 20.0, months=2), unit("new", 2, 60.0, months=2)]
    shelf = unit("shelf", 2, 5.0, months=2, needs_one_of=("new",))
    asked = problem([2.0, 4.0], [small], [*boxes, shelf])
    plan = best_plan(asked)
    assert lines(plan) == [(0, 0, "small", 2, "new"), (0, 1, "small", 2, "shelf")]
    assert plan.net_present_cost == 60.0 + 5.0 + 40.0
    # Two boxes may stand: the cheap one holds the first two, and a second of it may not come.
    two = changed(asked, boxes_at_most=2, unit_options=(boxes[0], boxes[1]))
    assert cost_of(two) == 20.0 + 60.0 + 40.0
    twice = changed(two, unit_options=(replace(boxes[0], at_most=2), boxes[1]))
    assert cost_of(twice) == 20.0 + 20.0 + 40.0


def test_pools_are_numbered_owned_ones_first_and_boxes_before_shelves():
    small = drive("small", 1.0, 10.0, months=2)
    units = [
        unit("shelf", 2, 5.0, months=2, at_most=2, needs_one_of=("box",)),
        unit("box", 2, 20.0, months=2),
        unit("other", 3, 500.0, months=2),
    ]
    asked = problem([6.0, 6.0], [small], units)
    assert lines(best_plan(asked)) == [
        (0, 0, "small", 2, "box"),
        (0, 1, "small", 2, "shelf"),
        (0, 2, "small", 2, "shelf"),
    ]
    pools = (owned((1, 0, 0.0), unit="shelf"), owned((1, 0, 0.0)))
    plan = best_plan(changed(asked, owned=pools))
    assert sorted(lines(plan), key=lambda line: line[1]) == [
        (0, 0, "small", 1),
        (0, 1, "small", 1),
        (0, 2, "small", 2, "shelf"),
    ]


def test_what_goes_unmet_is_paid_for_where_that_is_cheaper():
    small = drive("small", 1.0, 10.0, months=3)
    asked = problem([1.0, 1.0, 2.0], [small], [unit("box", 2, months=3)], unmet=4.0)
    assert best_plan(asked).unmet_tb_by_month.tolist() == [0.0, 0.0, 1.0]
    assert cost_of(asked) == 14.0
    assert cost_of(changed(asked, unmet_price_by_month=None)) == 20.0
    # A lack below the tolerance is none.
    nearly = changed(asked, required_tb_by_month=np.array([1.0, 1.0, 1.0 + 5e-10]))
    assert cost_of(nearly) == 10.0


def test_infeasible_says_which_month_and_how_much():
    small = drive("small", 10.0, 10.0, months=4, last_order_month=2)
    asked = problem([5.0, 20.0, 42.0, 99.0], [small], [unit("box", 3, months=4)])
    with pytest.raises(InfeasiblePlan) as refused:
        best_plan(asked)
    assert (refused.value.month, refused.value.short_tb) == (2, pytest.approx(12.0))
    assert str(refused.value) == (
        "month 2 asks for 42 TB of plannable space; 30 TB is the most that can stand by then"
    )
    late = changed(asked, lead_time_months=1, owned=(owned((1, 0, 0.0)),))
    with pytest.raises(InfeasiblePlan, match="month 2 asks for 42 TB"):
        best_plan(late)
    sooner = changed(late, required_tb_by_month=np.array([12.0, 20.0, 42.0, 99.0]))
    with pytest.raises(InfeasiblePlan, match="month 0 asks for 12 TB of plannable space; 10 TB"):
        best_plan(sooner)


def test_limits():
    small = drive("small", 1.0, 10.0, 1.0, months=3)
    asked = problem([0.0, 0.0, 0.0], [small], [unit("box", 3, months=3)], order_cost=2.0)
    assert best_plan(asked).orders == ()
    assert cost_of(asked) == 0.0
    # One month; and one month in which an order may be placed.
    assert cost_of(problem([1.0], [drive("d", 1.0, 9.0, months=1)], [unit("b", 1, months=1)])) == 9
    last = changed(asked, lead_time_months=2, required_tb_by_month=np.array([1.0, 2.0, 3.0]))
    assert lines(best_plan(last)) == [(0, 0, "small", 3, "box")]
    # Nothing for sale, or no unit that may come: all goes unmet.
    never = changed(asked, drive_options=(replace(small, last_order_month=-1),))
    none = changed(asked, unit_options=(unit("box", 3, months=3, at_most=0),))
    for bare in (never, none):
        bare = changed(bare, required_tb_by_month=np.array([1.0, 2.0, 3.0]))
        with pytest.raises(InfeasiblePlan, match="month 0 asks for 1 TB"):
            best_plan(bare)
        assert cost_of(changed(bare, unmet_price_by_month=np.full(3, 2.0))) == 12.0
        swapping = changed(bare, allow_swap=True, unmet_price_by_month=np.full(3, 2.0))
        assert cost_of(swapping) == 12.0


# 1958, twelve periods: demand, cost of an order, and the least cost of the first 1, 2, ... 12.
DEMAND = [69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56]
ORDER_COST = [85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114]
LEAST = [85, 114, 186, 277, 348, 400, 469, 555, 600, 710, 789, 864]


@pytest.mark.parametrize("periods", range(1, 13))
def test_the_lot_sizes_of_1958_for_every_horizon(periods):
    required = np.cumsum(DEMAND[:periods]).astype(float)
    one = drive("one", 1.0, 0.0, 1.0, months=periods)
    store = unit("store", 630, months=periods)
    plan = best_plan(problem(required, [one], [store], order_cost=ORDER_COST[:periods]))
    assert plan.net_present_cost - required.sum() == pytest.approx(LEAST[periods - 1], abs=1e-9)
    if periods == 12:
        bought = [(order.month, order.drives) for order in plan.orders]
        assert bought == [(0, 98), (2, 97), (4, 121), (7, 112), (9, 67), (10, 135)]


def cost_for_ever(step_months, exponent, rate, falling=0.0):
    """Two equal steps, each ``step_months`` of growth in size, as if repeated for ever.

    The price of a size is its power, and falls; the growth is 1 TB a month.
    """
    months = 2 * step_months
    price = step_months**exponent * np.exp(-falling * np.arange(months) / 12)
    step = drive("step", float(step_months), price, months=months)
    plant = unit("plant", 2, months=months)
    asked = problem(
        np.arange(1.0, months + 1),
        *([step], [plant]),
        discount_rate_per_year=math.expm1(rate),
    )
    plan = best_plan(asked)
    assert [order.month for order in plan.orders] == [0, step_months]
    return plan.net_present_cost / -math.expm1(-(rate + falling) * months / 12)


@pytest.mark.parametrize(
    ("exponent", "rate", "falling", "years"),
    [
        *((0.5, 0.1, 0.0, 12.564), (0.7, 0.1, 0.0, 6.755), (0.85, 0.1, 0.0, 3.167)),
        *((0.7, 0.2, 0.0, 3.377), (0.7, 0.1, 0.1, 3.377), (0.7, 0.08, 0.12, 3.377)),
    ],
)
def test_the_best_interval_of_expansion_meets_its_first_order_condition(
    exponent, rate, falling, years
):
    around = round(12 * years)
    costs = {n: cost_for_ever(n, exponent, rate, falling) for n in range(around - 3, around + 4)}
    best = min(costs, key=costs.__getitem__)
    assert abs(best - 12 * years) <= 1
    # u / (exp(u) - 1) = exponent, u the rate times the interval; a falling price adds to the rate.
    condition = [(rate + falling) * (best + off) / 12 for off in (-1, 1)]
    low, high = (u / math.expm1(u) for u in condition)
    assert high < exponent < low
    # The closed form itself: price over 1 - exp(-u).
    u = (rate + falling) * best / 12
    assert costs[best] == pytest.approx(best**exponent / -math.expm1(-u), rel=1e-12)


def test_a_falling_price_is_a_higher_discount_rate():
    for step in (30, 40, 50):
        falls = cost_for_ever(step, 0.7, rate=0.1, falling=0.1)
        assert falls == pytest.approx(cost_for_ever(step, 0.7, rate=0.2), rel=1e-12)


def test_single_orders_priced_by_hand():
    small = drive("small", 1.0, [10.0, 9.0, 8.0], 2.0, months=3)
    asked = problem(
        *([0.0, 0.0, 2.5], [small], [unit("box", 2, 30.0, 1.0, months=3)]),
        unmet=6.0,
        order_cost=4.0,
    )
    first = Order(month=1, pool=0, unit="box", drive="small", drives=1, swap=False)
    more = Order(month=2, pool=0, unit=None, drive="small", drives=1, swap=False)
    assert cost_by_month(asked, []).tolist() == [0.0, 0.0, 15.0]
    assert cost_by_month(asked, [first]).tolist() == [0.0, 30 + 9 + 4 + 1 + 2.0, 1 + 2 + 9.0]
    both = cost_by_month(asked, (first, more))
    assert both.tolist() == [0.0, 46.0, 8 + 4 + 1 + 4 + 3.0]


@pytest.mark.parametrize("swaps", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_the_size_that_is_told_is_the_size_that_is_searched(seed, swaps, monkeypatch):
    asked = random_problem(seed, months=5, swaps=swaps)
    monkeypatch.setattr(expansion_search, "MOST_CELLS", 0)
    with pytest.raises(ValueError, match=f"got {search_cells(asked):,}$"):
        best_plan(asked)
