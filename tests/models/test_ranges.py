"""Ranges: the metalog through three points, and means over it by quadrature."""

import re

import mpmath
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.special import expit, logit

from storagecalc.models.ranges import (
    metalog_quantile,
    middle_limits,
    moved_ends,
    percentile_nodes,
)

RATE = {
    "low": 0.005,
    "middle": 0.014,
    "high": 0.05,
    "lower_bound": 0.0005,
    "upper_bound": 0.36,
}
BOUNDS = [(None, None), (0.0, None), (None, 100.0), (0.0, 100.0)]
SHARES = np.linspace(0.001, 0.999, 999)


def quantile(y, low, middle, high, bounds):
    return metalog_quantile(
        y, low=low, middle=middle, high=high, lower_bound=bounds[0], upper_bound=bounds[1]
    )


@pytest.mark.parametrize("bounds", BOUNDS)
def test_by_hand_it_passes_through_its_three_points(bounds):
    points = quantile(np.array([0.1, 0.5, 0.9]), 4, 6, 9, bounds)
    np.testing.assert_allclose(points, [4, 6, 9], rtol=1e-14)


def test_by_hand_symmetric_points_give_the_logistic():
    """With the middle half way, Q = middle + scale * log-odds; at y = 0.75 log-odds is ln 3."""
    wanted = 10 + 2 * np.log(3) / np.log(9)
    assert quantile(0.75, 8, 10, 12, (None, None)) == pytest.approx(wanted, rel=1e-14)


@pytest.mark.parametrize("bounds", BOUNDS)
def test_limits_at_the_ends_stay_inside_the_bounds(bounds):
    least, most = quantile(np.array([1e-300, 1 - 1e-16]), 4, 6, 9, bounds)
    assert bounds[0] is None or least >= bounds[0]
    assert bounds[1] is None or most <= bounds[1]
    assert np.isfinite([least, most]).all()


def test_limits_far_bounds_change_nothing():
    free = quantile(SHARES, 4, 6, 9, (None, None))
    np.testing.assert_allclose(quantile(SHARES, 4, 6, 9, (-1e8, 1e8)), free, rtol=1e-5)


@pytest.mark.parametrize("bounds", BOUNDS)
@given(data=st.data())
def test_property_rises_wherever_it_is_accepted(bounds, data):
    low = data.draw(st.floats(1, 50))
    high = data.draw(st.floats(low * 1.01, 99))
    lowest, highest = middle_limits(
        low=low, high=high, lower_bound=bounds[0], upper_bound=bounds[1]
    )
    assume(highest - lowest > 1e-9)
    share = data.draw(st.floats(0.001, 0.999))
    values = quantile(SHARES, low, lowest + share * (highest - lowest), high, bounds)
    assert np.all(np.diff(values) > 0)


@given(st.floats(4.9, 8.1), st.floats(-100, 100))
def test_property_moving_the_points_moves_the_values(middle, shift):
    here = quantile(SHARES, 4, middle, 9, (None, None))
    there = quantile(SHARES, 4 + shift, middle + shift, 9 + shift, (None, None))
    np.testing.assert_allclose(there - shift, here, atol=1e-10)


@given(st.floats(4.9, 8.1))
def test_property_a_mirror_image_has_mirrored_values(middle):
    above = quantile(SHARES, 4, middle, 9, (0.0, None)) if middle < 7.8 else None
    assume(above is not None)
    below = quantile(1 - SHARES, -9, -middle, -4, (None, 0.0))
    np.testing.assert_allclose(-below, above, rtol=1e-9)


def test_arrays_broadcast_and_a_float_stays_a_float():
    assert type(quantile(0.3, 4, 6, 9, (0.0, 100.0))) is float
    middles = np.array([5.5, 6.0, 6.5])[:, None, None]
    values = quantile(np.array([0.2, 0.8]), 4, middles, 9, (0.0, None))
    assert values.shape == (3, 1, 2)
    assert values[2, 0, 1] == quantile(0.8, 4, 6.5, 9, (0.0, None))


def test_the_published_feasibility_limit_is_where_the_density_stops_being_positive():
    """Second route: the slope of Q at a dense set of shares, either side of the limit."""
    y = np.linspace(1e-4, 1 - 1e-4, 20001)
    limit, _ = middle_limits(low=0, high=1, lower_bound=None, upper_bound=None)
    assert np.all(np.diff(quantile(y, 0, limit + 1e-5, 1, (None, None))) > 0)
    log_odds, scale = np.log(y / (1 - y)), np.log(9)

    def slope_is_positive(r):
        q = r + log_odds / (2 * scale) + (1 - 2 * r) * (y - 0.5) * log_odds / (0.8 * scale)
        return bool(np.all(np.diff(q) > 0))

    assert slope_is_positive(0.1666)
    assert not slope_is_positive(0.1665)


def exact_mean(power):
    """The mean of the rate to a power, by adaptive quadrature with 30 digits."""
    mpmath.mp.dps = 30
    a, b = mpmath.mpf("0.0005"), mpmath.mpf("0.36")
    z = [mpmath.log((q - a) / (b - q)) for q in map(mpmath.mpf, ("0.005", "0.014", "0.05"))]
    r, spread = (z[1] - z[0]) / (z[2] - z[0]), mpmath.log(9)

    def weighted(g):
        y = 1 / (1 + mpmath.exp(-g))
        skew = (1 - 2 * r) * (y - 0.5) * g / (mpmath.mpf("0.8") * spread)
        value = a + (b - a) / (1 + mpmath.exp(-(z[1] + (z[2] - z[0]) * (g / (2 * spread) + skew))))
        return value**power * y * (1 - y)

    return float(mpmath.quad(weighted, [-80, -30, -10, -3, 0, 3, 10, 30, 80]))


@pytest.mark.parametrize("power", [1, 3])
@pytest.mark.parametrize(("count", "tolerance"), [(32, 1e-8), (40, 1e-10), (48, 1e-11)])
def test_means_agree_with_adaptive_quadrature(power, count, tolerance):
    y, weight = percentile_nodes(count)
    mean = weight @ metalog_quantile(y, **RATE) ** power
    assert mean == pytest.approx(exact_mean(power), rel=tolerance)


@pytest.mark.parametrize(
    ("lower_bound", "mean"), [(None, 6.28445), (0.0, 6.34973)], ids=["no bound", "above 0"]
)
def test_means_of_4_6_9_agree_with_200000_midpoints(lower_bound, mean):
    y, weight = percentile_nodes(48)
    values = quantile(y, 4, 6, 9, (lower_bound, None))
    assert weight @ values == pytest.approx(mean, abs=5e-5)
    midpoints = (np.arange(200_000) + 0.5) / 200_000
    assert quantile(midpoints, 4, 6, 9, (lower_bound, None)).mean() == pytest.approx(mean, abs=6e-6)


@given(st.integers(2, 200))
def test_property_nodes_are_shares_and_weights_a_mean(count):
    y, weight = percentile_nodes(count)
    assert len(y) == len(weight) == count
    assert np.all((y > 0) & (y < 1))
    assert np.all(np.diff(y) > 0)
    assert np.all(weight > 0)
    assert weight.sum() == pytest.approx(1, abs=1e-14)
    np.testing.assert_allclose(y, 1 - y[::-1], atol=1e-14)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ((4, 3, 9, None, None), r"middle must lie between low 4 and high 9, got 3"),
        ((9, 6, 4, None, None), r"high must lie above low 9, got 4"),
        ((4, 6, 9, 4.0, None), r"low must lie above lower_bound 4, got 4"),
        ((4, 6, 9, None, 8.0), r"high must lie below upper_bound 8, got 9"),
        (
            (4, 4.2, 9, None, None),
            r"between 4\.84 and 8\.16 .* got 4\.2: .* or high to 5\.2 or less",
        ),
        (
            (4, 8.9, 9, 0.0, None),
            r"between 4\.58 and 7\.86 .* got 8\.9: .* or low to 8\.417 or more",
        ),
    ],
)
def test_a_triple_no_distribution_fits_is_refused_with_the_way_out(points, said):
    low, middle, high, lower, upper = points
    with pytest.raises(ValueError, match=said):
        quantile(0.5, low, middle, high, (lower, upper))


@given(st.floats(1, 90), st.floats(1.001, 1.1), st.sampled_from(BOUNDS), st.booleans())
def test_what_the_message_offers_is_accepted(low, factor, bounds, near_low):
    high = low * factor
    middle = low + (high - low) * (0.001 if near_low else 0.999)
    with pytest.raises(ValueError, match="move middle") as refusal:
        quantile(0.5, low, middle, high, bounds)
    said = str(refusal.value)
    lowest, highest = re.findall(r"between ([-\d.]+) and ([-\d.]+) for", said)[0]
    for way_out in (float(lowest), float(highest)):
        quantile(0.5, low, way_out, high, bounds)
    end, value = re.findall(r"or (high|low) to ([-\d.]+) or", said)[0]
    ends = {"low": low, "high": high} | {end: float(value)}
    quantile(0.5, ends["low"], middle, ends["high"], bounds)


@pytest.mark.parametrize("bad", [0.0, 1.0, -0.1, float("nan")])
def test_shares_outside_0_to_1_are_refused(bad):
    with pytest.raises(ValueError, match=r"^y must be"):
        quantile(bad, 4, 6, 9, (None, None))


@pytest.mark.parametrize("bad", [1, 2.5, float("nan"), -3])
def test_a_node_count_is_whole_and_at_least_2(bad):
    with pytest.raises(ValueError, match=r"^count must be a whole number from 2 upwards"):
        percentile_nodes(bad)


def test_moved_ends_by_hand_odds_are_multiplied():
    """Odds 1/4, 1 and 3; the middle's become 4, so the others become 1 and 12."""
    points = {"low": 0.2, "middle": 0.5, "high": 0.75, "lower_bound": 0, "upper_bound": 1}
    np.testing.assert_allclose(moved_ends(**points, to_middle=0.8), (1 / 2, 12 / 13), rtol=1e-14)


def test_moved_ends_limits_one_bound_keeps_ratios_and_none_keeps_distances():
    points = {"low": 4.0, "middle": 6.0, "high": 9.0, "to_middle": 12.0}
    assert moved_ends(**points, lower_bound=0, upper_bound=None) == pytest.approx((8, 18))
    assert moved_ends(**points, lower_bound=0, upper_bound=1e12) == pytest.approx((8, 18))
    assert moved_ends(**points, lower_bound=None, upper_bound=None) == (10.0, 15.0)


@given(st.floats(0.02, 0.98), st.floats(0.02, 0.98))
def test_moved_ends_second_route_a_library_of_odds(middle, to_middle):
    z = logit(middle) + np.array([-0.7, 0.9])
    low, high = expit(z)
    wanted = expit(z + logit(to_middle) - logit(middle))
    bounds = {"lower_bound": 0, "upper_bound": 1}
    found = moved_ends(low=low, middle=middle, high=high, to_middle=to_middle, **bounds)
    np.testing.assert_allclose(found, wanted, rtol=1e-12)


@given(st.floats(-4.9, 9.9), st.floats(-4.9, 9.9))
def test_moved_ends_property_what_fitted_fits_and_back_is_back(middle, to_middle):
    bounds = {"lower_bound": -5.0, "upper_bound": 10.0}
    low, high = middle - 0.6 * (middle + 5), middle + 0.5 * (10 - middle)
    assume(fits(low, middle, high, bounds))
    there = moved_ends(low=low, middle=middle, high=high, to_middle=to_middle, **bounds)
    assert there[0] < to_middle < there[1]
    assert fits(there[0], to_middle, there[1], bounds)
    back = moved_ends(low=there[0], middle=to_middle, high=there[1], to_middle=middle, **bounds)
    np.testing.assert_allclose(back, (low, high), rtol=1e-9, atol=1e-12)


def fits(low, middle, high, bounds):
    lowest, highest = middle_limits(low=low, high=high, **bounds)
    return lowest < middle < highest


def test_a_range_moves_only_to_where_its_middle_may_be():
    points = {"low": 0.2, "middle": 0.5, "high": 0.75, "lower_bound": 0, "upper_bound": 1}
    for wrong, said in ((0, "above lower_bound 0, got 0"), (1.5, "below upper_bound 1, got 1.5")):
        with pytest.raises(ValueError, match=f"^to_middle must lie {said}"):
            moved_ends(**points, to_middle=wrong)
