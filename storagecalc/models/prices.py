"""Price paths: what a thing costs in each month."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_row, checked_whole
from storagecalc.models.months import grown_by_month
from storagecalc.models.units import MONTHS_PER_YEAR, with_month_axis


def price_by_month(*, price_today: Any, change_per_year: Any, months: int) -> FloatArray:
    """The price in each month when it changes by the same share every year.

    Formula: ``price_today * (1 + change_per_year)**(t/12)`` for t = 0, 1, ... months - 1; month 0
    is today.

    A smooth path is an assumption: prices of drives have also stood still for years and risen by
    half within months. Compare more than one ``change_per_year``, and let the path stray
    (``stray_factors``) and jump (``shortage_factors``).

    Parameters
    ----------
    price_today
        Price in month 0, 0 or more, in any currency; a float, or an array (positions, draws)
        or (positions, draws, 1).
    change_per_year
        Share by which the price changes in a year, above -1: -0.1 falls by a tenth a year; a float
        or an array as above.
    months
        Number of months, 1 or more.

    Returns
    -------
    numpy array
        Prices of shape (months,), or (positions, draws, months) where an argument is an array.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    >>> price_by_month(price_today=100.0, change_per_year=0.0, months=3).tolist()
    [100.0, 100.0, 100.0]
    """
    price = with_month_axis("price_today", checked("price_today", price_today, at_least=0))
    prices: FloatArray = price * grown_by_month(change_per_year=change_per_year, months=months)
    return prices


def stray_factors(*, shock_per_year: Any, shares_by_year: Any, months: int) -> FloatArray:
    """How far off its trend a price is in each month when every year's change strays from it.

    Formula: ``exp(shock_per_year * w)`` with w the sum of all strays so far, each the quantile of a
    normal number of mean 0 and deviation 1: at the start of year k the strays of the years before
    it, and in between a straight line to the start of the next.

    A random walk with drift, the trend being its drift: what a year has strayed stays. Half of all
    paths lie above the trend; the mean lies above it by a factor ``exp(shock**2 * years / 2)``.

    Parameters
    ----------
    shock_per_year
        Standard deviation of the yearly change of the price's logarithm, 0 or more; a float, an
        array (positions, draws) or (positions, draws, 1).
    shares_by_year
        What share of all years strays less than this one, above 0 and below 1, along the last axis:
        0.5 keeps to the trend, 0.9 is dearer than nine in ten. At least as many years as the months
        begin; drawn evenly and independently they make the walk.
    months
        Number of months, 1 or more.

    Returns
    -------
    numpy array
        Factors above 0, 1 in month 0, of shape (months,) or (positions, draws, months).

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range, or there are too few years.

    References
    ----------
    R. J. Hyndman, G. Athanasopoulos, "Forecasting: Principles and Practice", 3rd ed., OTexts, 2021,
    section 5.2: the random walk with drift; the place from memory.

    Examples
    --------
    A year at one standard deviation of 0.1 above the trend, then one on it.

    >>> factors = stray_factors(shock_per_year=0.1, shares_by_year=[0.8413, 0.5], months=24)
    >>> factors[[0, 12, 23]].round(3)
    array([1.   , 1.105, 1.105])
    """
    from scipy.special import ndtri

    months = checked_whole("months", months, at_least=1)
    shock = with_month_axis("shock_per_year", checked("shock_per_year", shock_per_year, at_least=0))
    shares = checked("shares_by_year", shares_by_year, above=0, below=1)
    count, years = checked_row("shares_by_year", shares).shape[-1], -(-months // MONTHS_PER_YEAR)
    if count < years:
        raise ValueError(f"shares_by_year must have one for each of {years} years, got {count}")
    strays = ndtri(shares[..., :years])
    before = np.cumsum(strays, axis=-1) - strays
    within = np.arange(MONTHS_PER_YEAR) / MONTHS_PER_YEAR
    walk = before[..., np.newaxis] + strays[..., np.newaxis] * within
    factors: FloatArray = np.exp(shock * walk.reshape(*strays.shape[:-1], -1)[..., :months])
    return factors


def shortage_factors(
    *,
    price_factor: Any,
    begins_after_months: Any,
    lasts_months: Any,
    recovery_months: Any,
    months: int,
) -> FloatArray:
    """What a price is multiplied by in each month when it jumps for a while and then returns.

    Formula: ``1 + (price_factor - 1) * share``; in month t from ``begins_after_months`` on, the
    share of the jump is ``(begins + lasts + recovery - t) / (recovery + 1)``, at most 1 and at
    least 0, before that 0. So it is 1 for ``lasts_months`` whole months, then falls in equal steps;
    a month that the jump lasts in part counts by that part.

    Prices are taken to be known at the start of each month; a slow rise is left out, and so is that
    drives may not be had at all: put that into the time from order to ready.

    Parameters
    ----------
    price_factor
        Price in the shortage over the price without it, above 0; below 1 it is a glut. A float, an
        array (positions, draws) or (positions, draws, 1), as are the next three.
    begins_after_months
        Month in which it begins, 0 or more.
    lasts_months
        Months for which the jump lasts in full, 0 or more.
    recovery_months
        Months from then on in which part of it is left, 0 or more; 0 is back at once.
    months
        Number of months, 1 or more.

    Returns
    -------
    numpy array
        Factors above 0 of shape (months,), or (positions, draws, months) where an argument is an
        array.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    Half as much again for two months, then back within one.

    >>> shortage_factors(
    ...     price_factor=1.5, begins_after_months=1, lasts_months=2, recovery_months=1, months=6
    ... ).tolist()
    [1.0, 1.5, 1.5, 1.25, 1.0, 1.0]
    """
    factor = with_month_axis("price_factor", checked("price_factor", price_factor, above=0))
    begins, lasts, recovery = (
        with_month_axis(name, checked(name, value, at_least=0))
        for name, value in (
            ("begins_after_months", begins_after_months),
            ("lasts_months", lasts_months),
            ("recovery_months", recovery_months),
        )
    )
    age = np.arange(checked_whole("months", months, at_least=1)) - begins
    share = np.clip((lasts + recovery - age) / (recovery + 1.0), 0.0, 1.0) * (age >= 0)
    factors: FloatArray = 1.0 + (factor - 1.0) * share
    return factors
