"""Convolution along the months."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from storagecalc.models.convolution import convolved

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


@pytest.mark.parametrize("bad", [3.0, [], [np.nan], "row"])
def test_bad_rows_are_named(bad):
    with pytest.raises(ValueError, match="series_by_month"):
        convolved(series_by_month=bad, kernel_by_age=[1.0])
    with pytest.raises(ValueError, match="kernel_by_age"):
        convolved(series_by_month=[1.0], kernel_by_age=bad)
