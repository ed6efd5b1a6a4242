"""The policy: which steps a build orders in which month, draw by draw, and when it is full."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import advanced
from storagecalc.models.ordering import (
    IntArray,
    boxes_needed_by_month,
    first_month_over,
    required_tb,
    rule_based_growth,
)
from storagecalc.study.capacity.space import Space, at_step
from storagecalc.study.dates import months_between
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """Steps of one build: counts by month, shape (positions, draws, months), step 0 as bought.

    ``most_tb_by_month`` is the most it can still come to hold. ``first_fill_months`` (as bought),
    ``headroom_months`` (with every step) and ``order_by_months`` (when the next order must go out
    to stand when it is full as bought) have shape (positions, draws, 1), infinite where it does
    not fill within the horizon.
    """

    steps_ordered_by_month: IntArray
    steps_in_place_by_month: IntArray
    most_tb_by_month: FloatArray
    first_fill_months: FloatArray
    headroom_months: FloatArray
    order_by_months: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherBoxes:
    """Boxes beside a build that is full, shape (positions, draws, months): ordered, standing."""

    further_boxes_ordered_by_month: FloatArray
    further_boxes_by_month: FloatArray


def growth(drawn: Scenario, build: Build, space: Space, held_tb_by_month: FloatArray) -> Growth:
    """What the ordering rule of a build decides for the footage held.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, space
        The build that grows, and its space by step.
    held_tb_by_month
        TB held, shape (positions, draws, months).
    """
    held, plannable = held_tb_by_month, space.ladder.plannable_tb
    last = _last_order_month(drawn, build)
    ordered, in_place = _steps(build, plannable, held)
    ordered = _while_available(ordered, last)
    most = _most_tb_by_month(plannable, ordered, last)
    first_fill = _months_until(held, plannable[..., :1])
    return Growth(
        steps_ordered_by_month=ordered,
        steps_in_place_by_month=np.minimum(in_place, ordered[..., -1:]),
        most_tb_by_month=most,
        first_fill_months=first_fill,
        headroom_months=_months_until(held, most),
        order_by_months=first_fill - np.ceil(build.lead_time_months),
    )


def further_boxes(build: Build, beyond_tb: FloatArray, box_tb: FloatArray) -> FurtherBoxes:
    """Boxes that stand when they are needed, each ordered a lead time before.

    Parameters
    ----------
    build
        The build they stand beside.
    beyond_tb
        What it cannot hold, TB by month.
    box_tb
        TB that one box holds, shape (positions, draws, 1).
    """
    standing = boxes_needed_by_month(shortfall_tb_by_month=beyond_tb, box_tb=box_tb)
    ordered = advanced(standing, lead_months=build.lead_time_months)
    return FurtherBoxes(further_boxes_ordered_by_month=ordered, further_boxes_by_month=standing)


def _last_order_month(drawn: Scenario, build: Build) -> int | None:
    """The month in which a build's drives can be ordered for the last time; None for no end."""
    until = drawn.drives[build.drives].available_until_date
    return None if until is None else months_between(drawn.start_date, until)


def _steps(build: Build, plannable: FloatArray, held: FloatArray) -> tuple[IntArray, IntArray]:
    """Steps ordered and in place; a build that cannot grow has none, whatever is held."""
    if plannable.shape[-1] == 1:
        none = np.zeros((1, 1, held.shape[-1]), dtype=np.int64)
        return none, none
    found = rule_based_growth(
        required_tb_by_month=required_tb(
            held_tb_by_month=held, order_at_fraction=build.order_at_fraction
        ),
        plannable_tb_by_step=plannable,
        lead_time_months=build.lead_time_months,
    )
    return found.steps_ordered_by_month, found.steps_in_place_by_month


def _while_available(steps_ordered_by_month: IntArray, last_order_month: int | None) -> IntArray:
    """Steps ordered, none of them new once the drives are no longer to be had."""
    if last_order_month is None or last_order_month >= steps_ordered_by_month.shape[-1] - 1:
        return steps_ordered_by_month
    last = max(last_order_month, 0)
    frozen = steps_ordered_by_month.copy()
    frozen[..., last:] = frozen[..., last : last + 1]
    return frozen


def _most_tb_by_month(
    plannable: FloatArray, ordered: IntArray, last_order_month: int | None
) -> FloatArray:
    """The most a build can still come to hold: every step, or those ordered while one could."""
    if last_order_month is None:
        return plannable[..., -1:]
    months = np.arange(ordered.shape[-1])
    return np.where(months < last_order_month, plannable[..., -1:], at_step(plannable, ordered))


def _months_until(held: FloatArray, limit_tb: Any) -> FloatArray:
    months: FloatArray = first_month_over(held_tb_by_month=held, limit_tb=limit_tb)[..., None]
    return months
