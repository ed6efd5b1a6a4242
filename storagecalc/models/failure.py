"""How likely drives are to fail, and a group of them to be lost, by published rates and formulas.

Every loss probability here treats drives as independent and counts drive failures only. Real
drives of one batch, shelf or power feed fail together, and deletion, theft, fire and malice are
not counted: it is a lower bound. The whole array counts as one copy; keep others.
"""

from typing import Any

import numpy as np

from storagecalc.models.chain import GroupChain
from storagecalc.models.checks import checked, checked_whole
from storagecalc.models.units import (
    BITS_PER_BYTE,
    BYTES_PER_TB,
    HOURS_PER_MONTH,
    HOURS_PER_YEAR,
    MB_PER_TB,
    MONTHS_PER_YEAR,
    SECONDS_PER_HOUR,
    plain,
    with_month_axis,
)

DAYS_PER_YEAR = 365.0
MOST_YEARS = 1000


def loss_probability(
    *,
    drives_per_group: Any,
    parity_drives: Any,
    failures_per_drive_year: Any,
    rebuild_h: Any,
    horizon_years: Any,
    repair: str,
) -> Any:
    """Probability that a group of drives loses its data within the horizon.

    The exact solution of a chain whose states are the failed drives: from ``i`` failed the next
    fails at ``(drives - i) * rate``, and one is rebuilt at ``i / rebuild_h`` ("parallel") or
    ``1 / rebuild_h`` ("one at a time"); ``parity_drives + 1`` failed at once is the loss. Without
    parity this is ``1 - exp(-drives * rate * time)``.

    Assumes constant and independent failure rates, exponential rebuild times, a spare always at
    hand and no read errors. Failures in the field cluster, so the result is a lower bound.

    Parameters
    ----------
    drives_per_group
        Drives in one group, a whole number from 1 to 1000, more than ``parity_drives``.
    parity_drives
        Drives that may fail at once without loss, a whole number from 0 to 8; 1 for a mirror of 2.
    failures_per_drive_year
        Failures per drive-year of 8760 h, 0 or more. A rate, as open drive statistics print it,
        not the probability of failing within a year.
    rebuild_h
        Mean hours from a failure until the drive is replaced and rebuilt, from 0.001.
    horizon_years
        Years of 8760 h, 0 to 1000.
    repair
        "parallel": every failed drive is being rebuilt at once. "one at a time": one is,
        the others wait, and the formula lets each rebuild start anew. Nearly constant rebuild times
        behave like "parallel" even one at a time, so that "one at a time" is cautious.

    Returns
    -------
    float or numpy array
        Probability, 0 to 1, in the common shape of the arguments; relative error under 1e-12.

    Raises
    ------
    ValueError
        Where an argument is outside its range, or parity is not below the drives.

    References
    ----------
    P. M. Chen et al., "RAID: High-Performance, Reliable Secondary Storage", ACM Computing Surveys
    26(2), 1994, section 3.4. K. M. Greenan, J. S. Plank, J. J. Wylie, "Mean time to meaningless",
    USENIX HotStorage, 2010, section 3, for the probability within a horizon, not a mean time.

    Examples
    --------
    Two drives without parity, one failure expected in the year: 1 - 1/e.

    >>> drives = dict(drives_per_group=2, parity_drives=0, failures_per_drive_year=0.5)
    >>> round(loss_probability(**drives, rebuild_h=24, horizon_years=1, repair="parallel"), 4)
    0.6321
    """
    years = checked("horizon_years", horizon_years, at_least=0, at_most=MOST_YEARS)
    drives = GroupChain.checked_drives("drives_per_group", drives_per_group, parity_drives)
    drives = drives + np.zeros(np.shape(years))
    chain = GroupChain.of(drives, parity_drives, failures_per_drive_year, rebuild_h, repair)
    hours = np.broadcast_to(np.multiply(years, HOURS_PER_YEAR), chain.shape).ravel()
    return plain(chain.loss_probability(hours).reshape(chain.shape))


def loss_probability_by_month(
    *,
    drives_per_group_by_month: Any,
    parity_drives: Any,
    failures_per_drive_year: Any,
    rebuild_h: Any,
    repair: str,
) -> Any:
    """Probability that a group has lost its data by the end of each month, its drives changing.

    The chain of `loss_probability`, with its assumptions, walked in months of 730 h. The drives of
    a month take part from its first hour; drives that have failed stay failed when others come.

    Parameters
    ----------
    drives_per_group_by_month
        Drives in the group during each month, whole numbers up to 1000, months last, either more
        than ``parity_drives`` or 0. In a month of 0 the group is not there: it cannot be lost, and
        starts without failed drives when it comes.
    parity_drives, failures_per_drive_year, rebuild_h, repair
        As for `loss_probability`: numbers or arrays (positions, draws, 1). Rate and rebuild may
        change by month, as arrays (positions, draws, months).

    Returns
    -------
    numpy array
        Probability, 0 to 1, never falling from one month to the next, months last.

    Raises
    ------
    ValueError
        Where an argument is outside its range, or parity is not below the drives.

    Examples
    --------
    Nothing in the first month, then two drives without parity and one failure expected a month.

    >>> loss_probability_by_month(
    ...     drives_per_group_by_month=[0, 2, 2], parity_drives=0, failures_per_drive_year=6,
    ...     rebuild_h=24, repair="parallel",
    ... ).round(4).tolist()
    [0.0, 0.6321, 0.8647]
    """
    name = "drives_per_group_by_month"
    if np.shape(drives_per_group_by_month)[-1:] in ((), (0,)):
        raise ValueError(f"{name} must hold one number a month, got {drives_per_group_by_month!r}")
    parity = with_month_axis("parity_drives", parity_drives)
    drives = GroupChain.checked_drives(name, drives_per_group_by_month, parity, at_least=0)
    months = drives.shape[-1]
    rate = with_month_axis("failures_per_drive_year", failures_per_drive_year, months=months)
    rebuild = with_month_axis("rebuild_h", rebuild_h, months=months)
    chain, which = GroupChain.by_month(drives, parity, rate, rebuild, repair)
    return chain.steps(HOURS_PER_MONTH).loss_probability_by_step(which)


def mean_time_to_loss_h(
    *,
    drives_per_group: Any,
    parity_drives: Any,
    failures_per_drive_year: Any,
    rebuild_h: Any,
    repair: str,
) -> Any:
    """Mean hours until a group of drives loses its data; for checks, not for display.

    Formula: the sum of ``T[0] .. T[parity]`` with ``T[0] = 1 / l[0]`` and
    ``T[i] = 1 / l[i] + d[i] / l[i] * T[i - 1]``, where ``l`` are the failure and ``d`` the repair
    rates of the chain of `loss_probability`. Read as a lifetime it misleads: with a mean time of
    285 years 3.4 % of groups are lost within ten years. Show the probability within the horizon.

    Parameters
    ----------
    drives_per_group, parity_drives, rebuild_h, repair
        As for `loss_probability`.
    failures_per_drive_year
        Failures per drive-year of 8760 h, at least 1e-9.

    Returns
    -------
    float or numpy array
        Hours, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range, or parity is not below the drives.

    References
    ----------
    P. M. Chen et al., as for `loss_probability`, section 3.4.1; table 5 for the 285 years.

    Examples
    --------
    A mirror whose drives fail and are rebuilt once an hour: (3 + 1) / 2 h.

    >>> drives = dict(drives_per_group=2, parity_drives=1, failures_per_drive_year=8760)
    >>> mean_time_to_loss_h(**drives, rebuild_h=1, repair="parallel")
    2.0
    """
    checked("failures_per_drive_year", failures_per_drive_year, at_least=1e-9)
    drives = GroupChain.checked_drives("drives_per_group", drives_per_group, parity_drives)
    chain = GroupChain.of(drives, parity_drives, failures_per_drive_year, rebuild_h, repair)
    return plain(chain.mean_hours_to_loss().reshape(chain.shape))


def failure_rate_interval(*, failures: Any, drive_days: Any, band_fraction: Any) -> tuple[Any, Any]:
    """Lowest and highest failure rate that agree with a count of failures, per drive-year.

    Formula: ``chi2(a / 2, 2 r) / (2 T)`` and ``chi2(1 - a / 2, 2 r + 2) / (2 T)`` with ``r``
    failures, ``T`` drive-years of 365 days and ``a = 1 - band_fraction``: the exact interval. It
    holds for the drives counted, as if they failed independently, and says nothing of another model
    or batch.

    Parameters
    ----------
    failures
        Failures counted, a whole number of at least 0.
    drive_days
        Days in service summed over all drives, above 0.
    band_fraction
        How often such an interval holds the true rate, above 0 and below 1 (0.95 is usual).

    Returns
    -------
    tuple of float or numpy array
        Low and high, failures per drive-year. Without failures the low is 0 but the high is not:
        none in 22,700 drive-days still allows 0.06 per drive-year.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28, 1936, p. 437.
    NIST/SEMATECH, "e-Handbook of Statistical Methods", NIST, section 8.4.5.1.

    Examples
    --------
    No failure in one drive-year: the high end is -ln(0.025).

    >>> low, high = failure_rate_interval(failures=0, drive_days=365, band_fraction=0.95)
    >>> low, round(high, 3)
    (0.0, 3.689)
    """
    from scipy.special import gammainccinv, gammaincinv

    count = checked_whole("failures", failures, at_least=0)
    drive_years = checked("drive_days", drive_days, above=0) / DAYS_PER_YEAR
    tail = (1.0 - checked("band_fraction", band_fraction, above=0, below=1)) / 2.0
    # Half a chi-square quantile is the quantile of the gamma distribution.
    low = np.where(np.equal(count, 0), 0.0, gammaincinv(np.maximum(count, 1), tail))
    high = gammainccinv(np.add(count, 1), tail)
    return plain(low / drive_years), plain(high / drive_years)


def read_error_probability(*, read_tb: Any, errors_per_bit: Any) -> Any:
    """Probability of at least one unreadable place while so much is read.

    Formula: ``1 - (1 - errors_per_bit) ** (8e12 * read_tb)``. It matters only where no redundancy
    is left, and costs a file, not the box. Data sheets state a limit: two petabytes read in a
    published trial gave 5 events where 1e-14 promises 160. Real errors come in clusters, so the
    form is as uncertain as the rate.

    Parameters
    ----------
    read_tb
        TB read, 0 or more: in a rebuild the used part of all remaining drives.
    errors_per_bit
        Unrecoverable errors per bit read, 0 up to but not 1 (data sheets print 1e-14 or 1e-15).

    Returns
    -------
    float or numpy array
        Probability, 0 to 1, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    J. Gray, C. van Ingen, "Empirical Measurements of Disk Failure Rates and Error Rates",
    Microsoft Research, MSR-TR-2005-166, 2005, executive summary on page 1.
    P. M. Chen et al., as for `loss_probability`, section 3.4.3.

    Examples
    --------
    12.5 TB are 1e14 bits: one error expected, 1 - 1/e.

    >>> round(read_error_probability(read_tb=12.5, errors_per_bit=1e-14), 4)
    0.6321
    """
    bits = checked("read_tb", read_tb, at_least=0) * (BYTES_PER_TB * BITS_PER_BYTE)
    per_bit = checked("errors_per_bit", errors_per_bit, at_least=0, below=1)
    return plain(-np.expm1(bits * np.log1p(-per_bit)))


def shortest_rebuild_h(*, drive_tb: Any, drive_mb_s: Any) -> Any:
    """Hours to write one drive from end to end: no rebuild is shorter.

    Formula: ``drive_tb * 10**6 / drive_mb_s / 3600``. A bound, not a forecast: with people at
    work, a fault to find and a drive to fetch it takes days, and the loss probability grows with
    this time to the power ``parity_drives``.

    Parameters
    ----------
    drive_tb
        Capacity of the drive, TB, 0 or more.
    drive_mb_s
        Rate over the whole surface, MB/s, above 0: the average, not that of the outer tracks.

    Returns
    -------
    float or numpy array
        Hours, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    >>> shortest_rebuild_h(drive_tb=18, drive_mb_s=200)
    25.0
    """
    volume_mb = checked("drive_tb", drive_tb, at_least=0) * MB_PER_TB
    return volume_mb / checked("drive_mb_s", drive_mb_s, above=0) / SECONDS_PER_HOUR


def any_loss_probability(probabilities: Any) -> Any:
    """Probability that at least one of several independent things happens.

    Formula: ``1 - (1 - p[0]) * (1 - p[1]) * ...``, exact for small ones too. Where the things share
    a cause the true value lies between the greatest of them and this.

    Parameters
    ----------
    probabilities
        Probabilities, 0 to 1, of the single things (groups of a box, say) along the last axis.

    Returns
    -------
    float or numpy array
        Probability, 0 to 1, without the last axis.

    Raises
    ------
    ValueError
        Where one is outside 0 to 1.

    Examples
    --------
    >>> any_loss_probability([0.5, 0.5])
    0.75
    """
    each = np.atleast_1d(checked("probabilities", probabilities, at_least=0, at_most=1))
    with np.errstate(divide="ignore"):  # a certain loss has the logarithm minus infinity
        none_log = np.log1p(-each).sum(axis=-1)
    return plain(-np.expm1(none_log))


def expected_drive_failures_by_month(
    *, drive_count_by_month: Any, failures_per_drive_year: Any
) -> Any:
    """Drives to be replaced in each month, on average.

    Formula: ``drive_count * failures_per_drive_year / 12``.

    Parameters
    ----------
    drive_count_by_month
        Drives in service in each month, hot spares included, whole numbers of at least 0, months
        last.
    failures_per_drive_year
        Failures per drive-year, 0 or more: a number, or an array (positions, draws, 1) or
        (positions, draws, months).

    Returns
    -------
    float or numpy array
        Failures in each month; each failed drive is replaced, so the count does not fall.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    >>> expected_drive_failures_by_month(
    ...     drive_count_by_month=[0, 12, 24], failures_per_drive_year=0.02
    ... ).round(3).tolist()
    [0.0, 0.02, 0.04]
    """
    count = checked_whole("drive_count_by_month", drive_count_by_month, at_least=0)
    rate = checked("failures_per_drive_year", failures_per_drive_year, at_least=0)
    months = np.atleast_1d(count).shape[-1]
    return count * with_month_axis("failures_per_drive_year", rate, months=months) / MONTHS_PER_YEAR
