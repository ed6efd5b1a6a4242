"""The policy: which steps are ordered in which month, draw by draw, and when the build is full."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import advanced, delayed
from storagecalc.models.ordering import IntArray, first_month_over, steps_ordered_by_month
from storagecalc.study.capacity.owned import (
    KeptBox,
    beside_kept,
    kept_tb_by_month,
    stands_by_month,
)
from storagecalc.study.capacity.space import Space, at_step
from storagecalc.study.capacity.steps import MOST_FURTHER_BOXES, FurtherBox
from storagecalc.study.dates import months_between
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Climb:
    """Steps of one ladder by month, ordered and in place, shape (positions, draws, months)."""

    steps_ordered_by_month: IntArray
    steps_in_place_by_month: IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """How one alternative grows: its own steps, then those of further boxes (None without any).

    ``first_order_month`` is when step 0 is ordered. ``stands_by_month`` is 0 until it stands, then
    1; None where it stands from the start.
    ``counted_tb_by_month`` is what the rule counts of that which is kept beside it, and
    ``most_tb_by_month`` the most the build itself can still come to hold, with what is kept. Months
    have shape (positions, draws, 1), infinite where it does not happen within the horizon:
    ``first_fill_months`` (as bought), ``headroom_months`` (with every step of its own),
    ``order_by_months`` (when the next order must go out to stand in time) and ``rule_order_months``
    (when the studio's rule sends it).
    """

    own: Climb
    further: Climb | None
    first_order_month: int
    stands_by_month: FloatArray | None
    counted_tb_by_month: FloatArray
    most_tb_by_month: FloatArray
    first_fill_months: FloatArray
    headroom_months: FloatArray
    order_by_months: FloatArray
    rule_order_months: FloatArray


def growth(
    drawn: Scenario,
    build: Build,
    space: Space,
    held_tb_by_month: FloatArray,
    further: FurtherBox | None,
    kept: tuple[KeptBox, ...] = (),
) -> Growth:
    """What the ordering rule decides: a step is due once what is held exceeds all other space plus
    a share of the newest box's.

    Space that is kept beside the build counts as long as it will still stand when an order comes.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, space
        The build that grows, and its space by step.
    held_tb_by_month
        TB held, shape (positions, draws, months).
    further
        The box that is bought when it is full; None where the remedy is another.
    kept
        Boxes that are kept beside it.
    """
    plannable, kept_tb = space.ladder.plannable_tb, kept_tb_by_month(kept)
    counted = still_kept_tb(kept_tb, build)
    held, due = beside_kept(held_tb_by_month, kept_tb), beside_kept(held_tb_by_month, counted)
    due_above = plannable * build.order_at_fraction
    ordered = _own_steps(drawn, build, space, due, due_above)
    most = _most_tb_by_month(drawn, build, space, ordered)
    first_fill = months_until(held, plannable[..., :1])
    climb = None
    if further is not None:
        left = beside_kept(held_tb_by_month, still_kept_tb(kept_tb, further.build))
        climb = further_climb(build, further, left, most)
    return Growth(
        own=_climb(ordered, build),
        further=climb,
        first_order_month=0,
        stands_by_month=stands_by_month(drawn, build),
        counted_tb_by_month=counted,
        most_tb_by_month=most + kept_tb if kept else most,
        first_fill_months=first_fill,
        headroom_months=months_until(held, most),
        order_by_months=first_fill - np.ceil(build.lead_time_months),
        rule_order_months=months_until(due, due_above[..., :1]),
    )


def still_kept_tb(kept_tb: FloatArray, build: Build) -> FloatArray:
    """TB of what is kept that still stand when an order comes.

    Parameters
    ----------
    kept_tb
        From `kept_tb_by_month`.
    build
        Whose lead time the order takes.
    """
    if kept_tb.shape[-1] == 1:
        return kept_tb
    return advanced(kept_tb, lead_months=build.lead_time_months)


def _climb(ordered: IntArray, build: Build) -> Climb:
    in_place = delayed(ordered, delay_months=build.lead_time_months)
    return Climb(steps_ordered_by_month=ordered, steps_in_place_by_month=in_place.astype(np.int64))


def _own_steps(
    drawn: Scenario, build: Build, space: Space, held: FloatArray, due_above_tb: FloatArray
) -> IntArray:
    """Steps ordered; none is new once its drives are no longer to be had."""
    if due_above_tb.shape[-1] == 1:
        return np.zeros((1, 1, held.shape[-1]), dtype=np.int64)
    ordered = steps_ordered_by_month(
        held_tb_by_month=held, order_above_tb_by_step=due_above_tb[..., :-1]
    )
    for last, reach in _ends(drawn, build, space):
        if last < ordered.shape[-1] - 1:
            ordered = ordered.copy()
            then = reach[ordered[..., last : last + 1]]
            ordered[..., last:] = np.minimum(ordered[..., last:], then)
    return ordered


def _ends(drawn: Scenario, build: Build, space: Space) -> list[tuple[int, IntArray]]:
    """The last months of ordering, and the step that can still be reached from each step then: on
    to the first one whose drives are no longer to be had."""
    swaps = space.pools.stint_numbers_by_step.any(axis=0)
    swap_step = int(swaps.argmax()) if swaps.any() else None
    classes = [
        str(build.swap_to if step == swap_step else build.drives) for step in range(1, len(swaps))
    ]
    until = {drives: drawn.drives[drives].available_until_date for drives in classes}
    lasts = {
        drives: max(months_between(drawn.start_date, day), 0)
        for drives, day in until.items()
        if day is not None
    }
    found = []
    for last in sorted(set(lasts.values())):
        reach = np.arange(len(swaps))
        for step in reversed(range(len(classes))):
            if lasts.get(classes[step], math.inf) > last:
                reach[step] = reach[step + 1]
        found.append((last, reach))
    return found


def _most_tb_by_month(drawn: Scenario, build: Build, space: Space, ordered: IntArray) -> FloatArray:
    """The most a build can still come to hold: every step, or those ordered while one could."""
    plannable, ends = space.ladder.plannable_tb, _ends(drawn, build, space)
    if not ends:
        return plannable[..., -1:]
    most = np.full_like(ordered, plannable.shape[-1] - 1)
    for last, reach in ends:
        if last < ordered.shape[-1]:
            most[..., last:] = reach[ordered[..., last : last + 1]]
    return at_step(plannable, most)


def further_climb(
    build: Build,
    further: FurtherBox,
    held: FloatArray,
    most: FloatArray,
    *,
    where: Any = True,
) -> Climb | None:
    """Steps of further boxes: the first is due at the order point of the build, when it is full.

    Parameters
    ----------
    build, further
        The build before them, and the box that is bought each time.
    held, most
        TB held beside what is kept, and the most that the build can still come to hold, by month.
    where
        Months in which the first may be ordered, (positions, draws, months).
    """
    beyond = np.maximum(held - most, 0.0)
    first_due = (held > most * build.order_at_fraction) & where
    if not first_due.any():
        return None
    plannable = further.space.ladder.plannable_tb
    full, share = plannable[..., -1:], further.build.order_at_fraction
    boxes = min(MOST_FURTHER_BOXES, 2 + math.floor((beyond / (full * share)).max()))
    # Above what is held by the build itself: the boxes before the newest, and a share of that one.
    due_above = np.concatenate(
        [number * full + share * plannable for number in range(boxes)], axis=-1
    )
    later = steps_ordered_by_month(
        held_tb_by_month=beyond, order_above_tb_by_step=due_above[..., :-1]
    )
    ordered = np.maximum.accumulate(first_due, axis=-1) * (1 + later)
    return _climb(ordered, further.build)


def months_until(held: FloatArray, limit_tb: FloatArray) -> FloatArray:
    """Months until what is held exceeds a limit, (positions, draws, 1); infinite for never."""
    months: FloatArray = first_month_over(held_tb_by_month=held, limit_tb=limit_tb)[..., None]
    return months
