"""When to order the next step of a build: once it is so full, a lead time ahead."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from storagecalc.models.checks import FloatArray, checked, checked_row
from storagecalc.models.months import delayed
from storagecalc.models.units import plain

IntArray = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """How far a build has grown in each month, counted in steps; step 0 is as bought.

    Parameters
    ----------
    steps_ordered_by_month
        Steps ordered by the end of each month, integers, months last; never falls.
    steps_in_place_by_month
        Steps delivered and running in each month: those ordered a lead time before.
    """

    steps_ordered_by_month: IntArray
    steps_in_place_by_month: IntArray


def required_tb(*, held_tb_by_month: Any, order_at_fraction: Any) -> Any:
    """The plannable capacity at which no order is due for what is held.

    Formula: ``held / order_at_fraction``.

    Parameters
    ----------
    held_tb_by_month
        TB held, 0 or more, months last.
    order_at_fraction
        How full of plannable data the box is when the next step is ordered, above 0, at most 1.
        The rest must last for the lead time: about 1 - (TB a month times lead time) / capacity.

    Returns
    -------
    float or numpy array
        TB, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    >>> required_tb(held_tb_by_month=60, order_at_fraction=0.75)
    80.0
    """
    held = checked("held_tb_by_month", held_tb_by_month, at_least=0)
    return held / checked("order_at_fraction", order_at_fraction, above=0, at_most=1)


def steps_ordered_by_month(*, held_tb_by_month: Any, order_above_tb_by_step: Any) -> IntArray:
    """Steps ordered by the end of each month, where each has an amount above which it is due.

    Formula: the running maximum of the number of steps whose amount is below what is held. Orders
    are never taken back. `delayed` by the lead time, they are the steps in place.

    Parameters
    ----------
    held_tb_by_month
        TB held, 0 or more: an array, months last.
    order_above_tb_by_step
        TB above which step 1, 2, ... is ordered, 0 or more and never falling: an array (positions,
        draws, steps) or (steps,). What is held may equal it without an order.

    Returns
    -------
    numpy array
        Integers, 0 (as bought) to the number of steps, months last.

    Raises
    ------
    ValueError
        Where an argument is outside its range, has no month or step, or the amounts fall.

    Examples
    --------
    >>> steps_ordered_by_month(
    ...     held_tb_by_month=[5, 9, 17, 8], order_above_tb_by_step=[8, 16, 24]
    ... ).tolist()
    [0, 1, 2, 2]
    """
    held = checked_row("held_tb_by_month", held_tb_by_month, at_least=0)
    return _steps_due(held, _rising("order_above_tb_by_step", order_above_tb_by_step))


def rule_based_growth(
    *, required_tb_by_month: Any, plannable_tb_by_step: Any, lead_time_months: Any
) -> Growth:
    """Steps that the ordering rule buys, and when they are in place.

    In each month the rule orders as many steps as make the plannable capacity at least what is
    required, all of them where none suffices. Orders are never taken back, and arrive a lead time
    later. It follows what is held, draw by draw, and does not look ahead.

    Parameters
    ----------
    required_tb_by_month
        TB of plannable capacity asked for, from `required_tb`, 0 or more: an array, months last.
    plannable_tb_by_step
        Plannable TB as bought and after each step, never falling: an array (positions, draws,
        steps) or (steps,).
    lead_time_months
        Months from order to use, 0 or more, rounded up to whole months: a number or an array
        (positions, draws, 1).

    Returns
    -------
    Growth
        Steps ordered and steps in place, integer arrays, months last.

    Raises
    ------
    ValueError
        Where an argument is outside its range, has no month or step, or capacity falls.

    Examples
    --------
    10 TB as bought, 20 and 30 TB after one and two steps, two months of lead time. The third month
    asks for 12 TB: one step is ordered, and in place in the fifth. A dip later takes nothing back.

    >>> growth = rule_based_growth(
    ...     required_tb_by_month=[5, 8, 12, 11, 9, 25, 99],
    ...     plannable_tb_by_step=[10, 20, 30],
    ...     lead_time_months=2,
    ... )
    >>> growth.steps_ordered_by_month.tolist()
    [0, 0, 1, 1, 1, 2, 2]
    >>> growth.steps_in_place_by_month.tolist()
    [0, 0, 0, 0, 1, 1, 1]
    """
    required = checked_row("required_tb_by_month", required_tb_by_month, at_least=0)
    plannable = _rising("plannable_tb_by_step", plannable_tb_by_step)
    lead = checked("lead_time_months", lead_time_months, at_least=0)
    if np.ndim(lead) and lead.shape[-1] != 1:
        raise ValueError(f"lead_time_months must not change by month, got the shape {lead.shape}")
    ordered = _steps_due(required, plannable[..., :-1])
    return Growth(
        steps_ordered_by_month=ordered,
        steps_in_place_by_month=delayed(ordered, delay_months=lead).astype(np.int64),
    )


def first_month_over(*, held_tb_by_month: Any, limit_tb: Any) -> Any:
    """Months from the start until what is held first exceeds a limit.

    Parameters
    ----------
    held_tb_by_month
        TB held in each month, 0 or more: an array, months last.
    limit_tb
        The limit, TB, 0 or more: a number, or an array that broadcasts with the months last, such
        as (positions, draws, 1). Held data equal to the limit are not over it.

    Returns
    -------
    float or numpy array
        Whole months without the month axis: 0 where the first month is over, infinity where none
        is.

    Raises
    ------
    ValueError
        Where an argument is outside its range or there is no month.

    Examples
    --------
    >>> first_month_over(held_tb_by_month=[5, 10, 15], limit_tb=10)
    2.0
    >>> first_month_over(held_tb_by_month=[5, 10, 15], limit_tb=15)
    inf
    """
    held = checked_row("held_tb_by_month", held_tb_by_month, at_least=0)
    return plain(_first_over(held, checked("limit_tb", limit_tb, at_least=0)))


def _rising(name: str, by_step: Any) -> FloatArray:
    """TB by step, refused where they fall from one step to the next."""
    rising = checked_row(name, by_step, at_least=0)
    if (rising[..., 1:] < rising[..., :-1]).any():
        raise ValueError(f"{name} must not fall from one step to the next, but it does")
    return rising


def _steps_due(held: FloatArray, due_above: FloatArray) -> IntArray:
    """The most steps due in any month so far, each above its own amount."""
    steps = due_above.shape[-1]
    # Counted in the smallest integers: the time goes into moving memory.
    due = np.zeros(
        np.broadcast_shapes(held.shape, (*due_above.shape[:-1], 1)), np.min_scalar_type(steps)
    )
    for step in range(steps):
        is_due = held > due_above[..., step, np.newaxis]
        if not is_due.any():
            break  # nor is any later one, whose amount is no lower
        due += is_due.view(np.uint8)
    return np.maximum.accumulate(due, axis=-1).astype(np.int64)


def _first_over(held: FloatArray, limit: Any) -> FloatArray:
    """The first month over the limit, without the month axis; infinity where there is none."""
    over = held > limit
    first = over.argmax(axis=-1)
    # The place of the highest is 0 where none is over as well.
    months: FloatArray = np.where((first > 0) | over[..., 0], first, np.inf)
    return months
