"""Lumps: a random count of jobs of random size, and what that does to one month.

Where a test draws random numbers, it says how seldom it would fail by chance with another seed.
"""

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.lumps import lump_factors, lump_variance

JOBS = st.floats(0.1, 300)
SPREADS = st.floats(0, 3)
CASES = [(0.3, 0.5), (2.0, 0.0), (2.0, 0.5), (2.0, 2.0), (25.0, 1.0)]


def factors(jobs, spread, *, months=50, draws=4000, seed=1):
    return lump_factors(
        jobs_per_month=jobs,
        job_size_spread_fraction=spread,
        months=months,
        draws=draws,
        generator=np.random.default_rng(seed),
    )


def variance(jobs, spread):
    return lump_variance(jobs_per_month=jobs, job_size_spread_fraction=spread)


def test_by_hand():
    """Four jobs that are all alike: half a mean month either way; alike jobs are whole jobs."""
    assert variance(4, 0) == 0.25
    assert variance(4, 1) == 0.5
    counts = factors(4.0, 0.0) * 4.0
    np.testing.assert_array_equal(counts, np.round(counts))


@pytest.mark.parametrize(("jobs", "spread"), CASES)
def test_mean_and_variance(jobs, spread):
    """Both within 5.5 standard errors: one failure in 10 million seeds, each nearly normal."""
    drawn = factors(jobs, spread).ravel()
    v, square = variance(jobs, spread), spread**2
    assert abs(drawn.mean() - 1) < 5.5 * math.sqrt(v / drawn.size)
    fourth = (1 + square) * (1 + 2 * square) * (1 + 3 * square) / jobs**3
    error = math.sqrt((fourth + 2 * v**2) / drawn.size)
    assert abs(drawn.var() - v) < 5.5 * error


def test_limits():
    smooth = factors(1e12, 0.5)
    np.testing.assert_allclose(smooth, 1.0, atol=2e-5)
    assert variance(1e12, 0.5) < 1e-11
    np.testing.assert_array_equal(factors(3.0, 0.0), factors(3.0, 1e-9))
    np.testing.assert_allclose(factors(3.0, 0.0), factors(3.0, 1e-6), rtol=1e-4)


@pytest.mark.parametrize("jobs", [0.2, 1.0, 4.0])
def test_months_without_a_job_bring_nothing(jobs):
    """As many as the Poisson law says, exp(-jobs), within 5.5 standard errors."""
    drawn = factors(jobs, 0.5)
    empty = math.exp(-jobs)
    error = math.sqrt(empty * (1 - empty) / drawn.size)
    assert abs(np.mean(drawn == 0) - empty) < 5.5 * error


def test_nine_in_ten_months_stay_below_the_printed_quantile():
    """A printed percentile of a Poisson sum of gammas, missed by chance once in 10 million seeds.

    Source: A. J. van Rassel et al., R package "Distributacalcul", reference manual, topic CompPois,
    printed examples: with lambda 2, shape log(1000) - 0.405 and rate 0.81, nine in ten sums are
    below 32.63546, and 0.1361652 of them below 2.
    """
    shape, rate = math.log(1000) - 0.405, 0.81
    mean = 2 * shape / rate
    drawn = factors(2.0, 1 / math.sqrt(shape), draws=20_000).ravel() * mean
    for printed, share in ((32.63546, 0.9), (2.0, 0.1361652)):
        error = math.sqrt(share * (1 - share) / drawn.size)
        assert abs(np.mean(drawn <= printed) - share) < 5.5 * error


@pytest.mark.parametrize(("jobs", "spread"), [(0.7, 0.5), (3.0, 1.5), (6.0, 0.3)])
def test_second_route_the_distribution_as_a_series(jobs, spread):
    """Sum over n of Poisson(n) times the gamma law of n jobs, against all that was drawn.

    Massart's bound holds for every law: one failure in a million seeds.
    """
    from scipy.stats import gamma, poisson

    drawn = np.sort(factors(jobs, spread, draws=400).ravel())
    n = np.arange(1, 60)[:, None]
    of_n_jobs = gamma.cdf(drawn * jobs, n / spread**2, scale=spread**2)
    law = math.exp(-jobs) + (poisson.pmf(n, jobs) * of_n_jobs).sum(axis=0)
    at_most = np.searchsorted(drawn, drawn, side="right") / drawn.size
    worst = np.abs(at_most - law).max()
    assert worst < math.sqrt(math.log(2 / 1e-6) / (2 * drawn.size)) + 1 / drawn.size


@pytest.mark.parametrize(("jobs", "spread"), [(0.8, 0.5), (3.0, 1.0)])
def test_third_route_job_by_job(jobs, spread):
    """Jobs that arrive one after another through the month, each with its size, in a plain loop.

    Two-sample bound of Smirnov at one in a million; the atom at nothing makes it rarer still.
    """
    chance = random.Random(3)
    looped = np.sort([_month(chance, jobs, spread) / jobs for _ in range(8000)])
    drawn = np.sort(factors(jobs, spread, draws=160).ravel())
    everywhere = np.concatenate([looped, drawn])
    gap = np.abs(
        np.searchsorted(looped, everywhere, side="right") / looped.size
        - np.searchsorted(drawn, everywhere, side="right") / drawn.size
    )
    assert gap.max() < math.sqrt(-math.log(1e-6 / 2) / 2 * (1 / looped.size + 1 / drawn.size))


def _month(chance, jobs, spread):
    """TB of one month in jobs of mean size 1 whose gaps are exponential."""
    total, clock = 0.0, chance.expovariate(jobs)
    while clock < 1:
        total += chance.gammavariate(1 / spread**2, spread**2)
        clock += chance.expovariate(jobs)
    return total


def test_months_and_futures_know_nothing_of_one_another():
    """Correlations within 5.5 standard errors of none."""
    drawn = factors(2.0, 0.5)[0]
    for one, other in (
        (drawn[:, :-1], drawn[:, 1:]),
        (drawn[:-1], drawn[1:]),
    ):
        found = np.corrcoef(one.ravel(), other.ravel())[0, 1]
        assert abs(found) < 5.5 / math.sqrt(one.size)


@given(JOBS, SPREADS, st.integers(1, 6), st.integers(1, 6), st.integers(0, 99))
def test_property_factors_are_finite_and_never_negative(jobs, spread, months, draws, seed):
    drawn = factors(jobs, spread, months=months, draws=draws, seed=seed)
    assert drawn.shape == (1, draws, months)
    assert np.all(np.isfinite(drawn) & (drawn >= 0))


@given(JOBS, JOBS, SPREADS, SPREADS)
def test_property_more_jobs_are_smoother_and_wider_sizes_rougher(jobs, more, spread, wider):
    (jobs, more), (spread, wider) = sorted([jobs, more]), sorted([spread, wider])
    assert variance(more, spread) <= variance(jobs, spread) <= variance(jobs, wider)


def test_a_grid_has_the_futures_that_each_position_has_alone():
    jobs, spread = np.array([0.5, 2.0, 40.0]), np.array([0.5, 0.0, 1.0])
    grid = factors(jobs[:, None, None], spread[:, None, None], draws=30)
    assert grid.shape == (3, 30, 50)
    for place in range(3):
        alone = factors(float(jobs[place]), float(spread[place]), draws=30)
        np.testing.assert_array_equal(grid[place], alone[0])


def test_jobs_may_differ_by_future():
    """Each future has its own mean count; the factors still have mean 1 in each."""
    jobs = np.linspace(1, 9, 40)[None, :, None]
    drawn = factors(jobs, 0.5, months=5000, draws=40)
    errors = np.sqrt(variance(jobs[..., 0], 0.5) / 5000)
    assert np.all(np.abs(drawn.mean(axis=-1) - 1) < 5.5 * errors)


def test_the_generator_is_left_as_it_was_found():
    generator = np.random.default_rng(8)
    before = generator.bit_generator.state
    one, other = (
        lump_factors(
            jobs_per_month=2.0,
            job_size_spread_fraction=0.5,
            months=4,
            draws=3,
            generator=generator,
        )
        for _ in range(2)
    )
    np.testing.assert_array_equal(one, other)
    assert generator.bit_generator.state == before


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: factors(0.0, 0.5), r"^jobs_per_month must be .* above 0 .*, got 0"),
        (lambda: factors(math.nan, 0.5), r"^jobs_per_month must be a finite"),
        (lambda: factors(2.0, -0.5), r"^job_size_spread_fraction must be .* at least 0"),
        (lambda: factors(2.0, 0.5, months=0), r"^months must be a whole number from 1"),
        (lambda: factors(2.0, 0.5, draws=0), r"^draws must be a whole number from 1"),
        (lambda: factors(np.ones((1, 7)), 0.5, draws=8), r"one for each of the 8 draws, got 7"),
        (
            lambda: lump_factors(
                jobs_per_month=1,
                job_size_spread_fraction=1,
                months=1,
                draws=1,
                generator=7,  # type: ignore[arg-type]
            ),
            r"^generator must be a random generator of numpy, got 7",
        ),
        (lambda: variance(-1, 0.5), r"^jobs_per_month must be"),
    ],
)
def test_bad_input_is_named(call, said):
    with pytest.raises(ValueError, match=said):
        call()
