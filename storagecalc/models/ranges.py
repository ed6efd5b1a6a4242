"""Ranges: from three points (low, middle, high) to a distribution, and means over it."""

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_whole
from storagecalc.models.units import plain

LOW_FRACTION = 0.1
"""One in ten below low, one in ten above high."""

# The range of r = (middle - low)/(high - low) in which the density stays positive: between k and
# 1 - k, with k = (1 - 1.66711 (1/2 - alpha))/2 from the paper named in metalog_quantile.
_LEAST_SHARE = 0.5 * (1 - 1.66711 * (0.5 - LOW_FRACTION))
# A point nearer to a bound than this share of the way to the other one has no finite logarithm.
_LEAST_DISTANCE = 1e-200

Bounds = tuple[Any, Any]


def metalog_quantile(
    y: Any, *, low: Any, middle: Any, high: Any, lower_bound: Any, upper_bound: Any
) -> Any:
    """The value below which the share ``y`` of all outcomes lies, from a range of three points.

    One in ten outcomes lies below ``low``, one in ten above ``high``, as many above ``middle`` as
    below. The distribution is the symmetric-percentile metalog, laid through the three points as
    they are (no bound), through ln(q - a) (lower bound a), through -ln(b - q) (upper bound b) or
    through ln((q - a)/(b - q)) (both).

    Formula, with the three points z1, z2, z3 after that step, g = ln(y/(1 - y)), L = ln 9 and
    r = (z2 - z1)/(z3 - z1): ``z = z2 + (z3 - z1)(g/(2 L) + (1 - 2 r)(y - 1/2) g/(0.8 L))``,
    then back to q.

    Parameters
    ----------
    y
        Share, above 0 and below 1.
    low, middle, high
        The three points, in one unit, rising and inside the bounds. They broadcast with ``y``.
    lower_bound, upper_bound
        Values the quantity never reaches, or None where there is no such bound.

    Returns
    -------
    float or numpy array
        Values in the unit of the three points, in the shape all arguments broadcast to.

    Raises
    ------
    ValueError
        Where the points do not rise, lie outside the bounds, or are so lopsided that no
        distribution of this family fits; the message says which to move and how far.

    Notes
    -----
    With a lower bound only, the upper tail falls like a power: means over it may not settle.
    T. W. Keelin, "The Metalog Distributions", Decision Analysis 13(4), INFORMS, 2016, section
    6.2.1: three percentiles, the outer two as far from the median.

    Examples
    --------
    >>> metalog_quantile(0.5, low=4, middle=6, high=9, lower_bound=None, upper_bound=None)
    6.0
    """
    share = checked("y", y, above=0, below=1)
    bounds = _checked_bounds(lower_bound, upper_bound)
    points = _checked_points(low, middle, high, bounds)
    z1, z2, z3 = (_unbounded(point, bounds) for point in points)
    _refuse_infeasible(points, (z1, z2, z3), bounds)
    r = (z2 - z1) / (z3 - z1)
    log_odds = np.log(share) - np.log1p(-share)
    spread = math.log((1 - LOW_FRACTION) / LOW_FRACTION)
    middle_part = log_odds / (2 * spread)
    skew_part = (1 - 2 * r) * (share - 0.5) * log_odds / ((1 - 2 * LOW_FRACTION) * spread)
    z = z2 + (z3 - z1) * (middle_part + skew_part)
    return plain(_bounded(z, bounds))


def middle_limits(*, low: Any, high: Any, lower_bound: Any, upper_bound: Any) -> tuple[Any, Any]:
    """The limits between which the middle of a range must lie for a distribution to fit.

    Parameters
    ----------
    low, high
        Outer points of the range, rising and inside the bounds.
    lower_bound, upper_bound
        As in ``metalog_quantile``; None where there is none.

    Returns
    -------
    tuple of two floats or arrays
        Lowest and highest middle, in the unit of the range; the middle must lie between them,
        not on them.

    Raises
    ------
    ValueError
        Where the points do not rise or lie outside the bounds.

    Examples
    --------
    >>> low, high = middle_limits(low=0, high=10, lower_bound=None, upper_bound=None)
    >>> round(low, 2), round(high, 2)
    (1.67, 8.33)
    """
    bounds = _checked_bounds(lower_bound, upper_bound)
    z1, z3 = (_unbounded(end, bounds) for end in _checked_ends(low, high, bounds))
    step = _LEAST_SHARE * (z3 - z1)
    return plain(_bounded(z1 + step, bounds)), plain(_bounded(z3 - step, bounds))


def moved_ends(
    *, low: Any, middle: Any, high: Any, to_middle: Any, lower_bound: Any, upper_bound: Any
) -> tuple[Any, Any]:
    """Low and high of a range after its middle has been moved.

    Formula: the odds of a value are ``(value - lower_bound) / (upper_bound - value)``; the odds of
    low and high grow by the same factor as those of the middle. With one bound the distances from
    it do, with none all points go by the same amount. The curve through the points keeps its shape
    on that scale, so where a distribution fitted before, one fits after.

    Parameters
    ----------
    low, middle, high
        The range as it is, rising and inside the bounds.
    to_middle
        The new middle, inside the bounds.
    lower_bound, upper_bound
        As in ``metalog_quantile``; None where there is none.

    Returns
    -------
    tuple of two floats or arrays
        Low and high, in the unit of the range.

    Raises
    ------
    ValueError
        Where the points do not rise, or any of them or the new middle lies outside the bounds.

    Notes
    -----
    Keeping the spread in odds is our choice: a share cannot pass 1, nor a count fall below 0,
    however far the middle is moved. Well inside wide bounds it is the same as keeping ratios.

    Examples
    --------
    >>> low, high = moved_ends(
    ...     low=0.2, middle=0.5, high=0.75, to_middle=0.8, lower_bound=0, upper_bound=1
    ... )
    >>> round(low, 9), round(high, 9)
    (0.5, 0.923076923)
    """
    bounds = _checked_bounds(lower_bound, upper_bound)
    z1, z2, z3 = (_unbounded(point, bounds) for point in _checked_points(low, middle, high, bounds))
    target = checked("to_middle", to_middle)
    _refuse_outside("to_middle", target, bounds)
    shift = _unbounded(target, bounds) - z2
    return plain(_bounded(z1 + shift, bounds)), plain(_bounded(z3 + shift, bounds))


def percentile_nodes(count: int) -> tuple[FloatArray, FloatArray]:
    """Shares y and weights with which ``sum(weight * f(quantile(y)))`` is the mean of f.

    The trapezoidal rule after the substitution ln(y/(1 - y)) = pi sinh(t), which makes the
    integrand vanish twice exponentially at both ends: nodes crowd where y is near 0 and 1, so
    the tail that carries the mean of a cube is seen. With a metalog bounded on both sides,
    32 nodes give the mean of q and of q**3 within 1e-8 relative, 48 within 1e-11 where high is
    ten times low; wider ranges need more.

    Parameters
    ----------
    count
        Number of nodes, 2 or more.

    Returns
    -------
    tuple of two arrays
        Shares, rising, above 0 and below 1; weights, positive, with the sum 1.

    Raises
    ------
    ValueError
        Where ``count`` is not a whole number of at least 2.

    Notes
    -----
    H. Takahasi, M. Mori, "Double exponential formulas for numerical integration", Publications of
    the Research Institute for Mathematical Sciences 9, 1974, pages 721-741. The half width of t
    is ours: it balances what is cut off at the ends against the step, and stays below the point
    where 1 - y vanishes in double precision.

    Examples
    --------
    >>> y, weight = percentile_nodes(40)
    >>> round(float(weight @ y**2), 9)
    0.333333333
    """
    count = checked_whole("count", count, at_least=2)
    half_width = min(0.6 + 0.62 * math.log(count), 3.05)
    t = np.linspace(-half_width, half_width, count)
    log_odds = np.pi * np.sinh(t)
    y = 1 / (1 + np.exp(-log_odds))
    weight = np.cosh(t) * y / (1 + np.exp(log_odds))
    return y, weight / weight.sum()


def _unbounded(value: Any, bounds: Bounds) -> Any:
    lower, upper = bounds
    if lower is None and upper is None:
        return value
    if upper is None:
        return np.log(value - lower)
    if lower is None:
        return -np.log(upper - value)
    return np.log((value - lower) / (upper - value))


def _bounded(z: Any, bounds: Bounds) -> Any:
    lower, upper = bounds
    if lower is None and upper is None:
        return z
    if upper is None:
        return lower + np.exp(z)
    if lower is None:
        return upper - np.exp(-z)
    # exp only ever of something negative: no overflow however far out z lies
    small = np.exp(-np.abs(z))
    share = np.where(np.asarray(z) >= 0, 1.0, small) / (1 + small)
    return lower + (upper - lower) * share


def _checked_bounds(lower_bound: Any, upper_bound: Any) -> Bounds:
    return (
        None if lower_bound is None else checked("lower_bound", lower_bound),
        None if upper_bound is None else checked("upper_bound", upper_bound),
    )


def _refuse_outside(name: str, value: Any, bounds: Bounds) -> None:
    lower, upper = bounds
    least = 0.0 if lower is None or upper is None else _LEAST_DISTANCE * (upper - lower)
    if lower is not None:
        said = f"{name} must lie above lower_bound {{:.10g}}, got {{:.10g}}"
        _refuse_where(value - lower <= least, said, lower, value)
    if upper is not None:
        said = f"{name} must lie below upper_bound {{:.10g}}, got {{:.10g}}"
        _refuse_where(upper - value <= least, said, upper, value)


def _checked_ends(low: Any, high: Any, bounds: Bounds) -> tuple[Any, Any]:
    low, high = checked("low", low), checked("high", high)
    _refuse_where(high <= low, "high must lie above low {:.10g}, got {:.10g}", low, high)
    _refuse_outside("low", low, bounds)
    _refuse_outside("high", high, bounds)
    return low, high


def _checked_points(low: Any, middle: Any, high: Any, bounds: Bounds) -> tuple[Any, Any, Any]:
    low, high = _checked_ends(low, high, bounds)
    middle = checked("middle", middle)
    said = "middle must lie between low {:.10g} and high {:.10g}, got {:.10g}"
    _refuse_where((middle <= low) | (middle >= high), said, low, high, middle)
    return low, middle, high


def _refuse_where(wrong: Any, said: str, *values: Any) -> None:
    if np.asarray(wrong).any():
        raise ValueError(said.format(*_first(np.asarray(wrong), *values)))


def _refuse_infeasible(
    points: tuple[Any, Any, Any], z: tuple[Any, Any, Any], bounds: Bounds
) -> None:
    z1, z2, z3 = z
    said = "low {:.10g}, middle {:.10g} and high {:.10g} are too close to tell apart"
    _refuse_where((z2 <= z1) | (z3 <= z2), said, *points)
    r = np.asarray((z2 - z1) / (z3 - z1))
    wrong = (r <= _LEAST_SHARE) | (r >= 1 - _LEAST_SHARE)
    if not wrong.any():
        return
    low, middle, high = _first(wrong, *points)
    lower, upper = (None if bound is None else _first(wrong, bound)[0] for bound in bounds)
    lowest, highest = middle_limits(low=low, high=high, lower_bound=lower, upper_bound=upper)
    low_z, middle_z, high_z = (_unbounded(point, (lower, upper)) for point in (low, middle, high))
    if middle <= lowest:
        limit = _bounded(low_z + (middle_z - low_z) / _LEAST_SHARE, (lower, upper))
        other = f"or high to {_inward(limit, middle)} or less"
    else:
        limit = _bounded(high_z - (high_z - middle_z) / _LEAST_SHARE, (lower, upper))
        other = f"or low to {_inward(limit, middle)} or more"
    raise ValueError(
        f"middle must lie between {_inward(lowest, highest)} and {_inward(highest, lowest)} for "
        f"low {low:.10g} and high {high:.10g} (no distribution fits otherwise), got {middle:.10g}: "
        f"move middle into that range, {other}"
    )


def _first(wrong: Any, *values: Any) -> tuple[float, ...]:
    """The values at the first place where something is wrong."""
    place = np.unravel_index(int(np.argmax(wrong)), wrong.shape)
    return tuple(float(np.broadcast_to(value, wrong.shape)[place]) for value in values)


def _inward(limit: float, towards: float) -> str:
    """A limit rounded towards the other end, so that the printed number itself is allowed."""
    digits = 2 - math.floor(math.log10(abs(towards - limit)))
    rounding = ROUND_CEILING if towards > limit else ROUND_FLOOR
    rounded = Decimal(float(limit)).quantize(Decimal(1).scaleb(-digits), rounding=rounding)
    return f"{rounded.normalize():f}"
