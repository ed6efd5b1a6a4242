"""What may have been ordered by a month, and what an order leads to from there.

A state says for each pool that stands or may come (an axis) its unit, its number of drives and
their size, or that it is not there. All states together are one array with those axes.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from math import prod
from typing import Any

import numpy as np
import numpy.typing as npt

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion_problem import OwnedPool, Problem

IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

NOTHING = -1
"""Unit and drive of a pool that is not there; tables by unit or drive end with its zero."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """The states of a pool in one kind of unit: drive counts by sizes, sizes innermost."""

    start: int
    counts: int
    drives: IntArray

    @property
    def stop(self) -> int:
        """The first state behind it."""
        return self.start + self.counts * len(self.drives)


class Axis:
    """The states of one pool.

    Parameters
    ----------
    kinds
        For each unit it may be: its place among the options, drive counts, places of its drives.
    pool
        Its number where it is owned; None: its first state is nothing.
    """

    def __init__(
        self, kinds: Sequence[tuple[int, Sequence[int], Sequence[int]]], pool: int | None
    ) -> None:
        self.pool = pool
        self.blocks: list[Block] = []
        states = [(NOTHING, 0, NOTHING)] if pool is None else []
        for unit, counts, drives in kinds:
            self.blocks.append(
                Block(start=len(states), counts=len(counts), drives=np.array(drives, np.int64))
            )
            states += [(unit, count, drive) for count in counts for drive in drives]
        self.unit, self.count, self.drive = np.array(states, np.int64).T

    def __len__(self) -> int:
        return len(self.unit)


class States:
    """All states, boxes on the first axes, and the way from one to another.

    Parameters
    ----------
    problem
        Which pools stand, which may come, and what is for sale when.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.units = problem.unit_options
        self.drives = sorted(problem.drive_options, key=lambda option: option.size_tb)
        sale = [
            [option.is_for_sale(month) for option in self.drives] + [False]
            for month in range(problem.order_months)
        ]
        self.for_sale: BoolArray = np.array(sale)
        self._all_for_sale: BoolArray = np.all(self.for_sale[:, :-1], axis=1)
        self.axes = self._axes()
        self.shape = tuple(len(axis) for axis in self.axes)
        self.size = prod(self.shape)
        self.swaps = problem.allow_swap
        self.start = tuple(0 for _ in self.axes)

    def spread(self, by_axis: Sequence[Any]) -> Any:
        """The sum over the axes for every state: an array (..., states).

        The first axis may have further axes before it, which stay.
        """
        total: Any = np.zeros(1)
        for values in reversed(by_axis):
            total = (values[..., np.newaxis] + total).reshape(*values.shape[:-1], -1)
        return total

    def plannable_tb(self) -> FloatArray:
        """Plannable TB of every state, once it stands."""
        sizes = np.array([drive.size_tb for drive in self.drives])
        by_axis = []
        for axis in self.axes:
            tb = np.zeros(len(axis))
            for unit in set(axis.unit.tolist()) - {NOTHING}:
                there = axis.unit == unit
                tb[there] = self.units[unit].usable_tb(axis.count[there], sizes[axis.drive[there]])
            by_axis.append(self.problem.plannable_fraction * tb)
        return np.broadcast_to(self.spread(by_axis), (self.size,))

    def barred(self) -> IntArray:
        """The states that may not be: a shelf without its box, one box too many of a kind."""
        wrong = np.zeros(self.shape, np.bool_)
        boxes = [a for a, axis in enumerate(self.axes) if self._may_be_box(axis)]
        for unit, option in enumerate(self.units):
            if option.is_box:
                count = sum(self._along(a, self.axes[a].unit == unit).astype(int) for a in boxes)
                wrong |= np.broadcast_to(count > option.at_most, self.shape)
                continue
            fits = [u for u, box in enumerate(self.units) if box.key in option.needs_one_of]
            no_box = ~reduce(
                np.logical_or,
                (self._along(a, np.isin(self.axes[a].unit, fits)) for a in boxes),
                np.zeros((1,) * len(self.shape), np.bool_),
            )
            for a, axis in enumerate(self.axes):
                if a not in boxes:
                    wrong |= self._along(a, axis.unit == unit) & no_box
        return np.flatnonzero(wrong)

    def least_ahead(self, cost: FloatArray, month: int) -> None:
        """Puts in the place of each cost the least of all states that an order may lead to.

        Without swaps; ``cost`` is (columns, states). A box that comes may take any column.
        """
        before, behind = len(cost), self.size
        for place, axis in enumerate(self.axes):
            behind //= len(axis)
            view = cost.reshape(before, len(axis), behind)
            first = [
                self._run(view[:, block.start : block.stop], block, month) for block in axis.blocks
            ]
            if axis.pool is None and first:
                least = reduce(np.minimum, first)
                if place == 0 and before > 1:
                    least[-1] = least.min(axis=0)
                np.minimum(view[:, 0], least, out=view[:, 0])
            before *= len(axis)

    def least_swapped(self, least: FloatArray, month: int) -> FloatArray:
        """For each state the least behind a swap of the first axis: of what `least_ahead` made."""
        axis = self.axes[0]
        ahead = least.min(axis=0).reshape(len(axis), -1)
        swapped = np.full(ahead.shape, np.inf)
        for block in axis.blocks:
            shape = (block.counts, len(block.drives), -1)
            old, new = (x[block.start : block.stop].reshape(shape) for x in (swapped, ahead))
            for size in range(len(block.drives) - 1, 0, -1):
                if self.for_sale[month, block.drives[size]]:
                    best = new[:, size]
                    old[:, size - 1] = np.minimum(old[:, size], best)
                else:
                    old[:, size - 1] = old[:, size]
        return swapped.reshape(-1)

    def reached(self, axis: Axis, state: int, month: int) -> BoolArray:
        """States of one axis that an order leads to without a swap, the state itself included."""
        found: BoolArray = self.for_sale[month, axis.drive]
        if axis.unit[state] != NOTHING:
            found &= (axis.unit == axis.unit[state]) & (axis.drive == axis.drive[state])
            found &= axis.count >= axis.count[state]
        return found | (np.arange(len(axis)) == state)

    def swapped_to(self, axis: Axis, state: int, month: int) -> BoolArray:
        """States of one axis that a swap leads to."""
        found: BoolArray = self.for_sale[month, axis.drive] & (axis.unit == axis.unit[state])
        return found & (axis.drive > axis.drive[state]) & (axis.count >= axis.count[state])

    def _run(self, part: FloatArray, block: Block, month: int) -> FloatArray:
        """A running minimum over more and more drives; what it comes to for a new pool."""
        by_count = part.reshape(len(part), block.counts, len(block.drives), -1)
        if self._all_for_sale[month]:
            for count in range(block.counts - 2, -1, -1):
                np.minimum(by_count[:, count], by_count[:, count + 1], out=by_count[:, count])
            return by_count[:, 0].min(axis=1)
        new = np.full_like(by_count[:, 0, 0], np.inf)
        for size in np.flatnonzero(self.for_sale[month, block.drives]):
            for count in range(block.counts - 2, -1, -1):
                here = by_count[:, count, size]
                np.minimum(here, by_count[:, count + 1, size], out=here)
            np.minimum(new, by_count[:, 0, size], out=new)
        return new

    def _axes(self) -> list[Axis]:
        problem = self.problem
        left = Counter({option.key: option.at_most for option in self.units})
        left.subtract(pool.unit for pool in problem.owned)
        ever = [place for place in range(len(self.drives)) if self.for_sale[:, place].any()]
        boxes: list[Axis] = []
        shelves: list[Axis] = []
        for number, pool in enumerate(problem.owned):
            (boxes if problem.unit(pool.unit).is_box else shelves).append(
                self._owned_axis(number, pool, ever)
            )
        kinds = [(u, unit.drive_counts, ever) for u, unit in enumerate(self.units)]
        kinds = [kind for kind in kinds if ever and left[self.units[kind[0]].key]]
        new_boxes = [kind for kind in kinds if self.units[kind[0]].is_box]
        room = sum(left[self.units[unit].key] for unit, _, _ in new_boxes)
        room = min(problem.boxes_at_most - len(boxes), room)
        boxes += [Axis(new_boxes, None) for _ in range(room)]
        for kind in kinds:
            if not self.units[kind[0]].is_box:
                shelves += [Axis([kind], None) for _ in range(left[self.units[kind[0]].key])]
        # Where nothing stands and nothing may come, one pool that is not there is all there is.
        return boxes + shelves or [Axis([], None)]

    def _owned_axis(self, number: int, pool: OwnedPool, ever: Sequence[int]) -> Axis:
        unit = [option.key for option in self.units].index(pool.unit)
        own = [option.key for option in self.drives].index(pool.drive)
        larger = self.problem.allow_swap and self.units[unit].is_box
        drives = [own, *(place for place in ever if larger and place > own)]
        counts = [count for count in self.units[unit].drive_counts if count >= pool.drives]
        return Axis([(unit, counts, drives)], number)

    def _may_be_box(self, axis: Axis) -> bool:
        return all(unit == NOTHING or self.units[unit].is_box for unit in axis.unit.tolist())

    def _along(self, place: int, values: BoolArray) -> BoolArray:
        """Values along one axis, shaped to broadcast with all states."""
        return values.reshape([-1 if a == place else 1 for a in range(len(self.shape))])
