"""Convolution along the months, right to the last digit and fast for thousands of draws."""

import math
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked_row, checked_whole

# Steps of a kernel up to which windows of the running sum are faster than month by month, and the
# largest month over the smallest up to which their differences lose nothing that counts.
MOST_STEPS = 8
EVEN_RATIO = 20.0


def convolved(*, series_by_month: Any, kernel_by_age: Any) -> FloatArray:
    """A series convolved with a kernel along the last axis, cut to the length of the series.

    Formula: ``result[t] = sum over a from 0 to t of series[t - a] * kernel[a]``. No Fourier
    transform, so that a small sum of small terms is right next to a large one; differences of
    running sums only for a kernel of few steps and a series without a small month beside a large
    one, where they are right within 1e-11.

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
    if kernel.shape[-1] < months:
        missing = months - kernel.shape[-1]
        kernel = np.pad(kernel, [(0, 0)] * (kernel.ndim - 1) + [(0, missing)])
    kernel = kernel[..., :months]
    edges = _steps_of(kernel)
    if len(edges) > MOST_STEPS:
        return _by_months(series, kernel)
    result = _by_windows(series, kernel, edges)
    uneven = _unevenly_filled(series)
    if uneven.any():
        # Row by row, so that no draw changes the digits of another.
        where = np.broadcast_to(uneven, result.shape[:-1])
        rows = [np.broadcast_to(each, result.shape)[where] for each in (series, kernel)]
        result[where] = _by_months(*rows)
    return result


def sums_ahead(*, weight_by_age: Any, curve_by_age: Any, months: int) -> FloatArray:
    """What a weighed past adds up to in each month ahead, while it moves along a curve.

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
    edges = [0, *_steps_of(curve)]
    if weight.size == past and len(edges) <= MOST_STEPS:
        return _by_level(weight.ravel(), curve, edges)
    later = np.lib.stride_tricks.sliding_window_view(curve, past, axis=-1)
    sums: FloatArray = np.einsum("...ta,...a->...t", later, weight)
    return sums


def _by_level(weight: FloatArray, curve: FloatArray, edges: list[int]) -> Any:
    """The sums along a curve of few levels: each counts the weights that it meets."""
    sums: Any = 0.0
    for edge, end in zip(edges, [*edges[1:], curve.shape[-1]], strict=True):
        here = np.zeros(curve.shape[-1])
        here[edge:end] = 1.0
        sums += curve[..., edge : edge + 1] * np.correlate(here, weight, "valid")
    return sums


def _steps_of(kernel: FloatArray) -> list[int]:
    """The ages at which a kernel changes in any draw, after the first."""
    changes = kernel[..., 1:] != kernel[..., :-1]
    in_any = changes.reshape(math.prod(changes.shape[:-1]), -1).any(axis=0)
    return [age + 1 for age in in_any.nonzero()[0].tolist()]


def _unevenly_filled(series: FloatArray) -> Any:
    """Rows in which a month is so small beside another that running sums would lose it."""
    return series.min(axis=-1) * EVEN_RATIO < series.max(axis=-1)


def _by_windows(series: FloatArray, kernel: FloatArray, edges: list[int]) -> FloatArray:
    """The convolution with a kernel of few steps: each step weighs a window of the running sum."""
    months = series.shape[-1]
    so_far = np.cumsum(series, axis=-1)
    result: FloatArray = kernel[..., :1] * so_far
    for age in edges:
        # From this age on the weight is another: add the difference of the two weights.
        weight = kernel[..., age : age + 1] - kernel[..., age - 1 : age]
        result[..., age:] += weight * so_far[..., : months - age]
    return result


def _by_months(series: FloatArray, kernel: FloatArray) -> FloatArray:
    """The convolution with any kernel, month by month over all draws at once."""
    months = series.shape[-1]
    shape = np.broadcast_shapes(series.shape, kernel.shape)
    if math.prod(shape) == months:
        # A row by itself would be added up in another order than beside others.
        row, ages = (np.broadcast_to(each, shape).reshape(1, months) for each in (series, kernel))
        return _by_months(np.repeat(row, 2, axis=0), ages)[0].reshape(shape)
    # Months first: each month is then one sweep over contiguous rows of all draws. One piece of
    # memory for all three arrays, because fetching it in small ones takes a third of the time.
    room = np.empty(series.size + kernel.size + math.prod(shape))
    parts = np.split(room, [series.size, series.size + kernel.size])
    shapes = (series.shape, kernel.shape, shape)
    rows, back, out = (
        part.reshape(months, *of[:-1]) for part, of in zip(parts, shapes, strict=True)
    )
    rows[...] = np.moveaxis(series, -1, 0)
    back[...] = np.moveaxis(kernel, -1, 0)[::-1]
    for month in range(months):
        earlier = rows[: month + 1]
        np.einsum("a...,a...->...", earlier, back[months - 1 - month :], out=out[month])
    return np.ascontiguousarray(np.moveaxis(out, 0, -1))
