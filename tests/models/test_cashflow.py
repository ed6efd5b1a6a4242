"""Money over time: present values, levelised cost, replacements, what is left."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from storagecalc.models.cashflow import (
    cost_by_year,
    equivalent_annual_cost,
    levelised_cost_per_tb_year,
    net_present_cost,
    with_replacements,
    worth_at_end,
)

RATES = st.floats(-0.5, 1)
COSTS = arrays.arrays(np.float64, st.integers(1, 130), elements=st.floats(-1e6, 1e6))


def present(cost, rate):
    return net_present_cost(cost_by_month=cost, discount_rate_per_year=rate)


def levelised(cost, held, rate):
    return levelised_cost_per_tb_year(
        cost_by_month=cost, held_tb_by_month=held, discount_rate_per_year=rate
    )


def annual(cost, rate, years):
    return equivalent_annual_cost(net_present_cost=cost, discount_rate_per_year=rate, years=years)


def replaced(bought, life):
    return with_replacements(bought_by_month=bought, service_life_months=life)


def test_by_hand():
    assert present([100.0, 100.0], 0.0) == 200.0
    assert present([0.0] * 12 + [121.0], 0.21) == pytest.approx(100.0, rel=1e-14)
    assert present([0.0] * 6 + [110.0], 0.21) == pytest.approx(100.0, rel=1e-14)
    assert levelised([1200.0] + 11 * [0.0], [10.0] * 12, 0.0) == 120.0
    assert annual(1000.0, 0.1, 1) == pytest.approx(1100.0, rel=1e-14)
    assert cost_by_year(cost_by_month=[1.0] * 12 + [2.0] * 13).tolist() == [12.0, 24.0, 2.0]
    assert replaced([1.0, 0, 0, 0, 2.0, 0, 0], 3).tolist() == [1, 0, 0, 1, 2, 0, 1]
    # Three at 500 kept 24 months, two at 300 kept 12, of which a new one costs 400 at the end.
    paid, bought = [500.0] * 12 + [300.0] * 12, [3.0] + 11 * [0.0] + [2.0] + 11 * [0.0]
    assert worth(paid, 400.0, bought, 0.5, 60) == 3 * 400 / 4 + 2 * 300 / 2


def test_limits():
    assert present([5.0], 0.3) == 5.0
    assert annual(1000.0, 0.0, 8) == 125.0
    assert annual(1000.0, 1e-12, 8) == pytest.approx(125.0, rel=1e-11)
    assert annual(1000.0, 0.05, 1e6) == pytest.approx(50.0, rel=1e-12)
    assert worth([500.0] * 60, 300.0, [1.0] + 59 * [0.0], 1.0, 60) == 300.0
    assert replaced([3.0, 1.0], 1000).tolist() == [3.0, 1.0]
    # A thing serves through the last month of its life: bought in month 0 of 3, it is 3 old.
    assert worth([90.0] * 3, 99.0, [1.0, 0, 0], 1.0, 3) == 90.0
    assert worth([90.0] * 3, 99.0, [1.0, 0, 0], 1.0, 2.9) == 0.0
    assert worth([90.0] * 3, 99.0, [1.0, 1, 1], 0.0, 60) == 0.0
    assert worth([90.0] * 3, 0.0, [1.0, 1, 1], 0.7, 60) == 0.0


def worth(paid, new, bought, fraction, life):
    return worth_at_end(
        price_paid_by_month=paid,
        price_at_end=new,
        bought_by_month=bought,
        value_kept_per_year_fraction=fraction,
        service_life_months=life,
    )


@given(COSTS, RATES)
def test_property_present_cost_is_linear(cost, rate):
    scale = np.abs(cost).sum() * max(1.0, (1 + rate) ** -12.0) + 1
    assert present(3 * cost, rate) == pytest.approx(3 * present(cost, rate), abs=1e-12 * scale)
    later = np.concatenate([np.zeros(12), cost])
    assert present(later, rate) * (1 + rate) == pytest.approx(
        present(cost, rate), abs=1e-11 * scale
    )


@given(COSTS)
def test_property_years_add_up_to_the_months(cost):
    years = cost_by_year(cost_by_month=cost)
    assert len(years) == math.ceil(len(cost) / 12)
    assert years.sum() == pytest.approx(cost.sum(), abs=1e-9 * (1 + np.abs(cost).sum()))


@given(st.floats(0, 1e6), RATES, st.integers(1, 30))
def test_property_annual_payments_have_the_present_value_they_stand_for(cost, rate, years):
    payment = annual(cost, rate, years)
    flows = np.zeros(12 * years + 1)
    flows[12::12] = payment
    assert present(flows, rate) == pytest.approx(cost, rel=1e-9, abs=1e-9)


@given(st.floats(1, 1e5), st.floats(0.5, 500), RATES, st.integers(1, 120))
def test_property_a_constant_cost_for_a_constant_amount_is_its_own_levelised_cost(
    cost, held, rate, months
):
    result = levelised(np.full(months, cost), np.full(months, held), rate)
    assert result == pytest.approx(12 * cost / held, rel=1e-12)


@given(
    arrays.arrays(np.float64, st.integers(1, 60), elements=st.floats(0, 50)),
    st.integers(1, 70),
)
def test_property_replacements_repeat_themselves(bought, life):
    """Second route: each month buys what was bought first then, and what wears out then."""
    expected = bought.copy()
    for month in range(life, len(bought)):
        expected[month] += expected[month - life]
    np.testing.assert_allclose(replaced(bought, life), expected, rtol=1e-12)


def test_a_life_that_is_not_whole_lasts_to_the_end_of_its_month():
    bought = [1.0] + [0.0] * 12
    np.testing.assert_array_equal(replaced(bought, 4.2), replaced(bought, 5))


def test_second_route_exact_fractions():
    """Whole years only, so that every power is a fraction."""
    flows = [1200, 0, -350, 75, 980]
    rate = Fraction(3, 40)
    exact = sum(Fraction(flow) / (1 + rate) ** year for year, flow in enumerate(flows))
    months = np.zeros(49)
    months[::12] = flows
    assert present(months, float(rate)) == pytest.approx(float(exact), rel=1e-14)


def test_a_savings_plan_as_the_spreadsheet_functions_print_it():
    """numpy-financial 1.0.0, docstring of pv: 100 a month over ten years and 15692.93 back."""
    flows = np.full(121, 100.0)
    flows[0] = 0.0
    flows[120] -= 15692.93
    yearly = (1 + 0.05 / 12) ** 12 - 1
    assert present(flows, yearly) == pytest.approx(-100.00067131625819, rel=1e-9)


def test_a_step_every_two_or_four_years_for_ever():
    """A textbook exercise: 3000 every 2 years or 5000 every 4, 10 percent continuously.

    Printed problem, answers worked out: 16 549.97 and 15 166.22.
    """
    first = np.zeros(12 * 300)
    first[0] = 1.0
    yearly = math.expm1(0.1)
    for price, years, answer in ((3000, 2, 16549.97), (5000, 4, 15166.22)):
        flows = price * replaced(first, 12 * years)
        assert present(flows, yearly) == pytest.approx(answer, abs=0.006)


def test_arrays_sum_the_months_away():
    cost = np.arange(2 * 3 * 24, dtype=float).reshape(2, 3, 24)
    rates = np.array([[0.0, 0.05, 0.1]])
    assert present(cost, rates).shape == (2, 3)
    assert present(cost, rates[..., None]).shape == (2, 3)
    assert present(cost, rates)[1, 2] == pytest.approx(present(cost[1, 2], 0.1), rel=1e-14)
    assert levelised(cost, cost + 1, 0.05).shape == (2, 3)
    assert levelised(cost, np.ones(24), rates).shape == (2, 3)
    assert cost_by_year(cost_by_month=cost).shape == (2, 3, 2)
    assert type(present(cost[0, 0], 0.1)) is float


def test_a_life_per_draw_gives_what_each_draw_gives_alone():
    lives = np.array([7.0, 12.5, 90.0])[None, :, None]
    bought = np.zeros((1, 1, 40))
    bought[..., [0, 3]] = 1.0, 2.0
    together = replaced(bought, lives)
    assert together.shape == (1, 3, 40)
    for draw, life in enumerate(lives.ravel()):
        np.testing.assert_array_equal(together[0, draw], replaced(bought[0, 0], life))
    # A long life needs no successor, and is still one row a draw.
    assert replaced(np.ones(4), np.full((1, 5, 1), 100.0)).shape == (1, 5, 4)


@given(st.floats(0, 1e4), st.floats(0, 1e4), st.integers(1, 200), st.floats(0, 1))
def test_property_a_used_thing_is_never_worth_more_than_a_new_one(paid, new, months, fraction):
    bought = [1.0] + (months - 1) * [0.0]
    assert 0 <= worth([paid] * months, new, bought, fraction, 240) <= min(paid, new)


@given(
    st.lists(st.tuples(st.floats(0, 1e4), st.integers(0, 9)), min_size=1, max_size=60),
    st.floats(0, 1e4),
    st.floats(0, 1),
    st.floats(1, 90),
)
def test_property_worth_is_that_of_each_thing_that_still_serves(things, new, fraction, life):
    """Second route: every thing by itself."""
    months = len(things)
    wanted = sum(
        count * min(paid, new) * fraction ** ((months - month) / 12)
        for month, (paid, count) in enumerate(things)
        if months - month <= life
    )
    paid, bought = (list(column) for column in zip(*things, strict=True))
    assert worth(paid, new, bought, fraction, life) == pytest.approx(wanted, rel=1e-12)


@given(st.floats(1, 1e4), st.floats(0.1, 1), st.integers(1, 120), st.integers(1, 120))
def test_property_worth_falls_with_age_and_not_beyond_the_price_of_a_new_one(
    price, fraction, months, more
):
    once = [1.0] + [0.0] * (months + more - 1)
    sooner = worth([price] * months, price, once[:months], fraction, 300)
    later = worth([price] * (months + more), price, once, fraction, 300)
    assert later <= sooner <= price
    assert worth([price] * months, price / 2, once[:months], fraction, 300) <= price / 2


def test_worth_by_position_and_draw_is_what_each_of_them_is():
    random = np.random.default_rng(8)
    paid, bought = random.uniform(50, 90, (4, 1, 20)), random.integers(0, 3, (1, 5, 20))
    new, fraction = random.uniform(50, 90, (1, 5, 1)), random.random((4, 1))
    life = random.uniform(5, 25, (4, 5))
    together = worth(paid, new, bought, fraction, life)
    assert together.shape == (4, 5)
    for p, d in np.ndindex(4, 5):
        alone = worth(paid[p, 0], new[0, d, 0], bought[0, d], fraction[p, 0], life[p, d])
        assert together[p, d] == pytest.approx(alone, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: present([], 0.1), r"^cost_by_month must have a value for each month"),
        (lambda: present(5.0, 0.1), r"^cost_by_month must have a value for each month"),
        (lambda: present([1.0], -1.0), r"^discount_rate_per_year must be .* above -1, got -1"),
        (lambda: present([math.nan], 0.1), r"^cost_by_month must be"),
        (lambda: levelised([1.0], [0.0], 0.1), r"^held_tb_by_month must be above 0 in some month"),
        (lambda: levelised([1.0], [-1.0], 0.1), r"^held_tb_by_month must be .* at least 0, got -1"),
        (lambda: levelised([1.0], [1.0, 1.0], 0.1), r"^held_tb_by_month must have as many months"),
        (lambda: annual(1.0, 0.1, 0), r"^years must be a finite number above 0, got 0"),
        (lambda: replaced([1.0], 0), r"^service_life_months must be .* above 0, got 0"),
        (lambda: replaced([-1.0], 5), r"^bought_by_month must be .* at least 0, got -1"),
        (lambda: replaced([1.0] * 3, [1.0, 2.0, 3.0]), r"^service_life_months must not change"),
        (lambda: worth([1.0], 1.0, [1.0, 0.0], 0.7, 60), r"^bought_by_month must have as many"),
        (lambda: worth([1.0], 1.0, [-1.0], 0.7, 60), r"^bought_by_month must be .* got -1"),
        (lambda: worth([1.0], 1.0, [1.0], 0.7, 0), r"^service_life_months must be .* above 0"),
        (lambda: worth([1.0], 1.0, [1.0], 70, 60), r"^value_kept_per_year_fraction must be"),
    ],
)
def test_bad_input_is_named(call, said):
    with pytest.raises(ValueError, match=said):
        call()
