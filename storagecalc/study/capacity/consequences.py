"""What the steps bring: boxes, shelves, drives and space, ordered and in place by month."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import new_by_month
from storagecalc.models.ordering import IntArray
from storagecalc.study.capacity.drives_in_service import (
    DrivesInService,
    StintByMonth,
    drives_in_service,
    kept_in_service,
)
from storagecalc.study.capacity.growth import Climb, Growth
from storagecalc.study.capacity.owned import KeptBox
from storagecalc.study.capacity.space import Space, Stint, at_step, looked_up
from storagecalc.study.capacity.steps import FurtherBox, Steps, further_steps, own_steps
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """The first box with its shelves and drives, a box kept beside it, or all further boxes.

    Arrays of shape (positions, draws, months). What is ordered is dated by the order, month 0 with
    the first purchase and cold spares in it; what is in place by the delivery.
    ``orders_by_month`` counts orders sent, one for each box that gets anything in the month.
    ``drives`` has the drives by what an order calls them. ``stands_by_month`` is 1 while a box that
    was owned before is kept beside the first; None for what is no such box.
    """

    build: Build
    is_further: bool
    boxes_ordered_by_month: FloatArray
    shelves_ordered_by_month: FloatArray
    orders_by_month: FloatArray
    box_count_by_month: FloatArray
    shelf_count_by_month: FloatArray
    plannable_tb_by_month: FloatArray
    drives: Mapping[str, DrivesInService]
    stands_by_month: FloatArray | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequences:
    """What one alternative buys and has, arrays of shape (positions, draws, months).

    ``kept`` are boxes that stay beside the first. ``further`` is None where no future needs a
    further box. ``plannable_tb_by_month`` is all space
    in place. ``own_unmet_tb_by_month`` is what its own steps do not hold, ``beyond_tb_by_month``
    the part of it that none of them ever will, and ``unmet_tb_by_month`` what nothing in place
    holds. ``further_months_by_step`` are the months that all further boxes stand at each step of
    theirs, shape (positions, draws, steps).
    """

    own: Holding
    kept: tuple[Holding, ...]
    further: Holding | None
    plannable_tb_by_month: FloatArray
    own_unmet_tb_by_month: FloatArray
    beyond_tb_by_month: FloatArray
    unmet_tb_by_month: FloatArray
    further_months_by_step: FloatArray

    @property
    def further_boxes(self) -> FloatArray:
        """Further boxes ordered by the end, shape (positions, draws, 1)."""
        if self.further is None:
            return np.zeros((1, 1, 1))
        boxes: FloatArray = self.further.boxes_ordered_by_month.sum(axis=-1, keepdims=True)
        return boxes

    @property
    def drive_failures(self) -> FloatArray:
        """Drives that fail in all months, shape (positions, draws, 1)."""
        failures = (own.failures for each in self.holdings for own in each.drives.values())
        return sum(failures, np.zeros((1, 1, 1)))

    @property
    def holdings(self) -> tuple[Holding, ...]:
        """The first box, what is kept beside it, and further boxes where there are any."""
        first = (self.own, *self.kept)
        return first if self.further is None else (*first, self.further)


def consequences(
    drawn: Scenario,
    build: Build,
    space: Space,
    grown: Growth,
    held_tb_by_month: FloatArray,
    box: FurtherBox | None,
    kept: tuple[KeptBox, ...] = (),
) -> Consequences:
    """What the steps of one alternative bring, and what it then does not hold.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, space, grown
        The build, its space by step, and which steps are ordered when.
    held_tb_by_month
        TB held, shape (positions, draws, months).
    box
        The box that is bought when all before it are full.
    kept
        Boxes that are kept beside the build.
    """
    own = _holding(drawn, build, own_steps(space), grown)
    further = None
    if box is not None and grown.further is not None:
        further = _further(drawn, box, grown.further)
    beside = tuple(_kept(drawn, each) for each in kept)
    ready = sum((each.plannable_tb_by_month for each in beside), own.plannable_tb_by_month)
    own_unmet = np.maximum(held_tb_by_month - ready, 0.0)
    if further is not None:
        ready = ready + further.plannable_tb_by_month
    return Consequences(
        own=own,
        kept=beside,
        further=further,
        plannable_tb_by_month=ready,
        own_unmet_tb_by_month=own_unmet,
        beyond_tb_by_month=np.maximum(held_tb_by_month - grown.most_tb_by_month, 0.0),
        unmet_tb_by_month=np.maximum(held_tb_by_month - ready, 0.0) if further else own_unmet,
        further_months_by_step=_months_by_step(grown.further, box),
    )


def _months_by_step(climb: Climb | None, box: FurtherBox | None) -> FloatArray:
    """Months that further boxes stand at each step: those before the newest are full."""
    each = 1 if box is None else box.space.ladder.plannable_tb.shape[-1]
    if climb is None:
        return np.zeros((1, 1, each))
    steps = climb.steps_in_place_by_month
    newest = np.stack(
        [((steps > 0) & ((steps - 1) % each == step)).sum(axis=-1) for step in range(each)],
        axis=-1,
    ).astype(np.float64)
    newest[..., -1] += np.maximum(-(-steps // each) - 1, 0).sum(axis=-1)
    return newest


def filled_fraction(brought: Consequences, held_tb_by_month: FloatArray) -> FloatArray:
    """How full all space in place is: what is held spreads over all of it alike."""
    ready = brought.plannable_tb_by_month
    some = ready if ready.all() else np.where(ready > 0, ready, 1.0)
    filled: FloatArray = np.minimum(held_tb_by_month, ready) / some
    return filled


def while_kept(holding: Holding, amount: FloatArray) -> FloatArray:
    """An amount in the months in which a kept box stands; all of it for any other holding."""
    return _while(holding.stands_by_month, amount)


def _kept(drawn: Scenario, box: KeptBox) -> Holding:
    none, kept = np.zeros((1, 1, drawn.horizon_months)), box.stands_by_month
    return Holding(
        build=box.build,
        is_further=False,
        boxes_ordered_by_month=none,
        shelves_ordered_by_month=none,
        orders_by_month=none,
        box_count_by_month=kept,
        shelf_count_by_month=none,
        plannable_tb_by_month=box.space.ladder.plannable_tb * kept,
        drives=kept_in_service(drawn, box.build, kept),
        stands_by_month=kept,
    )


def _while(stands: FloatArray | None, amount: FloatArray) -> FloatArray:
    """An amount in the months in which there is what it is an amount of."""
    return amount if stands is None else amount * stands


def _holding(drawn: Scenario, build: Build, steps: Steps, grown: Growth) -> Holding:
    climb, stands = grown.own, grown.stands_by_month
    first, in_place = grown.first_order_month, climb.steps_in_place_by_month
    boxes = _ordered(steps.boxes_by_step, climb, first)
    spares = np.zeros((1, 1, drawn.horizon_months))
    spares[..., first : first + 1] = build.cold_spares
    bought: Any = (boxes if build.starts_in is None else 0.0) + spares
    stints = [_by_month(drawn, stint, climb, first, stands) for stint in steps.stints]
    for each in stints:
        bought = bought + each.ordered_drives_by_month
    return Holding(
        build=build,
        is_further=False,
        boxes_ordered_by_month=boxes,
        shelves_ordered_by_month=_ordered(steps.shelves_by_step, climb, first),
        orders_by_month=(bought > 0).astype(np.float64),
        box_count_by_month=_while(stands, looked_up(steps.boxes_by_step, in_place)),
        shelf_count_by_month=_while(stands, looked_up(steps.shelves_by_step, in_place)),
        plannable_tb_by_month=_while(stands, at_step(steps.plannable_tb, in_place)),
        drives=drives_in_service(drawn, build, stints, spares, stands),
    )


def _by_month(
    drawn: Scenario, stint: Stint, climb: Climb, first_month: int, stands: FloatArray | None
) -> StintByMonth:
    in_place = climb.steps_in_place_by_month
    return StintByMonth(
        what=stint.what,
        key=stint.drives,
        drives=drawn.drives[stint.drives],
        ordered_drives_by_month=_ordered(stint.bought_drives_by_step, climb, first_month),
        count_by_month=_while(stands, looked_up(stint.count_by_step, in_place)),
        swapped_drives_by_month=looked_up(stint.swapped_drives_by_step, in_place),
    )


def _further(drawn: Scenario, box: FurtherBox, climb: Climb) -> Holding:
    """All further boxes, each with its own cold spares, together."""
    each = box.space.ladder.plannable_tb.shape[-1]
    ordered, in_place = climb.steps_ordered_by_month, climb.steps_in_place_by_month
    steps = further_steps(box, max(1, -(-int(ordered.max()) // each)))
    boxes, none = _ordered(steps.boxes_by_step, climb, 0), np.zeros((1, 1, ordered.shape[-1]))
    stints = [_by_month(drawn, stint, climb, 0, None) for stint in steps.stints]
    return Holding(
        build=box.build,
        is_further=True,
        boxes_ordered_by_month=boxes,
        shelves_ordered_by_month=none,
        orders_by_month=_boxes_touched(ordered, each),
        box_count_by_month=looked_up(steps.boxes_by_step, in_place),
        shelf_count_by_month=none,
        plannable_tb_by_month=at_step(steps.plannable_tb, in_place),
        drives=drives_in_service(drawn, box.build, stints, boxes * box.build.cold_spares, None),
    )


def _boxes_touched(steps_ordered_by_month: IntArray, steps_each: int) -> FloatArray:
    """How many further boxes get anything in each month: each is an order of its own."""
    after = steps_ordered_by_month
    before = after - new_by_month(after).astype(np.int64)
    touched = -(-after // steps_each) - (before // steps_each)
    counts: FloatArray = np.where(after > before, touched, 0).astype(np.float64)
    return counts


def _ordered(by_step: FloatArray, climb: Climb, first_month: int) -> FloatArray:
    """Things ordered in each month as the steps go on, those of step 0 in the first month."""
    so_far = looked_up(by_step, climb.steps_ordered_by_month)
    if first_month:
        so_far = so_far * (np.arange(so_far.shape[-1]) >= first_month)
    new: FloatArray = new_by_month(so_far)
    return new
