"""What a build holds, as bought and after every step it may still take."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.layouts import Ladder, Layout, capacity_ladder, layout
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

IntArray = Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Pools:
    """Drives by step of growth, one row a pool: the box first, then each shelf.

    ``drives_by_step`` has shape (pools, steps); a 0 means that the shelf is not there yet.
    ``layouts`` has the layout of each pool at every step where it exists.
    """

    drives_by_step: IntArray
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
    """Every step a build can take, in order: fill the box, then shelf after shelf."""
    box = _counts(build.drives_at_first, build.bays, build.drives_per_step)
    rows = [[*box]]
    for shelf in [build.shelf] * build.shelf.shelves_at_most if build.shelf else []:
        added = _counts(shelf.drives_at_first, shelf.bays, build.drives_per_step)
        steps_so_far = len(rows[0])
        rows = [row + [row[-1]] * len(added) for row in rows]
        rows.append([0] * steps_so_far + added)
    spares = (build.hot_spares,) + (0,) * (len(rows) - 1)
    drives = np.array(rows)
    layouts = tuple(
        layout(redundancy=build.redundancy, drive_count=row[row > 0], hot_spares=spare)
        for row, spare in zip(drives, spares, strict=True)
    )
    return Pools(drives_by_step=drives, layouts=layouts, hot_spares=spares)


def _counts(first: int, bays: int, step: int) -> list[int]:
    return list(range(first, bays + 1, step))


def _pool_ladder(numbers: Scenario, build: Build, pools: Pools, number: int) -> Ladder:
    ladder = capacity_ladder(
        layout=pools.layouts[number],
        drive_tb=numbers.drives[build.drives].size_tb,
        formatting_fraction=numbers.filling.formatting_fraction,
        snapshot_fraction=numbers.filling.snapshot_fraction,
        free_fraction=numbers.filling.free_fraction,
    )
    absent = int(np.sum(pools.drives_by_step[number] == 0))
    return Ladder(**{name: _after(getattr(ladder, name), absent) for name in Ladder.__slots__})


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
