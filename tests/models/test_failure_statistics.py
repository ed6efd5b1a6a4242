"""Rates from counted failures, read errors, shortest rebuilds and losses of several things."""

import math
from fractions import Fraction

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.failure import (
    any_loss_probability,
    expected_drive_failures_by_month,
    failure_rate_interval,
    read_error_probability,
    shortest_rebuild_h,
)

PROBABILITIES = st.lists(st.floats(0, 1), min_size=1, max_size=8)


def interval(failures, drive_days, band_fraction=0.95):
    return failure_rate_interval(
        failures=failures, drive_days=drive_days, band_fraction=band_fraction
    )


def unreadable(read_tb, errors_per_bit):
    return read_error_probability(read_tb=read_tb, errors_per_bit=errors_per_bit)


# By hand and limits


def test_interval_by_hand():
    low, high = interval(0, 730, 0.9)
    assert low == 0.0
    assert high == pytest.approx(-math.log(0.05) / 2, rel=1e-13)
    # One failure: none at least as rare as 2.5 in 100 means 1 - exp(-low) = 0.025.
    assert interval(1, 365)[0] == pytest.approx(-math.log(0.975), rel=1e-13)


def test_interval_of_two_failures_in_800_hours():
    """NIST/SEMATECH e-Handbook 8.4.5.1 by formula: factors 0.317672 and 5.628072 to 400 h."""
    low, high = interval(2, 365 * 800, 0.9)
    assert 1 / high == pytest.approx(400 * 0.317672, abs=0.0005)
    assert 1 / low == pytest.approx(400 * 5.628072, abs=0.0005)


def test_read_errors_by_hand():
    assert unreadable(0, 1e-14) == 0.0
    assert unreadable(5, 0.0) == 0.0
    assert unreadable(1e-12 / 8, 0.25) == pytest.approx(0.25, rel=1e-14)
    assert unreadable(1e-12 / 4, 0.25) == pytest.approx(1 - 0.75**2, rel=1e-14)
    assert unreadable(1e-6, 1e-20) == pytest.approx(8e-14, rel=1e-12)


def test_the_rest_by_hand():
    assert shortest_rebuild_h(drive_tb=3.6, drive_mb_s=250) == pytest.approx(4.0, rel=1e-15)
    failures = expected_drive_failures_by_month(
        drive_count_by_month=[6, 12], failures_per_drive_year=0.5
    )
    np.testing.assert_allclose(failures, [0.25, 0.5], rtol=1e-15)
    assert any_loss_probability([1.0, 0.3]) == 1.0
    assert any_loss_probability([0.0, 0.0]) == 0.0
    assert any_loss_probability([1e-15, 2e-15]) == pytest.approx(3e-15, rel=1e-13)


# Other routes


@given(st.integers(0, 60), st.floats(0.5, 0.999))
def test_second_route_the_ends_of_an_interval_are_just_possible(failures, band):
    """At the ends, so many failures or more, or so few or fewer, have the chance of one tail."""
    low, high = interval(failures, 365, band)
    tail = (1 - band) / 2
    with mpmath.workdps(40):
        few = mpmath.fsum(poisson(high, k) for k in range(failures + 1))
        fewer = mpmath.fsum(poisson(low, k) for k in range(failures))
        assert float(few) == pytest.approx(tail, rel=1e-9)
        if failures:
            assert float(1 - fewer) == pytest.approx(tail, rel=1e-9)


def poisson(mean, count):
    return mpmath.exp(-mean) * mpmath.mpf(mean) ** count / mpmath.factorial(count)


@given(st.floats(1e-3, 500), st.floats(1e-19, 1e-12))
def test_second_route_read_errors_in_long_arithmetic(read_tb, errors_per_bit):
    with mpmath.workdps(60):
        bits = 8 * mpmath.mpf(read_tb) * 10**12
        wanted = float(1 - (1 - mpmath.mpf(errors_per_bit)) ** bits)
    assert unreadable(read_tb, errors_per_bit) == pytest.approx(wanted, rel=1e-12)


@given(PROBABILITIES)
def test_second_route_any_loss_in_fractions(chances):
    none = math.prod(1 - Fraction(chance) for chance in chances)
    assert any_loss_probability(chances) == pytest.approx(float(1 - none), rel=1e-12, abs=1e-300)


# Properties


@given(st.integers(1, 10_000), st.floats(1, 1e9), st.floats(0.5, 0.99))
def test_property_an_interval_holds_the_rate_and_grows_with_the_band(failures, drive_days, band):
    low, high = interval(failures, drive_days, band)
    wider_low, wider_high = interval(failures, drive_days, band + 0.009)
    assert 0 < wider_low < low < failures / drive_days * 365 < high < wider_high
    twice = interval(failures, 2 * drive_days, band)
    assert twice == pytest.approx((low / 2, high / 2), rel=1e-12)


@given(st.integers(1, 500), st.floats(0.5, 0.99))
def test_property_the_bayesian_interval_with_a_half_lies_inside(failures, band):
    from scipy.special import gammaincinv

    low, high = interval(failures, 365, band)
    tail = (1 - band) / 2
    assert low < gammaincinv(failures + 0.5, tail)
    assert gammaincinv(failures + 0.5, 1 - tail) < high


@given(PROBABILITIES)
def test_property_any_loss_lies_between_the_greatest_and_the_sum(chances):
    both = any_loss_probability(chances)
    assert max(chances) <= both * (1 + 1e-12)
    assert both <= min(1.0, sum(chances)) * (1 + 1e-12)
    assert any_loss_probability(chances[::-1]) == pytest.approx(both, rel=1e-12)


@given(st.floats(0.001, 20), st.floats(1e-18, 1e-13))
def test_property_more_reading_finds_more_errors(read_tb, errors_per_bit):
    chance = unreadable(read_tb, errors_per_bit)
    assert chance < unreadable(1.1 * read_tb, errors_per_bit) <= 1
    assert chance < unreadable(read_tb, 1.1 * errors_per_bit)
    assert chance <= 8e12 * read_tb * errors_per_bit * (1 + 1e-12)


def test_arrays_are_what_their_entries_are():
    lows, highs = interval([0, 4, 85], [22_700, 239_745, 1_221_499])
    for place, (failures, days) in enumerate([(0, 22_700), (4, 239_745), (85, 1_221_499)]):
        assert interval(failures, days) == (lows[place], highs[place])
        assert isinstance(interval(failures, days)[1], float)
    assert any_loss_probability(np.full((2, 3, 4), 0.5)).shape == (2, 3)
    assert unreadable([[1.0], [2.0]], [1e-14, 1e-15]).shape == (2, 2)
    by_draw = expected_drive_failures_by_month(
        drive_count_by_month=[8, 9], failures_per_drive_year=np.full((1, 5, 1), 0.01)
    )
    assert by_draw.shape == (1, 5, 2)
    rates = np.array([0.6, 0.3]).reshape(1, 1, 2)
    by_month = expected_drive_failures_by_month(
        drive_count_by_month=[8, 12], failures_per_drive_year=rates
    )
    np.testing.assert_allclose(by_month[0, 0], [0.4, 0.3], rtol=1e-15)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: interval(1.5, 365), "failures"),
        (lambda: interval(-1, 365), "failures"),
        (lambda: interval(1, 0), "drive_days"),
        (lambda: interval(1, 365, 1.0), "band_fraction"),
        (lambda: interval(1, 365, 95), "band_fraction"),
        (lambda: unreadable(-1, 1e-14), "read_tb"),
        (lambda: unreadable(1, 1.0), "errors_per_bit"),
        (lambda: shortest_rebuild_h(drive_tb=1, drive_mb_s=0), "drive_mb_s"),
        (lambda: shortest_rebuild_h(drive_tb=math.nan, drive_mb_s=1), "drive_tb"),
        (lambda: any_loss_probability([0.5, 1.01]), "probabilities"),
    ],
)
def test_bad_input_is_refused_by_name(call, argument):
    with pytest.raises(ValueError, match=argument):
        call()
