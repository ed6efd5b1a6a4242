"""Argument checks shared by every model: a refusal names the argument, the rule and the value."""

import math
from collections.abc import Collection
from typing import Any

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

INFINITE = math.inf


def checked(
    name: str,
    value: Any,
    *,
    at_least: float = -INFINITE,
    above: float = -INFINITE,
    at_most: float = INFINITE,
    below: float = INFINITE,
) -> Any:
    """The value as float or float64 array, refused unless finite and within the limits.

    Parameters
    ----------
    name
        What the caller calls the argument; it opens the error message.
    value
        A number, or anything numpy turns into an array of numbers.
    at_least, above, at_most, below
        Limits, same unit as the value; ``above`` and ``below`` exclude the limit itself, and
        thereby infinity.

    Returns
    -------
    float or numpy array
        A float for a float, an array for everything that has a shape.

    Raises
    ------
    ValueError
        Where the value is no number, not finite or outside a limit.

    Examples
    --------
    >>> checked("cameras", 2, at_least=0)
    2.0
    """
    if type(value) is float and at_least <= value <= at_most and above < value < below:
        return value
    limits = (at_least, above, at_most, below)
    try:
        numbers = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(f"{name} must be a number{_rule(*limits)}, got {value!r:.60}") from None
    if numbers.size:
        # Lowest and highest say it all, and a "not a number" comes through both. Looking up their
        # places is faster than a reduction for a few numbers.
        lowest, highest = numbers.item(numbers.argmin()), numbers.item(numbers.argmax())
        if not (at_least <= lowest and above < lowest and highest <= at_most and highest < below):
            inside = (at_least <= numbers) & (above < numbers)
            inside &= (numbers <= at_most) & (numbers < below)
            refused = numbers[~inside].flat[0]
            raise ValueError(f"{name} must be a finite number{_rule(*limits)}, got {refused:g}")
    return numbers if numbers.ndim else numbers.item()


def checked_whole(name: str, value: Any, *, at_least: int, at_most: float = INFINITE) -> Any:
    """The value as int or integer array, refused unless whole and within the limits.

    Raises
    ------
    ValueError
        Where any entry is not a whole number from ``at_least`` to ``at_most``.

    Examples
    --------
    >>> checked_whole("drive_count", 8.0, at_least=1)
    8
    """
    if type(value) is int and at_least <= value <= at_most:
        return value
    upper = f" to {at_most}" if at_most < INFINITE else " upwards"
    rule = f"{name} must be a whole number from {at_least}{upper}"
    try:
        numbers = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(f"{rule}, got {value!r:.60}") from None
    inside = (at_least <= numbers) & (numbers <= at_most) & (numbers < INFINITE)
    wrong = ~(inside & (numbers == np.floor(numbers)))
    if wrong.any():
        raise ValueError(f"{rule}, got {numbers[wrong].flat[0]:g}")
    whole = numbers.astype(np.int64)
    return whole if whole.ndim else whole.item()


def checked_row(
    name: str, value: Any, *, at_least: float = -INFINITE, at_most: float = INFINITE
) -> FloatArray:
    """The value as float64 array with a last axis: one number a month, an age or a step.

    Raises
    ------
    ValueError
        Where there is no such axis, it is empty, or an entry is not finite or outside a limit.

    Examples
    --------
    >>> checked_row("held_tb_by_month", [1, 2]).tolist()
    [1.0, 2.0]
    """
    row: FloatArray = np.asarray(checked(name, value, at_least=at_least, at_most=at_most))
    if row.ndim == 0 or row.shape[-1] == 0:
        raise ValueError(
            f"{name} must have a value for each month (or age, or step), got {value!r:.60}"
        )
    return row


def checked_choice(name: str, value: Any, choices: Collection[str]) -> str:
    """The value itself, refused unless it is one of the choices.

    Raises
    ------
    ValueError
        Where it is none of them; the message lists them.

    Examples
    --------
    >>> checked_choice("repair", "parallel", ("parallel", "one at a time"))
    'parallel'
    """
    if not isinstance(value, str) or value not in choices:
        allowed = ", ".join(f'"{choice}"' for choice in choices)
        raise ValueError(f"{name} must be one of {allowed}, got {value!r:.60}")
    return value


def _rule(at_least: float, above: float, at_most: float, below: float) -> str:
    limits = (
        ("of at least", at_least),
        ("above", above),
        ("of at most", at_most),
        ("below", below),
    )
    words = [f"{word} {limit:g}" for word, limit in limits if math.isfinite(limit)]
    return " " + " and ".join(words) if words else ""
