"""Series moved along their months."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from storagecalc.models.months import advanced, delayed, grown_by_month, new_by_month

SERIES = st.lists(st.floats(0, 1e6), min_size=1, max_size=40)


def test_by_hand():
    assert delayed([3.0, 1.0, 2.0], delay_months=1.2).tolist() == [0.0, 0.0, 3.0]
    assert advanced([0.0, 1.0, 4.0], lead_months=1.0).tolist() == [1.0, 4.0, 4.0]


def test_limits():
    series = [3.0, 1.0, 2.0]
    assert delayed(series, delay_months=0).tolist() == series
    assert advanced(series, lead_months=0).tolist() == series
    assert delayed(series, delay_months=1e12).tolist() == [0.0, 0.0, 0.0]
    assert advanced(series, lead_months=1e12).tolist() == [2.0, 2.0, 2.0]


@given(SERIES, st.integers(0, 50))
def test_a_delay_is_a_filter_with_one_late_tap(series, delay):
    """Second route: scipy's digital filter with a single coefficient at the delay."""
    taps = np.zeros(delay + 1)
    taps[-1] = 1.0
    np.testing.assert_allclose(
        delayed(series, delay_months=delay), signal.lfilter(taps, 1.0, series), rtol=1e-12
    )


@given(SERIES, st.integers(0, 50))
def test_what_is_advanced_and_then_delayed_is_back_from_the_delay_on(series, lead):
    back = delayed(advanced(series, lead_months=lead), delay_months=lead)
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
        advanced([1.0], lead_months=bad)


def test_growth_by_hand():
    assert grown_by_month(change_per_year=0.21, months=25)[[0, 12, 24]].tolist() == pytest.approx(
        [1.0, 1.21, 1.4641]
    )
    assert grown_by_month(change_per_year=0.21, months=7)[6] == pytest.approx(1.1)
    assert grown_by_month(change_per_year=0.0, months=3).tolist() == [1.0, 1.0, 1.0]


@given(st.floats(-0.99, 5), st.integers(1, 400))
def test_growth_second_route_logarithms(change, months):
    years = np.arange(months) / 12
    np.testing.assert_allclose(
        grown_by_month(change_per_year=change, months=months),
        np.exp(years * np.log1p(change)),
        rtol=1e-12,
    )


@given(st.floats(-0.9, 1), st.floats(0, 1))
def test_faster_growth_is_never_less(change, more):
    slow, fast = (
        grown_by_month(change_per_year=rate, months=40) for rate in (change, change + more)
    )
    assert (fast >= slow * (1 - 1e-12)).all()


@given(SERIES)
def test_what_is_new_adds_up_to_the_total(series):
    total = np.cumsum(series)
    np.testing.assert_allclose(
        np.cumsum(new_by_month(total)), total, rtol=1e-12, atol=1e-12 * total.max()
    )
    np.testing.assert_allclose(new_by_month(total), np.ediff1d(total, to_begin=total[0]))


def test_new_limits():
    assert new_by_month([4.0]).tolist() == [4.0]
    assert new_by_month([[1.0, 1.0], [5.0, 2.0]]).tolist() == [[1.0, 0.0], [5.0, -3.0]]


@pytest.mark.parametrize("bad", [-1, np.nan, np.inf, "more"])
def test_bad_changes_are_named(bad):
    with pytest.raises(ValueError, match="change_per_year"):
        grown_by_month(change_per_year=bad, months=2)
    with pytest.raises(ValueError, match="months"):
        grown_by_month(change_per_year=0.0, months=bad)
    with pytest.raises(ValueError, match="total_by_month"):
        new_by_month([np.nan])
