"""Series by month: growth, what is new in each month, and shifts to later or earlier months."""

import math
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_row, checked_whole
from storagecalc.models.units import MONTHS_PER_YEAR, with_month_axis


def grown_by_month(*, change_per_year: Any, months: int) -> FloatArray:
    """What 1 becomes in each month when it changes by the same share every year.

    Formula: ``(1 + change_per_year)**(t/12)`` for t = 0, 1, ... months - 1.

    Parameters
    ----------
    change_per_year
        Share by which it changes in a year, above -1; a float, an array (positions, draws) or
        (positions, draws, 1).
    months
        Number of months, 1 or more.

    Returns
    -------
    numpy array
        Shape (months,), or (positions, draws, months) where the change is an array.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    >>> grown_by_month(change_per_year=1.0, months=25)[[0, 12, 24]].tolist()
    [1.0, 2.0, 4.0]
    """
    months = checked_whole("months", months, at_least=1)
    change = checked("change_per_year", change_per_year, above=-1)
    base = 1.0 + np.asarray(with_month_axis("change_per_year", change))
    # Whole years times the months within one: a tenth of the powers that every month would take.
    years = base ** np.arange(-(-months // MONTHS_PER_YEAR))
    within = base ** (np.arange(MONTHS_PER_YEAR) / MONTHS_PER_YEAR)
    grown: FloatArray = years[..., :, np.newaxis] * within[..., np.newaxis, :]
    return grown.reshape(*base.shape[:-1], -1)[..., :months]


def new_by_month(total_by_month: Any) -> FloatArray:
    """What a running total gains in each month: its first month, then the differences.

    Parameters
    ----------
    total_by_month
        A running total in months 0, 1, ... along the last axis.

    Returns
    -------
    numpy array
        In the shape of the total; negative where it falls.

    Raises
    ------
    ValueError
        Where there is no month, or a value is not finite.

    Examples
    --------
    >>> new_by_month([2.0, 2.0, 5.0]).tolist()
    [2.0, 0.0, 3.0]
    """
    total = checked_row("total_by_month", total_by_month)
    new: FloatArray = total.copy()
    new[..., 1:] -= total[..., :-1]
    return new


def delayed(by_month: Any, *, delay_months: Any) -> FloatArray:
    """A series with each entry later: it starts with zeros, and what passes the end is dropped.

    Parameters
    ----------
    by_month
        Any amount in months 0, 1, ... along the last axis.
    delay_months
        Months to wait, 0 or more, rounded up to whole months; a float, or an array whose last axis
        has length 1.

    Returns
    -------
    numpy array
        In the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where there is no month, the delay changes by month, or a value is outside its range.

    Examples
    --------
    >>> delayed([1.0, 2.0, 3.0], delay_months=1).tolist()
    [0.0, 1.0, 2.0]
    """
    series, delay = _checked_pair(by_month, "delay_months", delay_months)
    months = series.shape[-1]
    moved = np.zeros(_common_shape(series, delay))
    for shift, where in _shifts(delay):
        np.copyto(moved[..., shift:], series[..., : months - shift], where=where)
    return moved


def advanced(by_month: Any, *, lead_months: Any) -> FloatArray:
    """A series with each entry earlier: the last one is repeated at the end.

    What must be in place in month t + lead is ordered in month t; what must be sooner than that is
    ordered in month 0.

    Parameters
    ----------
    by_month
        A running total in months 0, 1, ... along the last axis.
    lead_months
        Months ahead, 0 or more, rounded up to whole months; a float, or an array whose last axis
        has length 1.

    Returns
    -------
    numpy array
        In the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where there is no month, the lead changes by month, or a value is outside its range.

    Examples
    --------
    >>> advanced([0.0, 0.0, 1.0], lead_months=1).tolist()
    [0.0, 1.0, 1.0]
    """
    series, lead = _checked_pair(by_month, "lead_months", lead_months)
    months = series.shape[-1]
    moved = np.empty(_common_shape(series, lead))
    moved[...] = series[..., -1:]
    for shift, where in _shifts(lead):
        np.copyto(moved[..., : months - shift], series[..., shift:], where=where)
    return moved


def _shifts(by_draw: Any) -> list[tuple[int, Any]]:
    """The shifts there are, and where each holds.

    Draws may differ, but distinct shifts are few: one copy for each is faster than a look-up.
    """
    if by_draw.size == 1:
        return [(int(by_draw.item()), True)]
    return [(int(shift), by_draw == shift) for shift in np.unique(by_draw)]


def _common_shape(series: FloatArray, shift: Any) -> tuple[int, ...]:
    return (*np.broadcast(series[..., :1], shift).shape[:-1], series.shape[-1])


def _checked_pair(by_month: Any, name: str, shift: Any) -> tuple[FloatArray, Any]:
    series = checked_row("by_month", by_month)
    span = checked(name, shift, at_least=0)
    if isinstance(span, float):
        return series, np.int64(min(math.ceil(span), series.shape[-1]))
    whole = np.ceil(span)
    if whole.shape[-1] != 1:
        raise ValueError(
            f"{name} must not change by month (a last axis of length 1), got shape {whole.shape}"
        )
    # No series is longer than its months, so a huge shift need not overflow an integer.
    return series, np.minimum(whole, series.shape[-1]).astype(np.int64)
