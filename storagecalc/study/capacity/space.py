"""What a build holds, as bought and after every step it may still take."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.layouts import Ladder, Layout, capacity_ladder, layout
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.owned import moved_class, moved_drive_count
from storagecalc.study.scenario.scenario import Scenario

IntArray = Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Pools:
    """Drives by step of growth, one row a pool: those in the box first, then each shelf.

    ``drives_by_step`` has shape (pools, steps); a 0 means that the pool is not there yet.
    ``stint_numbers_by_step``, same shape, has the place of its drives among the stints.
    ``layouts`` has the layout of each pool at every step where it exists, ``shelves_by_step``
    counts shelves.
    """

    drives_by_step: IntArray
    stint_numbers_by_step: IntArray
    shelves_by_step: FloatArray
    layouts: tuple[Layout, ...]
    hot_spares: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stint:
    """Drives of one class that pools are filled with, until larger ones take their place.

    ``what`` is what an order calls them, ``drives`` the key of their class. Counts have shape
    (steps,): bought so far, in place (those owned before among them), and swapped out so far.
    """

    what: str
    drives: str
    bought_drives_by_step: FloatArray
    count_by_step: FloatArray
    swapped_drives_by_step: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """Space by step of growth.

    ``ladder`` holds arrays of shape (positions, draws, steps), step 0 as bought, all pools added.
    ``pool_usable_tb`` has one such array a pool. The first of the ``stints`` is as bought; drives
    owned before are among it.
    """

    pools: Pools
    stints: tuple[Stint, ...]
    ladder: Ladder
    pool_usable_tb: tuple[FloatArray, ...]


def space(drawn: Scenario, build: Build) -> Space:
    """Space of a build at each step, pool by pool, then added.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build
        One of its builds.
    """
    pools = pools_of(build)
    return space_of(drawn, build, pools, _stints(drawn, build, pools))


def space_of(drawn: Scenario, build: Build, pools: Pools, stints: tuple[Stint, ...]) -> Space:
    """Space at each step of given pools and drives, pool by pool, then added.

    Parameters
    ----------
    drawn, build
        As of `space`.
    pools, stints
        The pools by step, and the drives that fill them.
    """
    classes = [stint.drives for stint in stints]
    ladders = [
        _pool_ladder(drawn, build, pools, number, classes) for number in range(len(pools.layouts))
    ]
    return Space(
        pools=pools,
        stints=stints,
        ladder=_added(ladders),
        pool_usable_tb=tuple(ladder.usable_tb for ladder in ladders),
    )


def _stints(drawn: Scenario, build: Build, pools: Pools) -> tuple[Stint, ...]:
    """The build's own drives, and the larger ones that it can be swapped to."""
    everything = pools.drives_by_step.sum(axis=0).astype(np.float64)
    larger = (pools.drives_by_step * pools.stint_numbers_by_step).sum(axis=0).astype(np.float64)
    own = Stint(
        what="drives",
        drives=build.drives,
        bought_drives_by_step=everything - moved_drive_count(drawn.owned, build),
        count_by_step=everything - larger,
        swapped_drives_by_step=larger,
    )
    if build.swap_to is None:
        return (own,)
    swapped = Stint(
        what="larger drives",
        drives=build.swap_to,
        bought_drives_by_step=larger,
        count_by_step=larger,
        swapped_drives_by_step=np.zeros_like(larger),
    )
    return own, swapped


def classes_in(drawn: Scenario, build: Build, space: Space) -> tuple[str, ...]:
    """The classes of all drives that a build ever has, those owned before among them."""
    moved = moved_class(drawn.owned, build)
    found = [stint.drives for stint in space.stints] + ([] if moved is None else [moved])
    return tuple(dict.fromkeys(found))


def at_step(by_step: FloatArray, steps: IntArray) -> FloatArray:
    """Values (positions, draws, steps) looked up at the step of each month."""
    if by_step.shape[:2] == (1, 1):
        return looked_up(by_step[0, 0], steps)
    shape = np.broadcast_shapes(by_step.shape[:2], steps.shape[:2])
    return np.take_along_axis(
        np.broadcast_to(by_step, (*shape, by_step.shape[2])),
        np.broadcast_to(steps, (*shape, steps.shape[2])),
        axis=-1,
    )


def looked_up(by_step: FloatArray, steps: IntArray) -> FloatArray:
    """One row of values looked up at the step of each month, without draws where all are alike."""
    if by_step.size == 1 or (by_step == by_step[0]).all():
        return np.full((1, 1, steps.shape[-1]), by_step[0], dtype=np.float64)
    return np.asarray(by_step.take(steps))


def pools_of(build: Build) -> Pools:
    """Every step a build can take, in order: fill the box, swap its drives, shelf after shelf."""
    shelf = build.shelf
    return _pools(
        _Room(
            redundancy=build.redundancy,
            grows_by=build.grows_by,
            drives_per_step=build.drives_per_step,
            hot_spares=build.hot_spares,
            swaps=build.swap_to is not None,
            box=(build.drives_at_first, build.bays),
            shelves=((shelf.drives_at_first, shelf.bays),) * shelf.shelves_at_most if shelf else (),
        )
    )


class _Room(NamedTuple):
    """The counts and choices that decide the steps; box and shelves as drives at first and bays."""

    redundancy: str
    grows_by: str
    drives_per_step: int
    hot_spares: int
    swaps: bool
    box: tuple[int, int]
    shelves: tuple[tuple[int, int], ...]


# A scenario asks again for the same few builds at every position and every move of a slider.
@lru_cache(maxsize=256)
def _pools(room: _Room) -> Pools:
    rows = _box_rows(room)
    in_box = len(rows)
    swaps_at = len(rows[0]) if room.swaps else None
    if swaps_at is not None:
        rows = [[*row, row[-1]] for row in rows]
    for shelf in room.shelves:
        rows = _with_pool(rows, _counts(room, *shelf))
    drives = np.array(rows)
    stints = np.zeros_like(drives)
    if swaps_at is not None:
        stints[:in_box, swaps_at:] = 1
    shelves = (drives[in_box:] > 0).sum(axis=0).astype(np.float64)
    return laid_out(room.redundancy, room.hot_spares, drives, stints, shelves)


def laid_out(
    redundancy: str, hot_spares: int, drives: IntArray, stints: IntArray, shelves: FloatArray
) -> Pools:
    """Pools by step with their layouts; hot spares are in the first one alone.

    Parameters
    ----------
    redundancy, hot_spares
        Of the build.
    drives, stints
        Drives of each pool by step, and their places among the stints: (pools, steps).
    shelves
        Shelves by step.
    """
    for shared in (drives, stints, shelves):
        shared.setflags(write=False)
    spares = (hot_spares,) + (0,) * (len(drives) - 1)
    return Pools(
        drives_by_step=drives,
        stint_numbers_by_step=stints,
        shelves_by_step=shelves,
        layouts=tuple(
            layout(redundancy=redundancy, drive_count=row[row > 0], hot_spares=spare)
            for row, spare in zip(drives, spares, strict=True)
        ),
        hot_spares=spares,
    )


def _box_rows(room: _Room) -> list[list[int]]:
    first, bays = room.box
    if room.grows_by != "whole pools":
        return [_counts(room, first, bays)]
    rows = [[first]]
    for _ in range(bays // first - 1):
        rows = _with_pool(rows, [first])
    return rows


def _with_pool(rows: list[list[int]], counts: list[int]) -> list[list[int]]:
    """The pools with one more that comes last, and the others as full as they have become."""
    steps_so_far = len(rows[0])
    earlier = [row + [row[-1]] * len(counts) for row in rows]
    return [*earlier, [0] * steps_so_far + counts]


def _counts(room: _Room, first: int, bays: int) -> list[int]:
    """Drives in a pool from its first filling on, step by step."""
    if room.grows_by in ("swapping", "whole pools"):
        return [first]
    return list(range(first, bays + 1, room.drives_per_step))


def _pool_ladder(
    drawn: Scenario, build: Build, pools: Pools, number: int, classes: Sequence[str]
) -> Ladder:
    there = pools.drives_by_step[number] > 0
    labels_tb, counts_tb = _drive_sizes_tb(drawn, build, pools, number, classes)
    ladder = capacity_ladder(
        layout=pools.layouts[number],
        drive_tb=counts_tb,
        formatting_fraction=drawn.filling.formatting_fraction,
        snapshot_fraction=drawn.filling.snapshot_fraction,
        free_fraction=drawn.filling.free_fraction,
    )
    absent = there.size - int(there.sum())
    return Ladder(
        nominal_tb=_after(labels_tb, absent),
        usable_tb=_after(ladder.usable_tb, absent),
        formatted_tb=_after(ladder.formatted_tb, absent),
        writable_tb=_after(ladder.writable_tb, absent),
        plannable_tb=_after(ladder.plannable_tb, absent),
    )


def _drive_sizes_tb(
    drawn: Scenario, build: Build, pools: Pools, number: int, classes: Sequence[str]
) -> tuple[Any, Any]:
    """What the labels of a pool's drives add up to at each step, and what each drive counts as.

    Unequal drives in one pool all count as the smallest of them.
    """
    there = pools.drives_by_step[number] > 0
    count, stints = pools.drives_by_step[number][there], pools.stint_numbers_by_step[number][there]
    first = int(stints[0])
    size_tb = drawn.drives[classes[first]].size_tb
    old_tb, olds = size_tb, 0
    moved = moved_class(drawn.owned, build)
    if moved is not None and number == 0:
        old_tb, olds = drawn.drives[moved].size_tb, moved_drive_count(drawn.owned, build)
    counts_tb = np.minimum(size_tb, old_tb)
    labels: Any = old_tb * olds + size_tb * (count - olds)
    for later in sorted(set(stints.tolist()) - {first}):
        # Where sizes are ranges, a future may have none that are larger: nobody swaps to smaller.
        larger_tb = np.maximum(drawn.drives[classes[later]].size_tb, counts_tb)
        labels = np.where(stints >= later, larger_tb * count, labels)
        counts_tb = np.where(stints >= later, larger_tb, counts_tb)
    return labels, np.broadcast_to(counts_tb, np.shape(labels))


def _after(tb: Any, absent: int) -> FloatArray:
    """The space of a pool by step, nothing before it exists, with all three axes."""
    some = np.asarray(tb, dtype=np.float64)
    some = some if some.ndim == 3 else some[None, None]
    if not absent:
        return some
    return np.concatenate([np.zeros((*some.shape[:2], absent)), some], axis=-1)


def _added(ladders: list[Ladder]) -> Ladder:
    if len(ladders) == 1:
        return ladders[0]
    return Ladder(
        **{name: sum(getattr(each, name) for each in ladders) for name in Ladder.__slots__}
    )
