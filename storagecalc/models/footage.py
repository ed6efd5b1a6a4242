"""Footage: what is recorded, how keep rules thin it with age, and what is held month by month.

A month's footage has age 0 at the end of the month it is recorded in, age 1 a month later. A curve
by age says what share of it is still there (keep curve) or has gone to some place (moved curve).
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_row, checked_whole
from storagecalc.models.convolution import convolved, sums_ahead
from storagecalc.models.units import BITS_PER_BYTE, MB_PER_TB, SECONDS_PER_HOUR, with_month_axis


def recorded_tb_per_month(
    *, shoot_days_per_month: Any, cameras: Any, hours_per_camera_day: Any, mbit_s: Any
) -> Any:
    """TB that come in from cameras in a month.

    Formula: ``days * cameras * hours * 3600 * mbit_s / 8 / 10**6``.

    Parameters
    ----------
    shoot_days_per_month
        Shoot days in the month, 0 or more; an average need not be whole.
    cameras
        Cameras that record on a shoot day, 0 or more.
    hours_per_camera_day
        Hours one camera records on a shoot day, 0 to 24.
    mbit_s
        Recording rate in Mb/s (10^6 bits a second), 0 or more.

    Returns
    -------
    float or numpy array
        TB (10^12 bytes) a month, in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    >>> recorded_tb_per_month(
    ...     shoot_days_per_month=10, cameras=2, hours_per_camera_day=5, mbit_s=80
    ... )
    3.6
    """
    hours = (
        checked("shoot_days_per_month", shoot_days_per_month, at_least=0)
        * checked("cameras", cameras, at_least=0)
        * checked("hours_per_camera_day", hours_per_camera_day, at_least=0, at_most=24)
    )
    tb_per_mbit = 1 / (BITS_PER_BYTE * MB_PER_TB)
    return hours * checked("mbit_s", mbit_s, at_least=0) * (SECONDS_PER_HOUR * tb_per_mbit)


def keep_fraction_by_age(
    *, after_months: Sequence[Any], keep_fractions: Sequence[Any], months: int
) -> FloatArray:
    """The share of what was recorded that is still held, by age in months.

    A step curve: 1 until the first of ``after_months``, then the keep fraction that belongs to it,
    and so on. What has gone does not come back: a later fraction above an earlier one changes
    nothing.

    Parameters
    ----------
    after_months
        Ages from which each rule holds, 0 or more, never falling from one rule to the next. Each a
        float, an array (positions, draws) or an array (positions, draws, 1).
    keep_fractions
        For each of them the share of what was recorded that is held from then on, 0 to 1; shapes
        as above.
    months
        Number of ages, 1 or more: 0, 1, ... months - 1.

    Returns
    -------
    numpy array
        Shape (months,), or (positions, draws, months) where a rule is an array.

    Raises
    ------
    ValueError
        Where the lists differ in length, ages fall, or a value is outside its range.

    Examples
    --------
    >>> keep_fraction_by_age(after_months=[2], keep_fractions=[0.25], months=4).tolist()
    [1.0, 1.0, 0.25, 0.25]
    """
    return _stepped(1.0, _shares_by_rule(after_months, keep_fractions), months)


def moved_fraction_by_age(
    *,
    after_months: Sequence[Any],
    keep_fractions: Sequence[Any],
    goes_there: Sequence[bool],
    months: int,
) -> FloatArray:
    """The share of what was recorded that has been moved to one place, by age in months.

    The sum of what the rules that send footage to the place take off the keep curve.

    Parameters
    ----------
    after_months, keep_fractions, months
        As in ``keep_fraction_by_age``.
    goes_there
        For each rule whether what it takes off the box goes to the place.

    Returns
    -------
    numpy array
        Shape as of the keep curve; never falls with age.

    Raises
    ------
    ValueError
        Where the lists differ in length, ages fall, or a value is outside its range.

    Examples
    --------
    >>> moved_fraction_by_age(
    ...     after_months=[1, 3], keep_fractions=[0.5, 0.0], goes_there=[True, False], months=4
    ... ).tolist()
    [0.0, 0.5, 0.5, 0.5]
    """
    rules = _shares_by_rule(after_months, keep_fractions)
    if len(goes_there) != len(rules):
        raise ValueError(
            f"goes_there must have one entry for each of the {len(rules)} after_months, "
            f"got {len(goes_there)}"
        )
    steps = []
    kept, moved = 1.0, 0.0
    for (start, share), there in zip(rules, goes_there, strict=True):
        # Rounding of the sum must not let more have gone than is missing.
        moved = np.minimum(moved + (kept - share) * bool(there), 1 - share)
        kept = share
        steps.append((start, moved))
    return _stepped(0.0, steps, months)


def held_tb(
    *, intake_tb_by_month: Any, keep_fraction_by_age: Any, stored_today_tb_by_month: Any
) -> FloatArray:
    """TB held at the end of each month.

    Formula: ``held[t] = sum over a of intake[t - a] * keep[a] + stored_today[t]``. With the moved
    curve in place of the keep curve: TB held in that place.

    Parameters
    ----------
    intake_tb_by_month
        TB recorded in months 0, 1, ... along the last axis, 0 or more.
    keep_fraction_by_age
        Share still there at ages 0, 1, ... months along the last axis, 0 to 1; beyond its end
        nothing is there.
    stored_today_tb_by_month
        What is left of the footage stored today by the end of each month, 0 or more.

    Returns
    -------
    numpy array
        Shape (months,), or (positions, draws, months).

    Raises
    ------
    ValueError
        Where an argument has no month axis, is not finite or is outside its range.

    Examples
    --------
    >>> held_tb(
    ...     intake_tb_by_month=[4.0, 4.0, 4.0], keep_fraction_by_age=[1.0, 0.5],
    ...     stored_today_tb_by_month=10.0,
    ... ).tolist()
    [14.0, 16.0, 16.0]
    """
    intake = checked_row("intake_tb_by_month", intake_tb_by_month, at_least=0)
    keep = checked_row("keep_fraction_by_age", keep_fraction_by_age, at_least=0, at_most=1)
    stored = checked("stored_today_tb_by_month", stored_today_tb_by_month, at_least=0)
    held: FloatArray = convolved(series_by_month=intake, kernel_by_age=keep) + stored
    return held


def stored_today_tb(
    *, stored_tb: Any, oldest_months: Any, keep_fraction_by_age: Any, months: int
) -> FloatArray:
    """TB left by the end of each month of the footage stored today.

    It is taken to have been recorded evenly over the last ``oldest_months`` months and thinned by
    the same keep curve. Formula: ``stored * sum_a w[a] keep[a + t + 1] / sum_a w[a] keep[a]``,
    where a = 0 is last month and w[a] is the part of that month within the last ``oldest_months``.

    Parameters
    ----------
    stored_tb
        TB stored today, 0 or more; a float, an array (positions, draws) or (positions, draws, 1).
    oldest_months
        Age in months of the oldest of it, above 0; shapes as above.
    keep_fraction_by_age
        Share still there at ages 0, 1, ... along the last axis, 0 to 1, never rising; at least
        ``months + oldest_months`` ages long.
    months
        Number of months ahead, 1 or more.

    Returns
    -------
    numpy array
        Shape (months,), or (positions, draws, months).

    Raises
    ------
    ValueError
        Where the curve is too short, rises or leaves nothing of what is stored, or a value is
        outside its range.

    Examples
    --------
    >>> stored_today_tb(
    ...     stored_tb=8.0, oldest_months=2, keep_fraction_by_age=[1.0, 1.0, 0.5, 0.0, 0.0], months=3
    ... ).tolist()
    [6.0, 2.0, 0.0]
    """
    keep = checked_row("keep_fraction_by_age", keep_fraction_by_age, at_least=0, at_most=1)
    if (keep[..., 1:] > keep[..., :-1]).any():
        raise ValueError("keep_fraction_by_age must never rise with age, got a curve that does")
    weights, recorded = _stored_weights(stored_tb, oldest_months, keep, months)
    left: FloatArray = recorded * sums_ahead(
        weight_by_age=weights, curve_by_age=keep[..., 1:], months=months
    )
    return left


def recorded_before_today_tb_by_age(
    *, stored_tb: Any, oldest_months: Any, keep_fraction_by_age: Any
) -> FloatArray:
    """TB recorded in each past month, from which the keep rules left what is stored today.

    The same assumptions as ``stored_today_tb``. Formula: ``stored * w[a] / sum_a w[a] keep[a]``.

    Parameters
    ----------
    stored_tb, oldest_months, keep_fraction_by_age
        As in ``stored_today_tb``; the curve may end after ``oldest_months`` ages.

    Returns
    -------
    numpy array
        Past months along the last axis, last month first: as many as the highest ``oldest_months``,
        rounded up.

    Raises
    ------
    ValueError
        As in ``stored_today_tb``, but for a curve that rises.

    Examples
    --------
    >>> recorded_before_today_tb_by_age(
    ...     stored_tb=6.0, oldest_months=2, keep_fraction_by_age=[1.0, 0.5]
    ... ).tolist()
    [4.0, 4.0]
    """
    keep = checked_row("keep_fraction_by_age", keep_fraction_by_age, at_least=0, at_most=1)
    weights, recorded = _stored_weights(stored_tb, oldest_months, keep, months=0)
    by_age: FloatArray = recorded * weights
    return by_age


def moved_from_stored_tb(
    *,
    stored_tb: Any,
    oldest_months: Any,
    keep_fraction_by_age: Any,
    moved_fraction_by_age: Any,
    months: int,
) -> FloatArray:
    """TB of the footage stored today that have been moved to one place by the end of each month.

    What had been moved there before today is not counted. The same assumptions as
    ``stored_today_tb``.

    Parameters
    ----------
    stored_tb, oldest_months, keep_fraction_by_age, months
        As in ``stored_today_tb``.
    moved_fraction_by_age
        Share moved to the place by ages 0, 1, ... along the last axis, 0 to 1, never falling; as
        long as the keep curve.

    Returns
    -------
    numpy array
        Shape (months,), or (positions, draws, months); never falls.

    Raises
    ------
    ValueError
        As in ``stored_today_tb``, and where the moved curve falls or differs in length.

    Examples
    --------
    >>> moved_from_stored_tb(
    ...     stored_tb=8.0, oldest_months=2, keep_fraction_by_age=[1.0, 1.0, 0.5, 0.0, 0.0],
    ...     moved_fraction_by_age=[0.0, 0.0, 0.5, 0.5, 0.5], months=3,
    ... ).tolist()
    [2.0, 4.0, 4.0]
    """
    keep = checked_row("keep_fraction_by_age", keep_fraction_by_age, at_least=0, at_most=1)
    moved = checked_row("moved_fraction_by_age", moved_fraction_by_age, at_least=0, at_most=1)
    if moved.shape[-1] != keep.shape[-1]:
        raise ValueError(
            f"moved_fraction_by_age must have as many ages as keep_fraction_by_age "
            f"({keep.shape[-1]}), got {moved.shape[-1]}"
        )
    new_by_age = np.diff(moved, axis=-1)
    if (new_by_age < 0).any():
        raise ValueError("moved_fraction_by_age must never fall with age, got a curve that does")
    weights, recorded = _stored_weights(stored_tb, oldest_months, keep, months)
    # Adding up what newly goes there, all of it positive, keeps a month without any at exactly 0.
    newly = sums_ahead(weight_by_age=weights, curve_by_age=new_by_age, months=months)
    moved_tb: FloatArray = recorded * np.cumsum(newly, axis=-1)
    return moved_tb


def _shares_by_rule(
    after_months: Sequence[Any], keep_fractions: Sequence[Any]
) -> list[tuple[Any, Any]]:
    """For each rule the age it starts at and the share still held from then on."""
    if len(keep_fractions) != len(after_months):
        raise ValueError(
            f"keep_fractions must have one entry for each of the {len(after_months)} "
            f"after_months, got {len(keep_fractions)}"
        )
    rules = []
    before, kept = 0.0, 1.0
    for after, fraction in zip(after_months, keep_fractions, strict=True):
        start = with_month_axis("after_months", checked("after_months", after, at_least=0))
        if np.less(start, before).any():
            raise ValueError(f"after_months must never fall, got {list(after_months)!r:.120}")
        share = checked("keep_fractions", fraction, at_least=0, at_most=1)
        before, kept = start, np.minimum(kept, with_month_axis("keep_fractions", share))
        rules.append((start, kept))
    return rules


def _stepped(first: float, steps: list[tuple[Any, Any]], months: int) -> FloatArray:
    """A curve by age that starts at ``first`` and takes each value from its age on."""
    age = np.arange(checked_whole("months", months, at_least=1))
    shapes = (np.shape(part)[:-1] for step in steps for part in step)
    curve = np.full((*np.broadcast_shapes(*shapes), age.size), first)
    for start, value in steps:
        if isinstance(start, float):
            curve[..., math.ceil(start) :] = value
        else:
            np.copyto(curve, value, where=age >= start)
    return curve


def _stored_weights(
    stored_tb: Any, oldest_months: Any, keep: FloatArray, months: int
) -> tuple[FloatArray, Any]:
    """The part of each past month that counts, newest first, and TB recorded in a full one."""
    stored = with_month_axis("stored_tb", checked("stored_tb", stored_tb, at_least=0))
    oldest = with_month_axis("oldest_months", checked("oldest_months", oldest_months, above=0))
    past_months = int(np.ceil(np.max(oldest)))
    if keep.shape[-1] < checked_whole("months", months, at_least=0) + past_months:
        raise ValueError(
            f"keep_fraction_by_age must have at least months + oldest_months = "
            f"{months + past_months} ages, got {keep.shape[-1]}"
        )
    weights = np.minimum(np.maximum(oldest - np.arange(past_months), 0.0), 1.0)
    left = (weights * keep[..., :past_months]).sum(axis=-1, keepdims=True)
    if ((left == 0) & (np.asarray(stored) > 0)).any():
        raise ValueError(
            "stored_tb must be 0 where keep_fraction_by_age leaves nothing of the last "
            "oldest_months, got more"
        )
    return weights, stored / np.where(left == 0, 1.0, left)
