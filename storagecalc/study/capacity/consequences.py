"""What the steps of a build bring: drives, shelves and space, ordered and in place by month."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import new_by_month
from storagecalc.study.capacity.growth import Growth
from storagecalc.study.capacity.space import Space, at_step, looked_up
from storagecalc.study.scenario.builds import Build


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequences:
    """What one build buys and has, arrays of shape (positions, draws, months).

    What is ordered is dated by the order, month 0 with the first purchase and cold spares in it;
    what is in place by the delivery, drives owned before included. Larger drives are those swapped
    in; they are counted in ``drive_count_by_month`` too. ``unmet_tb_by_month`` is what the build
    cannot hold; ``beyond_tb_by_month`` the part of it that no further step will ever hold.
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


def consequences(
    build: Build, space: Space, grown: Growth, held_tb_by_month: FloatArray
) -> Consequences:
    """What the steps of a build bring, and what it then cannot hold.

    Parameters
    ----------
    build, space
        The build, its ranges numbers or arrays, and its space by step.
    grown
        Which steps it orders when.
    held_tb_by_month
        TB held, shape (positions, draws, months).
    """
    ordered, in_place = grown.steps_ordered_by_month, grown.steps_in_place_by_month
    drives, swapped, shelves = _things_by_step(build, space)
    ready = at_step(space.ladder.plannable_tb, in_place)
    return Consequences(
        steps_in_place_by_month=in_place,
        drives_ordered_by_month=_ordered(drives, ordered, spare=build.cold_spares),
        larger_drives_ordered_by_month=_ordered(swapped, ordered),
        shelves_ordered_by_month=_ordered(shelves, ordered),
        drive_count_by_month=looked_up(drives, in_place) + build.old_drive_count,
        larger_drive_count_by_month=looked_up(swapped, in_place),
        shelf_count_by_month=looked_up(shelves, in_place),
        plannable_tb_by_month=ready,
        unmet_tb_by_month=np.maximum(held_tb_by_month - ready, 0.0),
        beyond_tb_by_month=np.maximum(held_tb_by_month - grown.most_tb_by_month, 0.0),
    )


def _things_by_step(build: Build, space: Space) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Drives of the build's own class, larger drives swapped in, and shelves, at each step."""
    pools = space.pools
    drives = pools.drives_by_step.sum(axis=0) - float(build.old_drive_count)
    swapped = (pools.drives_by_step * pools.swapped_by_step).sum(axis=0).astype(np.float64)
    boxes = 1 if build.shelf is None else len(pools.drives_by_step) - build.shelf.shelves_at_most
    in_shelves = pools.drives_by_step[boxes:] if build.shelf else pools.drives_by_step[:0]
    return drives, swapped, (in_shelves > 0).sum(axis=0).astype(np.float64)


def _ordered(by_step: FloatArray, steps: Any, *, spare: int = 0) -> FloatArray:
    """Things ordered in each month as the steps go on, those of the start and spares in month 0."""
    new: FloatArray = new_by_month(looked_up(by_step, steps))
    new[..., 0] += spare
    return new
