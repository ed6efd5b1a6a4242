"""Units: one power of 1024, eight bits to the byte, and the shape of what does not change."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models import units
from storagecalc.models.units import mb_s_from_mbit_s, plain, tib_from_tb, with_month_axis

AMOUNTS = st.floats(min_value=0, max_value=1e12)


def test_by_hand():
    assert tib_from_tb(0) == 0.0
    assert tib_from_tb(1.099511627776) == 1.0
    assert mb_s_from_mbit_s(80) == 10.0


def test_a_year_and_its_months_agree():
    assert units.HOURS_PER_MONTH == 730.0
    assert units.HOURS_PER_YEAR == 365 * 24
    assert units.MB_PER_TB == 1e6


def test_arrays_keep_their_shape():
    tb = np.array([[[1.0, 2.0]], [[3.0, 4.0]]])
    assert tib_from_tb(tb).shape == (2, 1, 2)
    assert tib_from_tb(tb)[1, 0, 0] == tib_from_tb(3.0)


@given(AMOUNTS, AMOUNTS)
def test_more_is_more(one, other):
    assert (tib_from_tb(one) < tib_from_tb(other)) <= (one < other)


@given(AMOUNTS)
def test_second_route_exact_fractions(tb):
    exact = Fraction(tb) * 10**12 / 2**40
    assert tib_from_tb(tb) == pytest.approx(float(exact), rel=1e-15)
    assert mb_s_from_mbit_s(tb) == tb / 8


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf"), "much"])
def test_bad_input_is_named(bad):
    with pytest.raises(ValueError, match=r"^tb must be a"):
        tib_from_tb(bad)
    with pytest.raises(ValueError, match=r"^mbit_s must be a"):
        mb_s_from_mbit_s(bad)


@pytest.mark.parametrize(
    ("shape", "wanted"), [((5,), (5, 1)), ((2, 5), (2, 5, 1)), ((2, 5, 1), (2, 5, 1))]
)
def test_a_month_axis_is_added_once(shape, wanted):
    assert with_month_axis("price", np.ones(shape)).shape == wanted


def test_what_changes_by_month_gets_no_second_month_axis():
    with pytest.raises(ValueError, match=r"^price must not change by month"):
        with_month_axis("price", np.ones((1, 5, 12)))
    assert with_month_axis("price", 3.0) == 3.0
    for length in (1, 12):
        assert with_month_axis("rate", np.ones((1, 5, length)), months=12).shape[-1] == length
    with pytest.raises(ValueError, match=r"^rate must have one entry or 12, one a month"):
        with_month_axis("rate", np.ones((1, 5, 7)), months=12)


def test_plain_numbers_lose_their_array():
    assert type(plain(np.array(2.0))) is float
    assert type(plain(np.float64(2.0))) is float
    assert plain(np.ones(3)).shape == (3,)
