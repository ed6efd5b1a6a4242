"""The chain of a drive group: the loss within a horizon and the mean time to loss."""

import heapq
import math
from fractions import Fraction
from itertools import product

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.failure import loss_probability, mean_time_to_loss_h

REPAIRS = ("parallel", "one at a time")
DIGITS = 60

RATES = st.floats(1e-4, 3.0)
REBUILDS = st.floats(0.5, 2000.0)
YEARS = st.floats(0.01, 20.0)
PARITIES = st.integers(0, 3)
MORE_DRIVES = st.integers(1, 20)
CHOICES = st.sampled_from(REPAIRS)


def lost(drives, parity, rate, rebuild_h, years, repair="parallel"):
    return loss_probability(
        drives_per_group=drives,
        parity_drives=parity,
        failures_per_drive_year=rate,
        rebuild_h=rebuild_h,
        horizon_years=years,
        repair=repair,
    )


def mean_h(drives, parity, rate, rebuild_h, repair="parallel"):
    return mean_time_to_loss_h(
        drives_per_group=drives,
        parity_drives=parity,
        failures_per_drive_year=rate,
        rebuild_h=rebuild_h,
        repair=repair,
    )


def rates_by_state(drives, parity, rate, rebuild_h, repair, number=mpmath.mpf):
    """Failure and repair rates an hour in each state, in the number type asked for."""
    one, mend = number(rate) / 8760, 1 / number(rebuild_h)
    fails = [(drives - failed) * one for failed in range(parity + 1)]
    at_once = range(parity + 1) if repair == "parallel" else [0] + [1] * parity
    return fails, [count * mend for count in at_once]


def lost_from_eigenvalues(drives, parity, rate, rebuild_h, years, repair):
    """The time to loss is a sum of exponential times whose rates are the chain's eigenvalues."""
    with mpmath.workdps(DIGITS):
        fails, mends = rates_by_state(drives, parity, rate, rebuild_h, repair)
        size = parity + 1
        symmetric = mpmath.zeros(size)
        for state in range(size):
            symmetric[state, state] = fails[state] + mends[state]
            if state:
                beside = mpmath.sqrt(fails[state - 1] * mends[state])
                symmetric[state, state - 1] = symmetric[state - 1, state] = -beside
        slow_to_fast = list(mpmath.eigsy(symmetric, eigvals_only=True))
        hours = mpmath.mpf(years) * 8760
        survives = mpmath.mpf(0)
        for one in slow_to_fast:
            others = [other for other in slow_to_fast if other is not one]
            weight = mpmath.fprod(other / (other - one) for other in others)
            survives += weight * mpmath.exp(-one * hours)
        return float(1 - survives)


def lost_from_matrix(drives, parity, rate, rebuild_h, years, repair):
    """The last entry of the first row of the matrix exponential, in long arithmetic."""
    with mpmath.workdps(DIGITS):
        fails, mends = rates_by_state(drives, parity, rate, rebuild_h, repair)
        generator = mpmath.zeros(parity + 2)
        for state in range(parity + 1):
            generator[state, state] = -fails[state] - mends[state]
            generator[state, state + 1] = fails[state]
            if state:
                generator[state, state - 1] = mends[state]
        return float(mpmath.expm(generator * mpmath.mpf(years) * 8760)[0, parity + 1])


def binomial_tail(drives, parity, fails):
    return float(
        mpmath.fsum(
            math.comb(drives, k) * fails**k * (1 - fails) ** (drives - k)
            for k in range(parity + 1, drives + 1)
        )
    )


# By hand


def test_by_hand_without_parity():
    assert lost(3, 0, 0.5, 24, 2) == pytest.approx(-math.expm1(-3.0), rel=1e-13)
    assert lost(1, 0, 1e-12, 24, 1e-3) == pytest.approx(1e-15, rel=1e-12)


def test_by_hand_the_mean_time_of_a_mirror():
    # 12 h to the first failure, then 24 h to the second or, as often, back after 24 h.
    assert mean_h(2, 1, 365, 24) == pytest.approx(12 + 2 * 12 + 12, rel=1e-14)


# Limits


def test_limits():
    assert lost(8, 2, 0.015, 24, 0) == 0.0
    assert lost(8, 2, 0.0, 24, 100) == 0.0
    assert lost(8, 2, 1e5, 1e4, 100) == 1.0
    assert 0 < lost(8, 2, 0.015, 0.001, 5) < 1e-15


@pytest.mark.parametrize(("drives", "parity"), [(2, 1), (8, 1), (8, 2), (24, 3), (12, 8)])
def test_limit_without_rebuild_is_the_binomial_tail(drives, parity):
    with mpmath.workdps(DIGITS):
        for years in (0.01, 1, 5, 40):
            fails = -mpmath.expm1(-mpmath.mpf("0.015") * years)
            tail = binomial_tail(drives, parity, fails)
            assert lost(drives, parity, 0.015, 1e17, years) == pytest.approx(tail, rel=1e-11)


def test_limit_of_fast_repair_is_a_constant_rate():
    for repair, parity in product(REPAIRS, (1, 2, 3)):
        constant = -math.expm1(-5 * 8760 / mean_h(24, parity, 0.04, 72, repair))
        assert lost(24, parity, 0.04, 72, 5, repair) == pytest.approx(constant, rel=0.006)


# Other routes


GRID = [
    case
    for case in product(
        (2, 8, 24, 60), (1, 2, 3), (0.002, 0.05), (1.0, 24.0, 400.0), (0.1, 20.0), REPAIRS
    )
    if case[0] > case[1]
]


def test_second_route_eigenvalues_in_long_arithmetic():
    """Relative error under 1e-12, over twenty decades, with up to 500,000 repairs to be had."""
    wanted = np.array([lost_from_eigenvalues(*case) for case in GRID])
    for repair in REPAIRS:
        mine = [place for place, case in enumerate(GRID) if case[-1] == repair]
        columns = zip(*(GRID[place][:-1] for place in mine), strict=True)
        got = lost(*(np.array(column) for column in columns), repair)
        np.testing.assert_allclose(got, wanted[mine], rtol=1e-12, atol=0)
    assert wanted.min() < 1e-15
    assert wanted.max() > 1e-3


@pytest.mark.parametrize(
    "case",
    [
        (8, 2, 0.015, 24.0, 5.0, "parallel"),
        (12, 3, 0.01, 1.0, 20.0, "one at a time"),
        (6, 5, 0.3, 300.0, 5.0, "parallel"),
    ],
)
def test_second_route_matrix_exponential_in_long_arithmetic(case):
    assert lost(*case) == pytest.approx(lost_from_matrix(*case), rel=1e-12)


@given(st.integers(2, 60), RATES, REBUILDS, YEARS, CHOICES)
def test_second_route_closed_form_of_single_parity(drives, rate, rebuild_h, years, repair):
    with mpmath.workdps(DIGITS):
        fail, mend, hours = mpmath.mpf(rate) / 8760, 1 / mpmath.mpf(rebuild_h), years * 8760
        half = ((2 * drives - 1) * fail + mend) / 2
        constant = drives * (drives - 1) * fail**2
        fast = half + mpmath.sqrt(half**2 - constant)
        slow = constant / fast
        survives = (fast * mpmath.exp(-slow * hours) - slow * mpmath.exp(-fast * hours)) / (
            fast - slow
        )
        wanted = float(1 - survives)
    assert lost(drives, 1, rate, rebuild_h, years, repair) == pytest.approx(wanted, rel=1e-12)


@given(PARITIES, MORE_DRIVES, CHOICES)
def test_second_route_mean_time_from_the_linear_equations(parity, more, repair):
    """Mean times solve ``generator x times = -1``, here in exact fractions."""
    drives = parity + more
    fails, mends = rates_by_state(drives, parity, Fraction(3, 2), Fraction(40), repair, Fraction)
    # Eliminated upwards: m[i] = hours[i] + pass_on[i] * m[i + 1], nothing follows the loss.
    stays, passes = [], []
    for state in range(parity + 1):
        before_h, before = (stays[-1], passes[-1]) if state else (Fraction(0), Fraction(0))
        leaves = fails[state] + mends[state] * (1 - before)
        stays.append((1 + mends[state] * before_h) / leaves)
        passes.append(fails[state] / leaves)
    mean = Fraction(0)
    for hours, passed in zip(reversed(stays), reversed(passes), strict=True):
        mean = hours + passed * mean
    assert mean_h(drives, parity, 1.5, 40, repair) == pytest.approx(float(mean), rel=1e-13)


def is_lost_in_a_run(random, drives, parity, rate, rebuild_h, years, repair):
    """One simulated group: every drive has its own clock, rebuilds wait in a queue. No chain."""
    events = [(random.exponential(8760 / rate), "fails") for _ in range(drives)]
    heapq.heapify(events)
    waiting = mending = 0
    while (event := heapq.heappop(events))[0] <= years * 8760:
        hours, what = event
        if what == "fails":
            waiting += 1
            if waiting + mending > parity:
                return True
        else:
            mending -= 1
            heapq.heappush(events, (hours + random.exponential(8760 / rate), "fails"))
        while waiting and (repair == "parallel" or not mending):
            waiting, mending = waiting - 1, mending + 1
            heapq.heappush(events, (hours + random.exponential(rebuild_h), "is mended"))
    return False


@pytest.mark.parametrize("repair", REPAIRS)
def test_second_route_simulation(repair):
    """Off by 4.9 standard errors once in a million seeds."""
    runs, case = 1500, (6, 2, 1.5, 500.0, 2.0, repair)
    chance = lost(*case)
    assert 0.1 < chance < 0.9
    error = math.sqrt(runs * chance * (1 - chance))
    random = np.random.default_rng(11)
    losses = sum(is_lost_in_a_run(random, *case) for _ in range(runs))
    assert abs(losses - runs * chance) < 4.9 * error


def survey_table_5():
    """Mean years and loss in ten years of single parity, from the parameters of table 4.

    P. M. Chen et al., "RAID: High-Performance, Reliable Secondary Storage", ACM Computing Surveys
    26(2), 1994: 100 data disks in groups of 16, a month of 720 h.
    """
    disk, second, system, readable = 200_000, 20_000, 720, 0.9996
    disks = 100 * 16 / 15
    double = disk * second / (disks * 15) / 8760
    crash = system * disk / disks / 8760
    bit_error = disk / (disks * (1 - readable**15)) / 8760
    software = 1 / (1 / double + 1 / crash + 1 / bit_error)
    hardware = 1 / (1 / double + 1 / bit_error)
    return [double, crash, bit_error, software, hardware]


def test_published_single_parity_table_of_the_1994_survey():
    years = survey_table_5()
    assert [round(mean) for mean in years] == [285, 154, 36, 26, 32]
    chances = 100 * lost(1, 0, 1 / np.array(years), 1, 10)
    # The survey took the last from its rounded mean of 32 years; unrounded it is 27.0.
    np.testing.assert_allclose(chances[:4], [3.4, 6.3, 24.4, 31.6], atol=0.05)
    assert 100 * lost(1, 0, 1 / 32, 1, 10) == pytest.approx(26.8, abs=0.05)


@pytest.mark.parametrize("parity", [1, 2, 3])
def test_parallel_rebuilds_last_longer_by_the_factorial_of_parity(parity):
    longer = mean_h(8, parity, 1e-3, 1) / mean_h(8, parity, 1e-3, 1, "one at a time")
    assert longer == pytest.approx(math.factorial(parity), rel=1e-4)


# Properties


@given(PARITIES, MORE_DRIVES, RATES, REBUILDS, YEARS, CHOICES)
def test_property_more_of_what_harms_does_harm(parity, more, rate, rebuild_h, years, repair):
    drives = parity + more
    chance = lost(drives, parity, rate, rebuild_h, years, repair)
    assert 0 < chance <= 1
    worse = [
        lost(drives + 1, parity, rate, rebuild_h, years, repair),
        lost(drives, parity, 1.5 * rate, rebuild_h, years, repair),
        lost(drives, parity, rate, 1.5 * rebuild_h, years, repair),
        lost(drives, parity, rate, rebuild_h, 1.5 * years, repair),
        lost(drives, parity, rate, rebuild_h, years, "one at a time"),
    ]
    assert min(worse) >= chance * (1 - 1e-13)
    assert lost(drives + 1, parity + 1, rate, rebuild_h, years, repair) <= worse[0] * (1 + 1e-13)


@given(PARITIES, MORE_DRIVES, RATES, REBUILDS, CHOICES)
def test_property_before_the_mean_time_a_constant_rate_is_a_bound(
    parity, more, rate, rebuild_h, repair
):
    """The time to loss has a rate that rises, so up to its mean it lags a constant rate."""
    mean_years = mean_h(parity + more, parity, rate, rebuild_h, repair) / 8760
    years = np.minimum(1000.0, np.array([0.001, 0.1, 0.9]) * mean_years)
    chances = lost(parity + more, parity, rate, rebuild_h, years, repair)
    assert np.all(chances <= -np.expm1(-years / mean_years) * (1 + 1e-11))


def test_an_array_is_what_its_entries_are():
    drives = np.array([[[3]], [[8]], [[9]]])
    parity = np.array([[[0]], [[1]], [[3]]])
    rate = np.array([[[0.01], [0.2]]])
    years = np.array([1.0, 5.0, 7.0])
    for repair in REPAIRS:
        whole = lost(drives, parity, rate, 48, years, repair)
        assert whole.shape == (3, 2, 3)
        for p, d, t in np.ndindex(whole.shape):
            one = lost(
                *(int(x[p, 0, 0]) for x in (drives, parity)), rate[0, d, 0], 48, years[t], repair
            )
            assert isinstance(one, float)
            assert whole[p, d, t] == pytest.approx(one, rel=1e-13)
        means = mean_h(drives, parity, rate, 48, repair)
        assert means[2, 1, 0] == pytest.approx(mean_h(9, 3, 0.2, 48, repair), rel=1e-13)


# Bad input


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("drives_per_group", 0),
        ("drives_per_group", 2.5),
        ("drives_per_group", 2),
        ("drives_per_group", [8, 1]),
        ("parity_drives", -1),
        ("parity_drives", 9),
        ("failures_per_drive_year", -0.01),
        ("failures_per_drive_year", math.nan),
        ("rebuild_h", 0.0),
        ("rebuild_h", math.inf),
        ("horizon_years", -1),
        ("repair", "serial"),
    ],
)
def test_bad_input_is_refused_by_name(argument, value):
    good = {
        "drives_per_group": 8,
        "parity_drives": 2,
        "failures_per_drive_year": 0.015,
        "rebuild_h": 24,
        "horizon_years": 5,
        "repair": "parallel",
    }
    with pytest.raises(ValueError, match=argument):
        loss_probability(**{**good, argument: value})


def test_a_mean_time_needs_a_rate():
    with pytest.raises(ValueError, match="failures_per_drive_year"):
        mean_h(8, 2, 0.0, 24)
