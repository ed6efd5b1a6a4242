"""What is bought and when, draw by draw, and what the build cannot hold."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import new_by_month
from storagecalc.models.ordering import (
    Growth,
    first_month_over,
    required_tb,
    rule_based_growth,
)
from storagecalc.study.capacity.space import Capacity
from storagecalc.study.dates import months_between
from storagecalc.study.footage.held import Held
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchases:
    """Growth of one build, arrays of shape (positions, draws, months) unless said otherwise.

    ``drives_ordered_by_month`` and ``shelves_ordered_by_month`` are dated by the order, month 0
    with the first purchase and cold spares in it; ``drive_count_by_month``, old drives included,
    and ``plannable_tb_by_month`` by the delivery. Larger drives are those swapped in; they are
    counted in ``drive_count_by_month`` too.
    ``unmet_tb_by_month`` is what the build cannot hold; ``beyond_tb_by_month`` the part of it that
    no further step will ever hold. ``first_fill_months`` and ``headroom_months`` have shape
    (positions, draws, 1), infinite where it does not fill within the horizon.
    """

    steps_in_place_by_month: Any
    drives_ordered_by_month: FloatArray
    larger_drives_ordered_by_month: FloatArray
    shelves_ordered_by_month: FloatArray
    drive_count_by_month: FloatArray
    larger_drive_count_by_month: FloatArray
    shelf_count_by_month: FloatArray
    plannable_tb_by_month: FloatArray
    unmet_tb_by_month: FloatArray
    beyond_tb_by_month: FloatArray
    first_fill_months: FloatArray
    headroom_months: FloatArray


def purchases(
    build: Build, space: Capacity, footage: Held, last_order_month: int | None = None
) -> Purchases:
    """What the ordering rule of a build buys for the footage held.

    Parameters
    ----------
    build
        The build that grows, its ranges numbers or arrays.
    space
        Its capacity by step.
    footage
        What is held, from ``parts.held``.
    last_order_month
        Month in which its drives can be ordered for the last time; None where they stay.
    """
    held = footage.held_tb_by_month
    plannable = space.ladder.plannable_tb
    growth = _growth(build, plannable, held)
    ordered = _while_available(growth.steps_ordered_by_month, last_order_month)
    in_place = np.minimum(growth.steps_in_place_by_month, ordered[..., -1:])
    drives, swapped, shelves = _things_by_step(build, space)
    ready = at_step(plannable, in_place)
    most = _most_tb_by_month(plannable, ordered, last_order_month)
    return Purchases(
        steps_in_place_by_month=in_place,
        drives_ordered_by_month=_ordered(drives, ordered, spare=build.cold_spares),
        larger_drives_ordered_by_month=_ordered(swapped, ordered),
        shelves_ordered_by_month=_ordered(shelves, ordered),
        drive_count_by_month=_looked_up(drives, in_place) + build.old_drive_count,
        larger_drive_count_by_month=_looked_up(swapped, in_place),
        shelf_count_by_month=_looked_up(shelves, in_place),
        plannable_tb_by_month=ready,
        unmet_tb_by_month=np.maximum(held - ready, 0.0),
        beyond_tb_by_month=np.maximum(held - most, 0.0),
        first_fill_months=_months_until(held, plannable[..., :1]),
        headroom_months=_months_until(held, most),
    )


def last_order_month(numbers: Scenario, build: Build) -> int | None:
    """The month in which a build's drives can be ordered for the last time; None for no end."""
    until = numbers.drives[build.drives].available_until_date
    return None if until is None else months_between(numbers.start_date, until)


def _growth(build: Build, plannable: FloatArray, held: FloatArray) -> Growth:
    """The steps a build takes; one that cannot grow has none, whatever is held."""
    if plannable.shape[-1] == 1:
        none = np.zeros((1, 1, held.shape[-1]), dtype=np.int64)
        return Growth(steps_ordered_by_month=none, steps_in_place_by_month=none)
    return rule_based_growth(
        required_tb_by_month=required_tb(
            held_tb_by_month=held, order_at_fraction=build.order_at_fraction
        ),
        plannable_tb_by_step=plannable,
        lead_time_months=build.lead_time_months,
    )


def _things_by_step(build: Build, space: Capacity) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Drives of the build's own class, larger drives swapped in, and shelves, at each step."""
    pools = space.pools
    drives = pools.drives_by_step.sum(axis=0) - float(build.old_drive_count)
    swapped = (pools.drives_by_step * pools.swapped_by_step).sum(axis=0).astype(np.float64)
    boxes = 1 if build.shelf is None else len(pools.drives_by_step) - build.shelf.shelves_at_most
    in_shelves = pools.drives_by_step[boxes:] if build.shelf else pools.drives_by_step[:0]
    return drives, swapped, (in_shelves > 0).sum(axis=0).astype(np.float64)


def _while_available(steps_ordered_by_month: Any, last_order_month: int | None) -> Any:
    """Steps ordered, none of them new once the drives are no longer to be had."""
    if last_order_month is None or last_order_month >= steps_ordered_by_month.shape[-1] - 1:
        return steps_ordered_by_month
    last = max(last_order_month, 0)
    frozen = steps_ordered_by_month.copy()
    frozen[..., last:] = frozen[..., last : last + 1]
    return frozen


def _most_tb_by_month(
    plannable: FloatArray, ordered: Any, last_order_month: int | None
) -> FloatArray:
    """The most a build can still come to hold: every step, or those ordered while one could."""
    if last_order_month is None:
        return plannable[..., -1:]
    months = np.arange(ordered.shape[-1])
    return np.where(months < last_order_month, plannable[..., -1:], at_step(plannable, ordered))


def _months_until(held: FloatArray, limit_tb: FloatArray) -> FloatArray:
    months: FloatArray = first_month_over(held_tb_by_month=held, limit_tb=limit_tb)[..., None]
    return months


def at_step(by_step: FloatArray, steps: Any) -> FloatArray:
    """Values by step looked up at the step of each month; keeps (positions, draws, months)."""
    if by_step.shape[:2] == (1, 1):
        return _looked_up(by_step[0, 0], steps)
    shape = np.broadcast_shapes(by_step.shape[:2], steps.shape[:2])
    return np.take_along_axis(
        np.broadcast_to(by_step, (*shape, by_step.shape[2])),
        np.broadcast_to(steps, (*shape, steps.shape[2])),
        axis=-1,
    )


def _looked_up(by_step: FloatArray, steps: Any) -> FloatArray:
    """One row of values looked up at the step of each month, without draws where all are alike."""
    if _alike(by_step):
        return np.full((1, 1, steps.shape[-1]), by_step[0], dtype=np.float64)
    found: FloatArray = by_step.take(steps)
    return found


def _ordered(by_step: FloatArray, steps: Any, *, spare: int = 0) -> FloatArray:
    """Things ordered in each month as the steps go on, those of the start and spares in month 0."""
    if _alike(by_step):
        new = np.zeros((1, 1, steps.shape[-1]))
        new[..., 0] = by_step[0]
    else:
        new = new_by_month(by_step.take(steps))
    new[..., 0] += spare
    return new


def _alike(by_step: FloatArray) -> bool:
    return by_step.size == 1 or bool((by_step == by_step[0]).all())
