"""The ordering rule: what is ordered when, what is in place, what never fits."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from storagecalc.models.ordering import (
    first_month_over,
    required_tb,
    rule_based_growth,
    steps_ordered_by_month,
)

MONTHS = st.integers(1, 40)
TB = st.floats(0, 500)
SERIES = arrays.arrays(np.float64, MONTHS, elements=TB)
CAPACITIES = st.lists(TB, min_size=1, max_size=8).map(sorted)
LEADS = st.floats(0, 12)


def growth(required, plannable, lead):
    grown = rule_based_growth(
        required_tb_by_month=required, plannable_tb_by_step=plannable, lead_time_months=lead
    )
    return grown.steps_ordered_by_month, grown.steps_in_place_by_month


def steps(held, above):
    return steps_ordered_by_month(held_tb_by_month=held, order_above_tb_by_step=above)


def first_over(held, limit):
    return first_month_over(held_tb_by_month=held, limit_tb=limit)


def followed_by_hand(required, plannable, lead):
    """The rule month by month, as one would follow it with a pencil."""
    ordered, in_place, step = [], [], 0
    for month, asked in enumerate(required):
        while plannable[step] < asked and step + 1 < len(plannable):
            step += 1
        ordered.append(step)
        before = month - math.ceil(lead)
        in_place.append(ordered[before] if before >= 0 else 0)
    return ordered, in_place


def test_by_hand():
    # 8 bays of which 4 are filled, 10 TB a drive for data: 30 to 70 TB in four steps.
    ordered, in_place = growth([20, 30, 31, 55, 40, 200], [30, 40, 50, 60, 70], 1.5)
    assert ordered.tolist() == [0, 0, 1, 3, 3, 4]
    assert in_place.tolist() == [0, 0, 0, 0, 1, 3]
    assert required_tb(held_tb_by_month=[34.0, 51.0], order_at_fraction=0.85).tolist() == [40, 60]
    # Four drives more in the first box, then a second box and three more in it.
    assert steps([30, 41, 39, 62, 95], [40, 60, 80, 100]).tolist() == [0, 1, 1, 2, 3]
    assert first_over([10, 20, 30, 20], 20) == 2.0


def test_limits():
    ordered, in_place = growth([50, 90], [100, 200], 0)
    assert ordered.tolist() == in_place.tolist() == [0, 0]
    ordered, in_place = growth([500, 0], [100, 200], 0)
    assert ordered.tolist() == in_place.tolist() == [1, 1]
    assert growth([500, 0], [100], 3)[0].tolist() == [0, 0]
    assert growth([500] * 4, [100, 200], 1e9)[1].tolist() == [0] * 4
    assert steps([0, 10, 11], [10]).tolist() == [0, 0, 1]
    assert steps([0, 10, 11], [0, 0, 10]).tolist() == [0, 2, 3]
    assert steps([1e9, 0], [1.0] * 300).tolist() == [300, 300]
    assert first_over([1, 2], 2) == math.inf
    assert first_over([3, 2], 2) == 0.0


def test_the_lead_time_moves_what_is_in_place_but_not_the_order():
    required = np.linspace(0, 100, 24)
    ordered, _ = growth(required, [40, 60, 80, 100], 0)
    for lead in (0, 1, 2.01, 5):
        again, in_place = growth(required, [40, 60, 80, 100], lead)
        whole = math.ceil(lead)
        np.testing.assert_array_equal(again, ordered)
        np.testing.assert_array_equal(in_place[whole:], ordered[: 24 - whole])
        assert not in_place[:whole].any()


@given(SERIES, CAPACITIES, LEADS)
def test_second_route_with_a_pencil(required, plannable, lead):
    ordered, in_place = growth(required, plannable, lead)
    by_hand = followed_by_hand(required.tolist(), plannable, lead)
    assert (ordered.tolist(), in_place.tolist()) == by_hand


@given(SERIES, CAPACITIES)
def test_second_route_to_steps_ordered_a_sorted_search(held, above):
    wanted = np.searchsorted(above, np.maximum.accumulate(held), side="left")
    np.testing.assert_array_equal(steps(held, above), wanted)


@given(SERIES, CAPACITIES, st.integers(1, 8))
def test_property_further_steps_change_nothing_before_them(held, above, count):
    np.testing.assert_array_equal(steps(held, above[:count]), np.minimum(steps(held, above), count))


@given(SERIES, st.lists(TB, min_size=2, max_size=8).map(sorted), LEADS)
def test_property_growth_orders_a_step_above_the_capacity_before_it(required, plannable, lead):
    ordered, _ = growth(required, plannable, lead)
    np.testing.assert_array_equal(ordered, steps(required, plannable[:-1]))


@given(SERIES, TB)
def test_second_route_to_the_first_month_over(held, limit):
    months = [month for month, tb in enumerate(held.tolist()) if tb > limit]
    assert first_over(held, limit) == (months[0] if months else math.inf)


@given(SERIES, CAPACITIES, LEADS)
def test_property_orders_are_enough_not_too_many_and_never_taken_back(required, plannable, lead):
    ordered, in_place = growth(required, plannable, lead)
    assert np.all(np.diff(ordered) >= 0)
    assert np.all(in_place <= ordered)
    capacity = np.array(plannable)
    enough = (capacity[ordered] >= required) | (ordered == len(plannable) - 1)
    assert enough.all()
    # The step before the last one ordered was too small in some month so far.
    most_so_far = np.maximum.accumulate(required)
    bought = ordered > 0
    assert np.all(capacity[ordered[bought] - 1] < most_so_far[bought])


@given(SERIES, CAPACITIES, LEADS, st.floats(1, 3))
def test_property_more_footage_orders_no_later(required, plannable, lead, more):
    less, _ = growth(required, plannable, lead)
    most, _ = growth(required * more, plannable, lead)
    assert np.all(most >= less)


def test_positions_and_draws_are_what_each_of_them_is():
    random = np.random.default_rng(3)
    required = random.uniform(0, 120, (1, 50, 24))
    plannable = np.sort(random.uniform(10, 100, (6, 1, 5)), axis=-1)
    lead = random.uniform(0, 4, (1, 50, 1))
    ordered, in_place = growth(required, plannable, lead)
    assert ordered.shape == in_place.shape == (6, 50, 24)
    assert ordered.dtype == in_place.dtype == np.int64
    for p, d in np.ndindex(6, 50):
        by_hand = followed_by_hand(required[0, d], plannable[p, 0], lead[0, d, 0])
        assert (ordered[p, d].tolist(), in_place[p, d].tolist()) == by_hand
    due = steps(required, plannable)
    assert due.dtype == np.int64
    for p, d in np.ndindex(6, 50):
        np.testing.assert_array_equal(due[p, d], steps(required[0, d], plannable[p, 0]))
    limit = plannable[..., -1:]
    assert first_over(required, limit).shape == (6, 50)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: growth(5.0, [1, 2], 0), "required_tb_by_month"),
        (lambda: growth([], [1, 2], 0), "required_tb_by_month"),
        (lambda: growth([math.nan], [1, 2], 0), "required_tb_by_month"),
        (lambda: growth([1], [2, 1], 0), "plannable_tb_by_step"),
        (lambda: growth([1], 5, 0), "plannable_tb_by_step"),
        (lambda: growth([1], [1, 2], -1), "lead_time_months"),
        (lambda: growth([1, 2], [1, 2], [1, 2]), "lead_time_months"),
        (lambda: steps(5.0, [1]), "held_tb_by_month"),
        (lambda: steps([-1], [1]), "held_tb_by_month"),
        (lambda: steps([1], []), "order_above_tb_by_step"),
        (lambda: steps([1], [2, 1]), "order_above_tb_by_step must not fall"),
        (lambda: required_tb(held_tb_by_month=1, order_at_fraction=0), "order_at_fraction"),
        (lambda: required_tb(held_tb_by_month=1, order_at_fraction=80), "order_at_fraction"),
        (lambda: required_tb(held_tb_by_month=-1, order_at_fraction=1), "held_tb_by_month"),
        (lambda: first_over(3.0, 1), "held_tb_by_month"),
        (lambda: first_over([3.0], math.inf), "limit_tb"),
    ],
)
def test_bad_input_is_refused_by_name(call, argument):
    with pytest.raises(ValueError, match=argument):
        call()
