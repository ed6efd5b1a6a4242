"""The cheapest purchase plan by other routes: every list of orders, rules of thumb, properties."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from models.expansion_cases import (
    changed,
    cost_of,
    drive,
    every_list_of_orders,
    problem,
    random_problem,
    unit,
)

from storagecalc.models.cashflow import net_present_cost
from storagecalc.models.expansion import InfeasiblePlan, Order, best_plan, cost_by_month

SEEDS = st.integers(0, 100_000)
MOST_LISTS = 3000


def priced(asked, orders):
    """Net present cost of a list of orders, drive by drive."""
    return net_present_cost(
        cost_by_month=cost_by_month(asked, orders),
        discount_rate_per_year=asked.discount_rate_per_year,
    )


def least_cost(asked):
    """Of the best plan, or infinity where none holds what is asked for."""
    try:
        return cost_of(asked)
    except InfeasiblePlan:
        return np.inf


def plannable_after(asked, orders, month):
    """Plannable TB once the orders of all months up to one stand, by following each pool."""
    pools = [
        [asked.unit(own.unit), asked.drive(own.drive), sum(lot.count for lot in own.lots)]
        for own in asked.owned
    ]
    for order in (order for order in orders if order.month <= month):
        option = asked.drive(order.drive)
        if order.unit is not None:
            pools.append([asked.unit(order.unit), option, order.drives])
        elif order.swap:
            pools[order.pool][1] = option
        else:
            pools[order.pool][2] += order.drives
    return asked.plannable_fraction * sum(
        kind.usable_tb(count, option.size_tb) for kind, option, count in pools
    )


def lack_by_month(asked, orders):
    lack = []
    for month, required in enumerate(asked.required_tb_by_month):
        ordered = month - asked.lead_time_months
        begins_at_once = not asked.owned and not asked.first_order_waits
        ordered = max(ordered, 0) if begins_at_once else ordered
        lack.append(max(required - plannable_after(asked, orders, ordered), 0.0))
    return lack


def with_later_fields(asked, seed):
    """In half of the problems what goes unmet has another price once the last order stands, in
    half a first order waits."""
    random = np.random.default_rng([seed, 1])
    after = None
    if asked.unmet_price_by_month is not None and random.integers(2):
        after = asked.unmet_price_by_month * random.uniform(0.1, 1.0, asked.months)
    waits = bool(random.integers(2))
    return changed(asked, later_unmet_price_by_month=after, first_order_waits=waits)


def tiny(seed, **others):
    """A problem with few enough lists of orders to try them all, and these lists."""
    asked = random_problem(seed, months=3, bays=2, shelves=seed % 2, **others)
    asked = with_later_fields(asked, seed)
    lists = []
    for orders in every_list_of_orders(asked):
        lists.append(orders)
        if len(lists) > MOST_LISTS:
            return asked, None
    return asked, lists


@given(SEEDS)
def test_no_list_of_orders_is_cheaper_and_one_costs_as_much(seed):
    asked, lists = tiny(seed, boxes=1 + seed % 5 // 4, swaps=False if seed % 5 == 4 else None)
    assume(lists is not None)
    held = [
        orders
        for orders in lists
        if asked.unmet_price_by_month is not None or max(lack_by_month(asked, orders)) < 1e-9
    ]
    least = min((priced(asked, orders) for orders in held), default=np.inf)
    assert least_cost(asked) == pytest.approx(least, rel=1e-9, abs=1e-9)


@given(SEEDS)
def test_the_first_lack_is_that_of_the_best_list_of_orders(seed):
    asked, lists = tiny(seed)
    asked = changed(
        asked,
        unmet_price_by_month=None,
        later_unmet_price_by_month=None,
        required_tb_by_month=1.6 * asked.required_tb_by_month,
    )
    assume(lists is not None)
    found = []
    for orders in lists:
        lack = lack_by_month(asked, orders)
        month = next((t for t, tb in enumerate(lack) if tb > 1e-9), len(lack))
        found.append((month, -lack[month] if month < len(lack) else 0.0))
    month, least = max(found)
    if month == len(asked.required_tb_by_month):
        best_plan(asked)
        return
    with pytest.raises(InfeasiblePlan) as refused:
        best_plan(asked)
    assert refused.value.month == month
    assert refused.value.short_tb == pytest.approx(-least, abs=1e-9)


@given(SEEDS, st.integers(6, 20), st.integers(1, 2))
def test_a_plan_holds_what_it_says_and_costs_what_its_orders_cost(seed, months, boxes):
    asked = random_problem(
        *[seed],
        months=months,
        sizes=3,
        shelves=seed % 3,
        boxes=boxes,
        swaps=None if boxes == 1 else False,
    )
    asked = with_later_fields(asked, seed)
    try:
        plan = best_plan(asked)
    except InfeasiblePlan:
        assert asked.unmet_price_by_month is None
        return
    again = priced(asked, plan.orders)
    assert plan.net_present_cost == pytest.approx(again, rel=1e-9, abs=1e-9)
    lack = lack_by_month(asked, plan.orders)
    np.testing.assert_allclose(plan.unmet_tb_by_month, lack, atol=1e-9)
    short = plan.plannable_tb_by_month < asked.required_tb_by_month - 1e-9
    assert np.array_equal(short, plan.unmet_tb_by_month > 0)
    if asked.unmet_price_by_month is None:
        assert max(lack) < 1e-9


@pytest.mark.parametrize("seed", range(6))
def test_costs_that_are_worked_out_again_lead_to_the_same_orders(seed, monkeypatch):
    asked = random_problem(seed, months=23, sizes=3, bays=4, always=True)
    asked = with_later_fields(asked, seed)
    asked = changed(asked, unmet_price_by_month=np.full(23, 30.0))
    kept = best_plan(asked).orders
    assert kept
    monkeypatch.setattr("storagecalc.models.expansion_search.KEPT_BYTES", 20_000)
    assert best_plan(asked).orders == kept


@given(SEEDS, st.integers(0, 9), st.floats(0, 3))
def test_property_more_demand_never_costs_less(seed, month, more_tb):
    asked = random_problem(seed, months=10)
    more = asked.required_tb_by_month + 0.0
    more[month] += more_tb
    assert least_cost(changed(asked, required_tb_by_month=more)) >= least_cost(asked) - 1e-9


@given(SEEDS, st.sampled_from(["size", "sale", "shelf", "swap", "box"]))
def test_property_a_wider_menu_never_costs_more(seed, what):
    asked = random_problem(seed, months=10, swaps=True if what == "swap" else None)
    units, drives = asked.unit_options, asked.drive_options
    if what == "size":
        wider, asked = asked, changed(asked, drive_options=drives[: len(drives) - 1], owned=())
        wider = changed(wider, owned=())
    elif what == "sale":
        longer = [changed(one, first_order_month=0, last_order_month=None) for one in drives]
        wider = changed(asked, drive_options=tuple(longer))
    elif what == "shelf":
        wider = changed(asked, unit_options=(*units[:2], changed(units[2], at_most=2)))
    elif what == "swap":
        wider, asked = asked, changed(asked, allow_swap=False)
    else:
        asked = changed(asked, allow_swap=False)
        wider = changed(asked, boxes_at_most=2)
    assert least_cost(wider) <= least_cost(asked) + 1e-9


@given(SEEDS)
def test_property_no_unmet_space_is_unmet_space_at_a_very_high_price(seed):
    asked = random_problem(seed, months=10)
    none = least_cost(changed(asked, unmet_price_by_month=None))
    assume(none < np.inf)
    high = changed(asked, unmet_price_by_month=np.full(10, 1e9))
    assert least_cost(high) == pytest.approx(none, rel=1e-9, abs=1e-6)


@given(SEEDS)
def test_property_where_enough_is_owned_nothing_is_bought(seed):
    asked = random_problem(seed, months=10, swaps=False)
    enough = np.full(10, lack_free_tb(asked))
    assert best_plan(changed(asked, required_tb_by_month=enough)).orders == ()


def lack_free_tb(asked):
    """What stands already."""
    return plannable_after(asked, (), -1)


@given(SEEDS, st.floats(0.01, 100))
def test_property_all_money_times_k_is_cost_times_k(seed, k):
    asked = random_problem(seed, months=10)
    assume(not asked.owned)
    dearer = changed(
        asked,
        drive_options=tuple(times(one, k) for one in asked.drive_options),
        unit_options=tuple(times(one, k) for one in asked.unit_options),
        order_cost_by_month=k * asked.order_cost_by_month,
        swap_cost_by_month=k * asked.swap_cost_by_month,
        unmet_price_by_month=times_row(asked.unmet_price_by_month, k),
    )
    assert least_cost(dearer) == pytest.approx(k * least_cost(asked), rel=1e-9, abs=1e-9)


def times(option, k):
    return changed(
        option,
        price_by_month=k * option.price_by_month,
        running_cost_by_month=k * option.running_cost_by_month,
    )


def times_row(prices, k):
    return None if prices is None else k * prices


def by_rule(asked, option, ahead):
    """Orders of a rule of thumb: once it is full, buy for so many months ahead."""
    box = asked.unit_options[0]
    there, orders = 0, []
    for month, required in enumerate(asked.required_tb_by_month):
        have = asked.plannable_fraction * box.usable_tb(there, option.size_tb) if there else 0.0
        if have >= required - 1e-9:
            continue
        wanted = asked.required_tb_by_month[month : month + ahead].max()
        enough = (
            count
            for count in box.drive_counts
            if asked.plannable_fraction * box.usable_tb(count, option.size_tb) >= wanted - 1e-9
        )
        count = next(enough, box.drive_counts[-1])
        if count == there:
            continue
        orders.append(
            Order(
                month=month,
                pool=0,
                unit=None if there else box.key,
                drive=option.key,
                drives=count - there,
                swap=False,
            )
        )
        there = count
    return orders


@given(SEEDS, st.integers(1, 36))
def test_no_rule_of_thumb_is_cheaper_on_the_demand_planned_for(seed, ahead):
    random = np.random.default_rng(seed)
    months = 36
    price = random.uniform(0.6, 1.4) ** (np.arange(months) / 12)
    sizes = (8.0, 12.0, 16.0)
    asked = problem(
        np.cumsum(random.gamma(2.0, 1.0, months)),
        [drive(f"d{size}", size, 15.0 * size * price, 0.8, months=months) for size in sizes],
        [unit("box", 12, 600.0, 4.0, months=months, redundancy="double parity", drives_at_first=3)],
        unmet=30.0,
        order_cost=60.0,
        plannable_fraction=0.8,
        discount_rate_per_year=0.05,
        sell_at_end=bool(seed % 2),
    )
    least = cost_of(asked)
    for option in asked.drive_options:
        assert priced(asked, by_rule(asked, option, ahead)) >= least - 1e-9 * least
