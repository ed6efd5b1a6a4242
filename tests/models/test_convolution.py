"""Convolution along the months."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from storagecalc.models.convolution import convolved, sums_ahead

ROW = st.lists(st.floats(0, 1e6), min_size=1, max_size=30)


def test_by_hand():
    assert convolved(series_by_month=[2.0, 0.0, 1.0], kernel_by_age=[1.0, 3.0]).tolist() == [
        2,
        6,
        1,
    ]


def test_limits():
    series = [2.0, 5.0, 1.0]
    assert convolved(series_by_month=series, kernel_by_age=[1.0]).tolist() == series
    assert convolved(series_by_month=series, kernel_by_age=[1.0] * 9).tolist() == [2, 7, 8]
    assert convolved(series_by_month=series, kernel_by_age=[0.0]).tolist() == [0, 0, 0]


@given(ROW, ROW)
def test_second_route_a_digital_filter(series, kernel):
    expected = signal.lfilter(kernel, 1.0, series)
    found = convolved(series_by_month=series, kernel_by_age=kernel)
    np.testing.assert_allclose(found, expected, rtol=1e-12, atol=1e-300)


@given(st.integers(1, 4), st.integers(1, 50), st.integers(0, 2**32))
def test_property_shared_and_own_kernels_give_the_same(positions, draws, seed):
    random = np.random.default_rng(seed)
    series = random.random((positions, draws, 12))
    kernel = random.random(20)
    shared = convolved(series_by_month=series, kernel_by_age=kernel)
    own = np.broadcast_to(kernel, (positions, draws, 20))
    np.testing.assert_allclose(
        convolved(series_by_month=series, kernel_by_age=own), shared, rtol=1e-12
    )
    for position in range(positions):
        for draw in range(draws):
            expected = np.convolve(series[position, draw], kernel)[:12]
            np.testing.assert_allclose(shared[position, draw], expected, rtol=1e-12)


@given(st.integers(0, 15), ROW, st.integers(0, 15))
def test_ages_without_weight_at_either_end_change_nothing(before, kernel, after):
    series = np.arange(1.0, 13.0)
    found = convolved(series_by_month=series, kernel_by_age=[0.0] * before + kernel + [0.0] * after)
    expected = np.convolve(series, [0.0] * before + kernel)[:12]
    np.testing.assert_allclose(found, expected, rtol=1e-12)


@pytest.mark.parametrize("bad", [3.0, [], [np.nan], "row"])
def test_bad_rows_are_named(bad):
    with pytest.raises(ValueError, match="series_by_month"):
        convolved(series_by_month=bad, kernel_by_age=[1.0])
    with pytest.raises(ValueError, match="kernel_by_age"):
        convolved(series_by_month=[1.0], kernel_by_age=bad)


def test_sums_ahead_by_hand():
    ahead = sums_ahead(weight_by_age=[2.0, 1.0], curve_by_age=[1.0, 0.5, 0.0, 4.0], months=3)
    assert ahead.tolist() == [2.5, 1.0, 4.0]


def test_sums_ahead_at_the_limits():
    assert sums_ahead(weight_by_age=[1.0], curve_by_age=[3.0, 2.0], months=2).tolist() == [3, 2]
    assert (
        sums_ahead(weight_by_age=[0.0, 0.0], curve_by_age=[1.0] * 5, months=4).tolist() == [0] * 4
    )


STEPS = st.lists(st.sampled_from([0.0, 0.25, 1.0]), min_size=1, max_size=8).map(
    lambda levels: [level for level in levels for _ in range(6)]
)


@given(ROW, st.one_of(ROW, STEPS))
def test_sums_ahead_second_route_a_correlation(weight, curve):
    months = len(curve) - len(weight) + 1
    if months < 1:
        curve, months = curve + [0.0] * (1 - months), 1
    found = sums_ahead(weight_by_age=weight, curve_by_age=curve, months=months)
    expected = signal.correlate(curve, weight, mode="valid", method="direct")
    np.testing.assert_allclose(found, expected, rtol=1e-9, atol=1e-9 * max(expected.max(), 1e-300))


@given(st.integers(1, 50), st.integers(0, 2**32))
def test_property_each_draw_is_added_up_by_itself(draws, seed):
    random = np.random.default_rng(seed)
    weight, level = random.random((draws, 5)), random.random((draws, 3))
    curve = np.repeat(level, 4, axis=-1)
    for own in (weight, weight[0]):
        together = sums_ahead(weight_by_age=own, curve_by_age=curve, months=8)
        for draw in range(draws):
            row = np.broadcast_to(own, weight.shape)[draw]
            alone = sums_ahead(weight_by_age=row, curve_by_age=curve[draw], months=8)
            np.testing.assert_allclose(together[draw], alone, rtol=1e-12)


def test_a_month_that_meets_nothing_is_exactly_nothing():
    curve = [0.0] * 6 + [0.3] * 4
    assert sums_ahead(weight_by_age=[0.1, 0.7], curve_by_age=curve, months=5).tolist() == [0.0] * 5


def test_bad_sums_are_named():
    with pytest.raises(ValueError, match="weight_by_age"):
        sums_ahead(weight_by_age=[-1.0], curve_by_age=[1.0], months=1)
    with pytest.raises(ValueError, match="curve_by_age must have at least 4 ages, got 3"):
        sums_ahead(weight_by_age=[1.0, 1.0], curve_by_age=[1.0] * 3, months=3)
    with pytest.raises(ValueError, match="months"):
        sums_ahead(weight_by_age=[1.0], curve_by_age=[1.0], months=0)
