"""Price paths, and the open price table the yearly changes come from."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from storagecalc.models.prices import price_by_month, shortage_factors, stray_factors
from storagecalc.models.tables import table


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
    years = np.arange(2010, 2024)
    printed = {row["key"]: float(row["price_per_tb"]) for row in table("drive_prices")}
    prices = np.array([printed[f"cheapest_{year}"] for year in years])
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


def strayed(shock, strays, months):
    """Strays are given in standard deviations here."""
    shares = stats.norm.cdf(strays)
    return stray_factors(shock_per_year=shock, shares_by_year=shares, months=months)


def short(factor, begins, lasts, recovery, months):
    return shortage_factors(
        price_factor=factor,
        begins_after_months=begins,
        lasts_months=lasts,
        recovery_months=recovery,
        months=months,
    )


STRAYS = st.lists(st.floats(-4, 4), min_size=6, max_size=6)
SHOCKS = st.floats(0, 0.6)
# Whole months, so that what a month counts in part does not blur a count of months.
MONTHS_LONG = st.integers(1, 40)


def test_strays_by_hand():
    """Twice the price after a year, half way up in between in logarithms, then back again."""
    factors = strayed(math.log(2), [1.0, -1.0, 2.0], 30)
    assert factors[[0, 6, 12, 18, 24]] == pytest.approx([1, math.sqrt(2), 2, math.sqrt(2), 1])
    assert factors[29] == pytest.approx(2 ** (2 * 5 / 12))


def test_strays_limits():
    np.testing.assert_array_equal(strayed(0.0, [3.0, -2.0], 24), 1.0)
    np.testing.assert_array_equal(strayed(0.3, [0.0, 0.0], 24), 1.0)
    np.testing.assert_array_equal(strayed(0.3, [5.0], 1), [1.0])
    nine_in_ten = stray_factors(shock_per_year=0.3, shares_by_year=[0.9, 0.5], months=13)[12]
    assert nine_in_ten == pytest.approx(math.exp(0.3 * 1.2815515655446004), rel=1e-14)
    np.testing.assert_array_equal(strayed(0.3, [1.0, 5.0], 12), strayed(0.3, [1.0], 12))


@given(SHOCKS, STRAYS, st.integers(1, 72))
def test_strays_property_a_year_changes_by_its_own_stray_and_more_months_leave_the_first(
    shock, strays, months
):
    factors = strayed(shock, strays, 72)
    assert np.all(factors > 0)
    assert factors[0] == 1
    for year in range(5):
        change = math.log(factors[12 * year + 12] / factors[12 * year])
        assert change == pytest.approx(shock * strays[year], abs=1e-12)
    np.testing.assert_array_equal(strayed(shock, strays, months), factors[:months])


@given(SHOCKS, STRAYS)
def test_strays_second_route_month_by_month(shock, strays):
    level, expected = 1.0, []
    for stray in strays:
        for _ in range(12):
            expected.append(level)
            level *= math.exp(shock * stray) ** (1 / 12)
    np.testing.assert_allclose(strayed(shock, strays, 72), expected, rtol=1e-12)


def test_strays_that_are_normal_make_a_walk_whose_spread_grows_with_the_root_of_time():
    """Deviation of the logarithm after n years: shock times the root of n, within 5.5 standard
    errors; the mean price lies above the trend by exp(n * shock**2 / 2)."""
    draws, shock = 40_000, 0.12
    normal = np.random.default_rng(2).normal(size=(1, draws, 9))
    factors = strayed(shock, normal, 97)[0]
    for years in (1, 4, 8):
        logs = np.log(factors[:, 12 * years])
        expected = shock * math.sqrt(years)
        assert abs(logs.std() - expected) < 5.5 * expected / math.sqrt(2 * draws)
        assert abs(logs.mean()) < 5.5 * expected / math.sqrt(draws)
        mean = math.exp(years * shock**2 / 2)
        spread = mean * math.sqrt(math.expm1(expected**2))
        assert abs(factors[:, 12 * years].mean() - mean) < 5.5 * spread / math.sqrt(draws)


def test_strays_of_draws_meet_the_shocks_of_positions():
    shocks, normal = np.array([0.0, 0.1, 0.3]), np.random.default_rng(3).normal(size=(1, 5, 2))
    grid = strayed(shocks[:, None, None], normal, 20)
    assert grid.shape == (3, 5, 20)
    for place, shock in enumerate(shocks):
        np.testing.assert_array_equal(grid[place], strayed(float(shock), normal, 20)[0])


def test_shortage_by_hand():
    """Half as much again in months 2 to 4, then back in three steps of a quarter of the jump."""
    factors = short(1.5, 2, 3, 3, 10)
    assert factors.tolist() == [1, 1, 1.5, 1.5, 1.5, 1.375, 1.25, 1.125, 1, 1]
    # Back at once, a month in part, and a glut.
    assert short(1.5, 1, 2, 0, 5).tolist() == [1, 1.5, 1.5, 1, 1]
    assert short(1.5, 0, 1.5, 0, 4).tolist() == [1.5, 1.25, 1, 1]
    assert short(0.5, 0, 1, 1, 4).tolist() == [0.5, 0.75, 1, 1]


def test_shortage_limits():
    np.testing.assert_array_equal(short(1.0, 3, 5, 4, 30), 1.0)
    np.testing.assert_array_equal(short(2.0, 30, 5, 4, 30), 1.0)
    np.testing.assert_array_equal(short(2.0, 0, 1e9, 0, 30), 2.0)
    np.testing.assert_array_equal(short(2.0, 3, 0, 0, 30), 1.0)
    np.testing.assert_allclose(short(2.0, 0, 1, 1e9, 30), 2.0, rtol=1e-7)


@given(st.floats(0.1, 10), st.integers(0, 20), MONTHS_LONG, st.integers(0, 40))
def test_shortage_property_between_one_and_the_jump_and_worth_so_many_months(
    factor, begins, lasts, recovery
):
    """Months in full, and half of those in which prices come back."""
    factors = short(factor, begins, lasts, recovery, 120)
    low, high = sorted((1.0, factor))
    assert np.all((factors >= low - 1e-12) & (factors <= high + 1e-12))
    np.testing.assert_array_equal(factors[:begins], 1.0)
    np.testing.assert_allclose(factors[begins : begins + lasts], factor, rtol=1e-12)
    jump = (factor - 1) * (lasts + recovery / 2)
    assert (factors - 1).sum() == pytest.approx(jump, rel=1e-9, abs=1e-9)
    # Never back up on the way down.
    after = np.abs(factors[begins:] - 1)
    assert np.all(np.diff(after) <= 1e-12)


@given(st.floats(0.1, 10), st.integers(0, 20), st.floats(1, 40), st.floats(0, 40))
def test_shortage_second_route_between_corners(factor, begins, lasts, recovery):
    """A general-purpose interpolation: full up to one month before the end, nothing after it."""
    corners = [begins + lasts - 1, begins + lasts + recovery]
    line = np.interp(np.arange(120), corners, [factor, 1.0])
    line[:begins] = 1.0
    np.testing.assert_allclose(short(factor, begins, lasts, recovery, 120), line, rtol=1e-9)


def test_shortages_of_draws_meet_the_jumps_of_positions():
    lasts, jumps = np.linspace(1, 20, 5)[None, :, None], np.array([1.2, 2.0])[:, None, None]
    grid = short(jumps, 3, lasts, 2.5, 40)
    assert grid.shape == (2, 5, 40)
    np.testing.assert_array_equal(grid[1, 3], short(2.0, 3, float(lasts[0, 3, 0]), 2.5, 40))


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: strayed(-0.1, [1.0], 12), r"^shock_per_year must be a finite number of at least"),
        (lambda: strayed(0.1, [math.nan], 12), r"^shares_by_year must be a finite number"),
        (lambda: strayed(0.1, [40.0], 12), r"^shares_by_year must be .* below 1, got 1"),
        (lambda: strayed(0.1, [-40.0], 12), r"^shares_by_year must be .* above 0 .*, got 0"),
        (lambda: strayed(0.1, [1.0], 13), r"^shares_by_year must have .* each of 2 years, got 1"),
        (lambda: strayed(0.1, 1.0, 12), r"^shares_by_year must have a value"),
        (lambda: strayed(0.1, [1.0], 0), r"^months must be a whole number from 1 upwards, got 0"),
        (lambda: strayed(np.ones((1, 2, 3)), [1.0], 9), r"^shock_per_year must not change by"),
        (lambda: short(0.0, 1, 1, 1, 9), r"^price_factor must be a finite number above 0, got 0"),
        (lambda: short(1.5, -1, 1, 1, 9), r"^begins_after_months must be .* at least 0, got -1"),
        (lambda: short(1.5, 1, -1, 1, 9), r"^lasts_months must be"),
        (lambda: short(1.5, 1, 1, -1, 9), r"^recovery_months must be"),
        (lambda: short(1.5, 1, 1, 1, 1.5), r"^months must be a whole number"),
    ],
)
def test_bad_paths_are_named(call, said):
    with pytest.raises(ValueError, match=said):
        call()
