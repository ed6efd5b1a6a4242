"""Series moved along their months."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from storagecalc.models.months import delayed, hastened

SERIES = st.lists(st.floats(0, 1e6), min_size=1, max_size=40)


def test_by_hand():
    assert delayed([3.0, 1.0, 2.0], delay_months=1.2).tolist() == [0.0, 0.0, 3.0]
    assert hastened([0.0, 1.0, 4.0], lead_months=1.0).tolist() == [1.0, 4.0, 4.0]


def test_limits():
    series = [3.0, 1.0, 2.0]
    assert delayed(series, delay_months=0).tolist() == series
    assert hastened(series, lead_months=0).tolist() == series
    assert delayed(series, delay_months=1e12).tolist() == [0.0, 0.0, 0.0]
    assert hastened(series, lead_months=1e12).tolist() == [2.0, 2.0, 2.0]


@given(SERIES, st.integers(0, 50))
def test_a_delay_is_a_filter_with_one_late_tap(series, delay):
    """Second route: scipy's digital filter with a single coefficient at the delay."""
    taps = np.zeros(delay + 1)
    taps[-1] = 1.0
    np.testing.assert_allclose(
        delayed(series, delay_months=delay), signal.lfilter(taps, 1.0, series), rtol=1e-12
    )


@given(SERIES, st.integers(0, 50))
def test_what_is_hastened_and_then_delayed_is_back_from_the_delay_on(series, lead):
    back = delayed(hastened(series, lead_months=lead), delay_months=lead)
    np.testing.assert_array_equal(back[lead:], series[lead:])


@given(st.lists(SERIES.map(lambda row: (row * 40)[:6]), min_size=2, max_size=5), st.data())
def test_each_draw_has_its_own_shift(rows, data):
    table = np.array(rows)
    shifts = data.draw(st.lists(st.integers(0, 7), min_size=len(rows), max_size=len(rows)))
    together = delayed(table, delay_months=np.array(shifts)[:, None])
    for row, shift, moved in zip(table, shifts, together, strict=True):
        np.testing.assert_array_equal(moved, delayed(row, delay_months=shift))


@pytest.mark.parametrize("bad", [-1, np.nan, np.inf, "soon"])
def test_bad_shifts_are_named(bad):
    with pytest.raises(ValueError, match="delay_months"):
        delayed([1.0], delay_months=bad)
    with pytest.raises(ValueError, match="lead_months"):
        hastened([1.0], lead_months=bad)
