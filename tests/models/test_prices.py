"""Price paths, and the open price table the yearly changes come from."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from storagecalc.models.prices import price_by_month

# Our World in Data, "Historical price of computer memory and storage", after J. C. McCallum;
# dollars of 2020 a TB, a running minimum, 2010 to 2023.
OPEN_TABLE = """
    53.4107 42.1804 41.3252 40.7286 38.2637 30.9350 29.8702 26.3964 24.0870 18.9813 16.2500 15.5209
    12.6375 10.6174
"""


def path(price_today, change_per_year, months):
    return price_by_month(price_today=price_today, change_per_year=change_per_year, months=months)


def test_by_hand():
    prices = path(100.0, -0.19, 25)
    assert prices[0] == 100.0
    assert prices[6] == pytest.approx(90.0, rel=1e-14)
    assert prices[12] == pytest.approx(81.0, rel=1e-14)
    assert prices[24] == pytest.approx(65.61, rel=1e-14)


def test_limits():
    np.testing.assert_array_equal(path(7.0, 0.0, 50), 7.0)
    np.testing.assert_array_equal(path(0.0, 0.5, 3), 0.0)
    assert path(7.0, -1 + 1e-12, 13)[12] == pytest.approx(7e-12, rel=1e-3)


@given(st.floats(0.01, 1e6), st.floats(-0.9, 3), st.integers(13, 120))
def test_property_each_year_changes_by_the_same_share(price, change, months):
    prices = path(price, change, months)
    np.testing.assert_allclose(prices[12:], prices[:-12] * (1 + change), rtol=1e-12)
    assert prices.shape == (months,)


@given(st.floats(0.1, 1e6), st.floats(-0.9, 3))
def test_second_route_month_by_month(price, change):
    monthly = math.exp(math.log(1 + change) / 12)
    expected = [price]
    for _ in range(23):
        expected.append(expected[-1] * monthly)
    np.testing.assert_allclose(path(price, change, 24), expected, rtol=1e-12)


def test_the_open_table_falls_by_11_2_percent_a_year():
    """The slope of the logarithm, and the path drawn with it, against the table itself."""
    prices = np.array(OPEN_TABLE.split(), dtype=float)
    years = np.arange(2010, 2024)
    line = stats.linregress(years, np.log(prices))
    fall = 1 - math.exp(line.slope)
    assert fall == pytest.approx(0.112, abs=0.0005)
    start = math.exp(line.intercept + line.slope * 2010)
    drawn = path(start, -fall, 13 * 12 + 1)[::12]
    np.testing.assert_allclose(drawn, np.exp(line.intercept + line.slope * years), rtol=1e-9)
    # A line through the logarithms stays within a fifth of every price in the table.
    assert np.max(np.abs(np.log(drawn / prices))) < math.log(1.2)


def test_arrays_put_months_last():
    draws = np.linspace(-0.2, 0.1, 5)[None, :]
    assert path(300.0, draws, 24).shape == (1, 5, 24)
    assert path(np.full((3, 1, 1), 300.0), draws[..., None], 24).shape == (3, 5, 24)
    assert path(300.0, draws, 24)[0, 2, 23] == path(300.0, draws[0, 2], 24)[23]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((-1.0, 0.0, 12), r"^price_today must be a finite number of at least 0, got -1"),
        ((1.0, -1.0, 12), r"^change_per_year must be a finite number above -1, got -1"),
        ((1.0, float("nan"), 12), r"^change_per_year must be"),
        ((1.0, 0.0, 0), r"^months must be a whole number from 1 upwards, got 0"),
        ((np.ones((1, 2, 3)), 0.0, 12), r"^price_today must not change by month"),
    ],
)
def test_bad_input_is_named(arguments, said):
    with pytest.raises(ValueError, match=said):
        path(*arguments)
