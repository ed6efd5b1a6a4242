"""Work comes in jobs, none in one month and three in the next, some small and some large.

So one month brings more footage than another under the same yearly plan. A factor of mean 1 on each
month says how much more.
"""

import copy
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_whole
from storagecalc.models.units import plain, with_month_axis

# A spread below this is lost in the digits of a sum of jobs: they count as equally large.
LEAST_SPREAD_FRACTION = 1e-8
# More than this and the count no longer fits the generator.
MOST_JOBS = 1e12


def lump_factors(
    *,
    jobs_per_month: Any,
    job_size_spread_fraction: Any,
    months: int,
    draws: int,
    generator: np.random.Generator,
) -> FloatArray:
    """What each month brings in each future, as a multiple of what it brings on average.

    Each month has a Poisson count of jobs, independent of other months, and each job a gamma size
    of mean 1. Formula: ``(sum of the sizes of N jobs) / jobs_per_month`` with N from Poisson(jobs).
    The sum of N sizes is itself one gamma number, of shape ``N / spread**2``, so that no job is
    drawn alone. Mean 1, variance as of ``lump_variance``.

    The model is a compound Poisson sum; it leaves out seasons, jobs that run over many months, and
    one large job keeping others away.

    Parameters
    ----------
    jobs_per_month
        Mean count of jobs in a month, above 0; a float, an array (positions, draws) or an array
        (positions, draws, 1).
    job_size_spread_fraction
        Standard deviation of a job's size as a share of its mean, 0 or more; shapes as above.
    months
        Number of months, 1 or more.
    draws
        Number of futures, 1 or more.
    generator
        Where the random numbers come from. It is left as it was found, so the same generator gives
        the same factors, and more months leave the first ones as they were. Every position starts
        from it, so that a position on a grid has the futures it has alone.

    Returns
    -------
    numpy array
        Factors, 0 or more, of shape (positions, draws, months), with one position for floats.

    Raises
    ------
    ValueError
        Where a value is outside its range or does not fit the number of draws.

    References
    ----------
    S. A. Klugman, H. H. Panjer, G. E. Willmot, "Loss Models: From Data to Decisions", 5th ed.,
    Wiley, 2019, sections 9.3 and 9.4: compound sums, and the sum of gammas.

    Examples
    --------
    Very many jobs leave every month at its mean.

    >>> factors = lump_factors(
    ...     jobs_per_month=1e12, job_size_spread_fraction=0.5, months=3, draws=2,
    ...     generator=np.random.default_rng(1),
    ... )
    >>> factors.shape, factors.round(3).tolist()
    ((1, 2, 3), [[[1.0, 1.0, 1.0], [1.0, 1.0, 1.0]]])
    """
    jobs, spread = _checked_pair(jobs_per_month, job_size_spread_fraction)
    shape = (
        checked_whole("draws", draws, at_least=1),
        checked_whole("months", months, at_least=1),
    )
    if not isinstance(generator, np.random.Generator):
        raise ValueError(f"generator must be a random generator of numpy, got {generator!r:.60}")
    jobs, spread = np.broadcast_arrays(_by_draw(jobs), _by_draw(spread))
    if jobs.shape[1] not in (1, shape[0]):
        raise ValueError(
            f"jobs_per_month and job_size_spread_fraction must be one number or one for each of"
            f" the {shape[0]} draws, got {jobs.shape[1]}"
        )
    return np.stack(
        [
            _factors(one, spread_of_one, shape, copy.deepcopy(generator))
            for one, spread_of_one in zip(jobs, spread, strict=True)
        ]
    )


def lump_variance(*, jobs_per_month: Any, job_size_spread_fraction: Any) -> Any:
    """The variance of one month's footage, as a share of its squared mean.

    Formula: ``(1 + spread**2) / jobs``; its square root is the month's coefficient of variation,
    and for the sum of n months jobs is n times as large.

    Parameters
    ----------
    jobs_per_month
        Mean count of jobs in a month, above 0; a float or an array of any shape.
    job_size_spread_fraction
        Standard deviation of a job's size as a share of its mean, 0 or more.

    Returns
    -------
    float or numpy array
        Variance of the factors of ``lump_factors``, in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where a value is outside its range.

    References
    ----------
    S. A. Klugman, H. H. Panjer, G. E. Willmot, "Loss Models: From Data to Decisions", 5th ed.,
    Wiley, 2019, section 9.3: the variance of a compound Poisson sum is the mean count times the
    mean of the squared size.

    Examples
    --------
    >>> lump_variance(jobs_per_month=4, job_size_spread_fraction=1)
    0.5
    """
    jobs, spread = _checked_pair(jobs_per_month, job_size_spread_fraction)
    return plain((1.0 + spread**2) / jobs)


def _checked_pair(jobs_per_month: Any, job_size_spread_fraction: Any) -> tuple[Any, Any]:
    return (
        checked("jobs_per_month", jobs_per_month, above=0, at_most=MOST_JOBS),
        checked("job_size_spread_fraction", job_size_spread_fraction, at_least=0, at_most=1e6),
    )


def _by_draw(value: Any) -> FloatArray:
    """The value with the axes (positions, draws, 1)."""
    values = np.asarray(with_month_axis("jobs_per_month", value), dtype=np.float64)
    return values.reshape((1,) * (3 - values.ndim) + values.shape)


def _factors(
    jobs: FloatArray, spread: FloatArray, shape: tuple[int, int], stream: np.random.Generator
) -> FloatArray:
    # Months come first, and counts and sizes each have their own numbers, so that more months leave
    # those before them as they were, and another spread the counts.
    own_of_sizes = np.random.default_rng(stream.integers(2**63, size=2))
    counts = stream.poisson(jobs[:, 0], shape[::-1]).astype(np.float64)
    alike = spread < LEAST_SPREAD_FRACTION
    variance = np.where(alike, 1.0, spread) ** 2
    sizes = own_of_sizes.standard_gamma(counts / variance[:, 0])
    factors: FloatArray = np.ascontiguousarray(sizes.T) * (variance / jobs)
    return np.where(alike, counts.T / jobs, factors) if alike.any() else factors
