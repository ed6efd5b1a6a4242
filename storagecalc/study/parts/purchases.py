"""What is bought and when, draw by draw, and what the build cannot hold."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.ordering import (
    first_month_over,
    required_tb,
    rule_based_growth,
)
from storagecalc.study.parts.capacity import Capacity
from storagecalc.study.parts.held import Held
from storagecalc.study.scenario.builds import Build


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchases:
    """Growth of one build, arrays of shape (positions, draws, months) unless said otherwise.

    ``drives_ordered_by_month`` and ``shelves_ordered_by_month`` are dated by the order, month 0
    with the first purchase in it; ``drive_count_by_month`` and ``plannable_tb_by_month`` by the
    delivery.
    ``unmet_tb_by_month`` is what the build cannot hold; ``beyond_tb_by_month`` the part of it that
    no further step will ever hold. ``first_fill_months`` and ``headroom_months`` have shape
    (positions, draws, 1), infinite where it does not fill within the horizon.
    """

    steps_in_place_by_month: Any
    drives_ordered_by_month: FloatArray
    shelves_ordered_by_month: FloatArray
    drive_count_by_month: FloatArray
    shelf_count_by_month: FloatArray
    plannable_tb_by_month: FloatArray
    unmet_tb_by_month: FloatArray
    beyond_tb_by_month: FloatArray
    first_fill_months: FloatArray
    headroom_months: FloatArray


def purchases(build: Build, space: Capacity, footage: Held) -> Purchases:
    """What the ordering rule of a build buys for the footage held.

    Parameters
    ----------
    build
        The build that grows, its ranges numbers or arrays.
    space
        Its capacity by step.
    footage
        What is held, from ``parts.held``.
    """
    held = footage.held_tb_by_month
    plannable = space.ladder.plannable_tb
    growth = rule_based_growth(
        required_tb_by_month=required_tb(
            held_tb_by_month=held, order_at_fraction=build.order_at_fraction
        ),
        plannable_tb_by_step=plannable,
        lead_time_months=build.lead_time_months,
    )
    ordered, in_place = growth.steps_ordered_by_month, growth.steps_in_place_by_month
    drives = space.pools.drives_by_step.sum(axis=0).astype(np.float64)
    shelves = (space.pools.drives_by_step[1:] > 0).sum(axis=0).astype(np.float64)
    ready = at_step(plannable, in_place)
    beyond = np.maximum(held - plannable[..., -1:], 0.0)
    return Purchases(
        steps_in_place_by_month=in_place,
        drives_ordered_by_month=_new_by_month(drives[ordered], bought_already=0.0),
        shelves_ordered_by_month=_new_by_month(shelves[ordered], bought_already=0.0),
        drive_count_by_month=drives[in_place],
        shelf_count_by_month=shelves[in_place],
        plannable_tb_by_month=ready,
        unmet_tb_by_month=np.maximum(held - ready, 0.0),
        beyond_tb_by_month=beyond,
        first_fill_months=first_month_over(held_tb_by_month=held, limit_tb=plannable[..., :1])[
            ..., None
        ],
        headroom_months=first_month_over(held_tb_by_month=held, limit_tb=plannable[..., -1:])[
            ..., None
        ],
    )


def at_step(by_step: FloatArray, steps: Any) -> FloatArray:
    """Values by step looked up at the step of each month; keeps (positions, draws, months)."""
    if by_step.shape[:2] == (1, 1):
        return by_step[0, 0][steps]
    shape = np.broadcast_shapes(by_step.shape[:2], steps.shape[:2])
    return np.take_along_axis(
        np.broadcast_to(by_step, (*shape, by_step.shape[2])),
        np.broadcast_to(steps, (*shape, steps.shape[2])),
        axis=-1,
    )


def _new_by_month(total_by_month: FloatArray, *, bought_already: float) -> FloatArray:
    return np.diff(total_by_month, axis=-1, prepend=bought_already)
