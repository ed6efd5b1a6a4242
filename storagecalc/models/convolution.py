"""Convolution along the months, right to the last digit and fast for thousands of draws.

No Fourier transform and no differences of running sums, so that a small sum of small terms is right
next to a large one.
"""

from itertools import pairwise
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked_row, checked_whole


def convolved(*, series_by_month: Any, kernel_by_age: Any) -> FloatArray:
    """A series convolved with a kernel along the last axis, cut to the length of the series.

    Formula: ``result[t] = sum over a from 0 to t of series[t - a] * kernel[a]``.

    Parameters
    ----------
    series_by_month
        Any amount, months along the last axis: (months,) or (positions, draws, months).
    kernel_by_age
        Weight of what is a months old, ages along the last axis; beyond its end the weight is 0.

    Returns
    -------
    numpy array
        In the shape the arguments broadcast to, with the months of the series.

    Raises
    ------
    ValueError
        Where an argument has no last axis to sum along, or is not finite.

    Examples
    --------
    >>> convolved(series_by_month=[1.0, 2.0, 3.0], kernel_by_age=[0.0, 1.0, 0.5]).tolist()
    [0.0, 1.0, 2.5]
    """
    series = checked_row("series_by_month", series_by_month)
    kernel = checked_row("kernel_by_age", kernel_by_age)
    months = series.shape[-1]
    # Ages without weight at either end are left out: what moves away has none for long.
    weighed = np.flatnonzero(kernel[..., :months].any(axis=tuple(range(kernel.ndim - 1))))
    youngest, oldest = (weighed[0], weighed[-1]) if weighed.size else (0, 0)
    kernel = kernel[..., youngest : oldest + 1]
    before = np.zeros((*series.shape[:-1], oldest))
    padded = np.concatenate([before, series[..., : months - youngest]], axis=-1)
    return _weighted_windows(padded, kernel[..., ::-1])


def sums_ahead(*, weight_by_age: Any, curve_by_age: Any, months: int) -> FloatArray:
    """What a weighted past adds up to in each month ahead, as it moves along a curve.

    Formula: ``result[t] = sum over a of weight[a] * curve[a + t]`` for t = 0, 1, ... months - 1.

    Parameters
    ----------
    weight_by_age
        How much of each age there is at the start, 0 or more, ages along the last axis.
    curve_by_age
        What one of an age counts, ages along the last axis; at least as many as the weights and
        the months together, less one.
    months
        Number of months ahead, 1 or more.

    Returns
    -------
    numpy array
        In the shape the arguments broadcast to, months along the last axis.

    Raises
    ------
    ValueError
        Where the curve is too short, or an argument is not finite or outside its range.

    Examples
    --------
    >>> sums_ahead(weight_by_age=[1.0, 1.0], curve_by_age=[1.0, 0.5, 0.0], months=2).tolist()
    [1.5, 0.5]
    """
    weight = checked_row("weight_by_age", weight_by_age, at_least=0)
    curve = checked_row("curve_by_age", curve_by_age)
    past = weight.shape[-1]
    ages = past - 1 + checked_whole("months", months, at_least=1)
    if curve.shape[-1] < ages:
        raise ValueError(f"curve_by_age must have at least {ages} ages, got {curve.shape[-1]}")
    curve = curve[..., :ages]
    if weight.size == past:
        return _met_by_levels(curve, weight.reshape(past))
    return _weighted_windows(curve, weight)


def _met_by_levels(curve: FloatArray, weight: FloatArray) -> FloatArray:
    """The same for one row of weights: what each level of the curves meets of it, times the level.

    Curves are stairs of few steps, and all of them have their steps at the same few ages.
    """
    rises = (curve[..., 1:] != curve[..., :-1]).any(axis=tuple(range(curve.ndim - 1)))
    first = np.concatenate([[0], np.flatnonzero(rises) + 1])
    inside = np.zeros((first.size, curve.shape[-1]))
    for level, (start, end) in enumerate(pairwise([*first, None])):
        inside[level, start:end] = 1.0
    met = _weighted_windows(inside, weight)
    sums: FloatArray = np.einsum("...l,lt->...t", np.ascontiguousarray(curve[..., first]), met)
    return sums


def _weighted_windows(series: FloatArray, weights: FloatArray) -> FloatArray:
    """The weighted sum of each stretch of a series that is as long as the weights."""
    length = weights.shape[-1]
    windows = np.lib.stride_tricks.sliding_window_view(series, length, axis=-1)
    sums: FloatArray = np.einsum("...ta,...a->...t", windows, np.ascontiguousarray(weights))
    return sums
