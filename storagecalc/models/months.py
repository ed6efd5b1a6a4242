"""Moving a series along its months: what arrives later, or must be ordered sooner."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_row


def delayed(by_month: Any, *, delay_months: Any) -> FloatArray:
    """The same by month, each entry later; what leaves the end is dropped, zeros come in.

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
    moved = np.zeros((*np.broadcast_shapes(series.shape[:-1], delay.shape[:-1]), months))
    # Delays differ by draw but are few in number: one copy for each is faster than a look-up.
    for shift in np.unique(delay):
        late = moved[..., shift:]
        np.copyto(late, series[..., : months - shift], where=delay == shift)
    return moved


def hastened(by_month: Any, *, lead_months: Any) -> FloatArray:
    """The same by month, each entry earlier; the last entry goes on beyond the end.

    What must stand in month t + lead has to be ordered in month t. What must stand sooner than a
    lead time from now is ordered in month 0.

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
    >>> hastened([0.0, 0.0, 1.0], lead_months=1).tolist()
    [0.0, 1.0, 1.0]
    """
    series, lead = _checked_pair(by_month, "lead_months", lead_months)
    months = series.shape[-1]
    moved = np.empty((*np.broadcast_shapes(series.shape[:-1], lead.shape[:-1]), months))
    moved[...] = series[..., -1:]
    for shift in np.unique(lead):
        early = moved[..., : months - shift]
        np.copyto(early, series[..., shift:], where=lead == shift)
    return moved


def _checked_pair(by_month: Any, name: str, shift: Any) -> tuple[FloatArray, Any]:
    series = checked_row("by_month", by_month)
    whole = np.ceil(np.asarray(checked(name, shift, at_least=0)))
    if whole.ndim and whole.shape[-1] != 1:
        raise ValueError(
            f"{name} must not change by month (a last axis of length 1), got shape {whole.shape}"
        )
    # No series is longer than its months, so a huge shift need not overflow an integer.
    return series, np.minimum(whole, series.shape[-1]).astype(np.int64)
