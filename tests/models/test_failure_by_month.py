"""The chain of a drive group whose drives change from month to month."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.failure import loss_probability, loss_probability_by_month

RATES = st.floats(1e-4, 3.0)
REBUILDS = st.floats(0.5, 2000.0)
PARITIES = st.integers(0, 3)
MORE_DRIVES = st.integers(1, 20)
CHOICES = st.sampled_from(("parallel", "one at a time"))


def lost_by_month(drives, parity, rate, rebuild_h, repair="parallel"):
    return loss_probability_by_month(
        drives_per_group_by_month=drives,
        parity_drives=parity,
        failures_per_drive_year=rate,
        rebuild_h=rebuild_h,
        repair=repair,
    )


def test_by_hand_months_with_a_group_that_comes_later():
    chances = lost_by_month([0, 0, 2, 2, 3], 0, 6.0, 24)
    expected = [0.0, 0.0, *(-np.expm1([-1.0, -2.0, -3.5]))]
    np.testing.assert_allclose(chances, expected, rtol=1e-13)


def test_a_group_that_goes_and_comes_back_starts_without_failed_drives():
    alone = lost_by_month([8, 8, 8], 1, 0.5, 2000)
    apart = lost_by_month([8, 0, 8, 8], 1, 0.5, 2000)
    np.testing.assert_array_equal(apart[1], apart[0])
    again = alone[0] + (1 - alone[0]) * alone[:2]
    np.testing.assert_allclose(apart[2:], again, rtol=1e-13)


def test_second_route_months_by_full_matrices():
    """A group that grows and shrinks, month by month with an ordinary matrix exponential."""
    from scipy.linalg import expm

    counts = [4, 4, 4, 6, 6, 9, 9, 9, 9, 7, 7]
    state, wanted = np.eye(4)[0], []
    for drives in counts:
        generator = np.zeros((4, 4))
        for failed in range(3):
            generator[failed, failed + 1] = (drives - failed) * 0.8 / 8760
            if failed:
                generator[failed, failed - 1] = failed / 300
        generator -= np.diag(generator.sum(axis=1))
        state = state @ expm(generator * 730)
        wanted.append(state[3])
    np.testing.assert_allclose(lost_by_month(counts, 2, 0.8, 300), wanted, rtol=1e-10)


def test_rates_by_month_by_hand():
    # Without parity the failures to expect add up: 2 drives at 6, 12, 0 and 3 a year.
    rates = np.array([6.0, 12.0, 0.0, 3.0]).reshape(1, 1, 4)
    chances = lost_by_month([2, 2, 2, 2], 0, rates, 24)
    expected = -np.expm1([-1.0, -3.0, -3.0, -3.5])
    np.testing.assert_allclose(chances[0, 0], expected, rtol=1e-13)


def test_second_route_rates_and_rebuilds_by_month_by_full_matrices():
    """Drives, rate and rebuild change in months of their own, some of them in the same."""
    from scipy.linalg import expm

    counts = [5, 5, 5, 8, 8, 8, 0, 8, 8]
    rates = np.array([0.5, 0.5, 1.5, 1.5, 0.8, 0.8, 0.8, 0.9, 0.0])
    rebuilds = np.array([300.0, 300, 300, 150, 150, 900, 900, 900, 40])
    state, lost, wanted = np.eye(4)[0], 0.0, []
    for drives, rate, rebuild_h in zip(counts, rates, rebuilds, strict=True):
        generator = np.zeros((4, 4))
        for failed in range(3):
            generator[failed, failed + 1] = (drives - failed) * rate / 8760
            if failed:
                generator[failed, failed - 1] = failed / rebuild_h
        generator -= np.diag(generator.sum(axis=1))
        lost = state[3]
        # A group that is not there starts anew when it comes.
        state = state @ expm(generator * 730) if drives else np.array([1 - lost, 0, 0, lost])
        wanted.append(state[3])
    found = lost_by_month(counts, 2, rates.reshape(1, 1, -1), rebuilds.reshape(1, 1, -1))
    np.testing.assert_allclose(found[0, 0], wanted, rtol=1e-10)


@given(st.lists(st.sampled_from([0, 4, 5, 8]), min_size=2, max_size=60), RATES, REBUILDS, CHOICES)
def test_property_a_rate_spelled_out_by_month_is_the_constant_one(counts, rate, rebuild_h, repair):
    once = lost_by_month(counts, 2, rate, rebuild_h, repair)
    months = np.ones((1, 1, len(counts)))
    for rates, rebuilds in ((rate * months, rebuild_h), (rate, rebuild_h * months)):
        by_month = lost_by_month(counts, 2, rates, rebuilds, repair)[0, 0]
        np.testing.assert_allclose(by_month, once, rtol=1e-12, atol=0)


@given(st.lists(RATES, min_size=2, max_size=40), REBUILDS, st.integers(0, 2))
def test_property_months_of_many_rates_lie_between_the_least_and_the_greatest(
    rates, rebuild_h, parity
):
    counts = [6] * len(rates)
    between = lost_by_month(counts, parity, np.reshape(rates, (1, 1, -1)), rebuild_h)[0, 0]
    least, most = (lost_by_month(counts, parity, end(rates), rebuild_h) for end in (min, max))
    assert np.all(between >= least * (1 - 1e-12))
    assert np.all(between <= most * (1 + 1e-12))


@given(PARITIES, MORE_DRIVES, RATES, REBUILDS, st.integers(1, 130), CHOICES)
def test_property_months_of_one_count_are_the_constant_case(
    parity, more, rate, rebuild_h, months, repair
):
    by_month = lost_by_month([parity + more] * months, parity, rate, rebuild_h, repair)
    years = np.arange(1, months + 1) / 12
    wanted = loss_probability(
        drives_per_group=parity + more,
        parity_drives=parity,
        failures_per_drive_year=rate,
        rebuild_h=rebuild_h,
        horizon_years=years,
        repair=repair,
    )
    np.testing.assert_allclose(by_month, wanted, rtol=1e-12, atol=0)


@given(st.lists(st.sampled_from([0, 4, 5, 8, 12]), min_size=1, max_size=90), RATES, REBUILDS)
def test_property_months_never_fall_and_stay_flat_without_a_group(counts, rate, rebuild_h):
    by_month = lost_by_month(counts, 2, rate, rebuild_h)
    steps = np.diff(by_month, prepend=0.0)
    assert by_month[-1] <= 1
    assert np.all(steps >= 0)
    assert np.all(steps[np.array(counts) == 0] == 0)


def test_positions_and_draws_are_what_each_of_them_is():
    random = np.random.default_rng(5)
    drives = np.sort(random.integers(3, 7, (40, 1, 30)), axis=-1)
    drives[::7, :, :4] = 0
    rate, rebuild_h = random.uniform(0.01, 2, (1, 35, 1)), random.uniform(5, 500, (40, 1, 1))
    parity = np.where(np.arange(40) % 2, 1, 2).reshape(40, 1, 1)
    whole = lost_by_month(drives, parity, rate, rebuild_h)
    assert whole.shape == (40, 35, 30)
    for p, d in [(0, 0), (1, 34), (7, 3), (39, 20)]:
        one = lost_by_month(drives[p, 0], parity[p, 0, 0], rate[0, d, 0], rebuild_h[p, 0, 0])
        np.testing.assert_allclose(whole[p, d], one, rtol=1e-13, atol=0)


def test_rates_by_month_of_positions_and_draws_are_what_each_of_them_is():
    random = np.random.default_rng(6)
    drives = np.sort(random.integers(3, 7, (9, 1, 30)), axis=-1)
    drives[::4, :, :4] = 0
    # The mean rate of old and new drives: it changes with the count, in months of its own.
    rate = random.uniform(0.1, 2, (1, 7, 1)) * (0.5 + 1 / np.maximum(drives, 1))
    rebuild_h = random.uniform(5, 500, (9, 1, 1))
    whole = lost_by_month(drives, 2, rate, rebuild_h)
    assert whole.shape == (9, 7, 30)
    for p, d in np.ndindex(9, 7):
        one = lost_by_month(drives[p, 0], 2, rate[p : p + 1, d : d + 1], rebuild_h[p, 0, 0])
        np.testing.assert_allclose(whole[p, d], one[0, 0], rtol=1e-13, atol=0)


def test_bad_months_are_refused():
    for counts in (8, [], [8, 2, 8], [8, -1], [8, 7.5]):
        with pytest.raises(ValueError, match="drives_per_group_by_month"):
            lost_by_month(counts, 2, 0.015, 24)
    said = "must have one entry or 3, one a month, on its last axis"
    with pytest.raises(ValueError, match=f"failures_per_drive_year {said}"):
        lost_by_month([8, 8, 8], 2, np.full((1, 1, 2), 0.015), 24)
    with pytest.raises(ValueError, match=f"rebuild_h {said}"):
        lost_by_month([8, 8, 8], 2, 0.015, np.full((1, 1, 2), 24))
    with pytest.raises(ValueError, match="parity_drives must not change by month"):
        lost_by_month([8, 8], np.full((1, 1, 2), 2), 0.015, 24)
    bad = np.full((1, 1, 2), 0.015)
    bad[..., 1] = np.nan
    with pytest.raises(ValueError, match="failures_per_drive_year"):
        lost_by_month([8, 8], 2, bad, 24)
