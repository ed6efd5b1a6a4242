"""What a build holds, as bought and after every step it may still take."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.layouts import Ladder, Layout, capacity_ladder, layout
from storagecalc.study.axes import first_lane
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

IntArray = Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Pools:
    """Drives by step of growth, one row a pool: those in the box first, then each shelf.

    ``drives_by_step`` has shape (pools, steps); a 0 means that the pool is not there yet.
    ``swapped_by_step``, same shape, tells where a pool has been swapped to the larger drives.
    ``layouts`` has the layout of each pool at every step where it exists.
    """

    drives_by_step: IntArray
    swapped_by_step: IntArray
    layouts: tuple[Layout, ...]
    hot_spares: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """Space by step of growth.

    ``ladder`` holds arrays of shape (positions, draws, steps), step 0 as bought, all pools added.
    ``pool_usable_tb`` has one such array a pool.
    """

    pools: Pools
    ladder: Ladder
    pool_usable_tb: tuple[FloatArray, ...]

    @property
    def at_middle(self) -> "Capacity":
        """The same at the middle of every range; pools are counts and have no draws."""
        return Capacity(
            pools=self.pools,
            ladder=first_lane(self.ladder),
            pool_usable_tb=first_lane(self.pool_usable_tb),
        )


def capacity(numbers: Scenario, build: Build) -> Capacity:
    """Space of a build at each step, pool by pool, then added.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays.
    build
        One of its builds.
    """
    pools = pools_of(build)
    ladders = [_pool_ladder(numbers, build, pools, number) for number in range(len(pools.layouts))]
    return Capacity(
        pools=pools,
        ladder=_added(ladders),
        pool_usable_tb=tuple(ladder.usable_tb for ladder in ladders),
    )


def pools_of(build: Build) -> Pools:
    """Every step a build can take, in order: fill the box, swap its drives, shelf after shelf."""
    rows = _box_rows(build)
    in_box = len(rows)
    swaps_at = len(rows[0]) if build.swap_to else None
    if swaps_at is not None:
        rows = [[*row, row[-1]] for row in rows]
    for shelf in [build.shelf] * build.shelf.shelves_at_most if build.shelf else []:
        rows = _with_pool(rows, _counts(build, shelf.drives_at_first, shelf.bays))
    drives = np.array(rows)
    swapped = np.zeros_like(drives, dtype=bool)
    if swaps_at is not None:
        swapped[:in_box, swaps_at:] = True
    spares = (build.hot_spares,) + (0,) * (len(rows) - 1)
    layouts = tuple(
        layout(redundancy=build.redundancy, drive_count=row[row > 0], hot_spares=spare)
        for row, spare in zip(drives, spares, strict=True)
    )
    return Pools(drives_by_step=drives, swapped_by_step=swapped, layouts=layouts, hot_spares=spares)


def _box_rows(build: Build) -> list[list[int]]:
    first = build.drives_at_first
    if build.grows_by != "whole pools":
        return [_counts(build, first, build.bays)]
    rows = [[first]]
    for _ in range(build.bays // first - 1):
        rows = _with_pool(rows, [first])
    return rows


def _with_pool(rows: list[list[int]], counts: list[int]) -> list[list[int]]:
    """The pools with one more that comes last, and the others as full as they have become."""
    steps_so_far = len(rows[0])
    earlier = [row + [row[-1]] * len(counts) for row in rows]
    return [*earlier, [0] * steps_so_far + counts]


def _counts(build: Build, first: int, bays: int) -> list[int]:
    """Drives in a pool from its first filling on, step by step."""
    if build.grows_by in ("swapping", "whole pools"):
        return [first]
    return list(range(first, bays + 1, build.drives_per_step))


def _pool_ladder(numbers: Scenario, build: Build, pools: Pools, number: int) -> Ladder:
    there = pools.drives_by_step[number] > 0
    labels_tb, counts_tb = _drive_sizes_tb(numbers, build, pools, number)
    ladder = capacity_ladder(
        layout=pools.layouts[number],
        drive_tb=counts_tb,
        formatting_fraction=numbers.filling.formatting_fraction,
        snapshot_fraction=numbers.filling.snapshot_fraction,
        free_fraction=numbers.filling.free_fraction,
    )
    rungs = {name: getattr(ladder, name) for name in Ladder.__slots__}
    rungs["nominal_tb"] = labels_tb
    return Ladder(**{name: _after(tb, int(np.sum(~there))) for name, tb in rungs.items()})


def _drive_sizes_tb(numbers: Scenario, build: Build, pools: Pools, number: int) -> tuple[Any, Any]:
    """What the labels of a pool's drives add up to at each step, and what each drive counts as.

    Unequal drives in one pool all count as the smallest of them.
    """
    there = pools.drives_by_step[number] > 0
    count, swapped = pools.drives_by_step[number][there], pools.swapped_by_step[number][there]
    size_tb = numbers.drives[build.drives].size_tb
    old_tb, olds = size_tb, 0
    if build.old_drives is not None and number == 0:
        old_tb, olds = numbers.drives[build.old_drives].size_tb, build.old_drive_count
    larger_tb = numbers.drives[build.swap_to].size_tb if build.swap_to else size_tb
    labels = np.where(swapped, larger_tb * count, old_tb * olds + size_tb * (count - olds))
    return labels, np.where(swapped, larger_tb, np.minimum(size_tb, old_tb) * np.ones(count.shape))


def _after(tb: Any, absent: int) -> FloatArray:
    """The space of a pool by step, nothing before it exists, with all three axes."""
    some = np.asarray(tb, dtype=np.float64)
    some = some if some.ndim == 3 else some[None, None]
    if not absent:
        return some
    return np.concatenate([np.zeros((*some.shape[:2], absent)), some], axis=-1)


def _added(ladders: list[Ladder]) -> Ladder:
    return Ladder(
        **{name: sum(getattr(each, name) for each in ladders) for name in Ladder.__slots__}
    )
