"""The chain behind every loss probability: drives of a group fail and are rebuilt at given rates.

States are the numbers of failed drives, 0 to ``parity_drives``; one more failure is the loss, which
is final. Every number is a sum of products of positive numbers, so a loss probability
of 1e-15 is as exact as one of 0.1. Working out one minus the chance of survival would leave no
correct digit of it.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_choice, checked_whole
from storagecalc.models.units import HOURS_PER_YEAR

REPAIRS = ("parallel", "one at a time")
# Far beyond any real group, small enough that every rate times its time stays finite.
MOST_DRIVES = 1000
MOST_PARITY_DRIVES = 8
MOST_FAILURES_PER_DRIVE_YEAR = 1e6
LEAST_REBUILD_H = 1e-3

# Expected events (failures, rebuilds) in the short step that the Taylor series covers.
SHORT_STEP_EVENTS = 1 / 16
# Terms of that series beyond one a state; it leaves out (1/16)**8 / 8!, 6e-15, of its first loss.
SERIES_TERMS = 7
# Parameter sets worked on at once: few enough to stay in a core's cache.
BLOCK_SETS = 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupChain:
    """Drive groups as failure and repair rates, one entry of every array a parameter set.

    Parameters
    ----------
    drives_per_group, parity_drives
        Drives in the group, and how many of them may fail at the same time without loss.
    failures_per_h, repairs_per_h
        Failures of one drive, and repairs of one failed drive, in an hour.
    in_parallel
        True where every failed drive is being rebuilt at once, False for one at a time.
    shape
        The common shape of the arguments, before they were flattened.

    Notes
    -----
    A step of the chain is an array (from state, to state, parameter set). State 0 is the loss,
    state ``1 + i`` has ``i`` failed drives. A group without drives does not exist: it cannot
    be lost, and starts without failed drives when it comes.
    """

    drives_per_group: FloatArray
    parity_drives: FloatArray
    failures_per_h: FloatArray
    repairs_per_h: FloatArray
    in_parallel: bool
    shape: tuple[int, ...]

    @staticmethod
    def checked_drives(name: str, drives: Any, parity_drives: Any, at_least: int = 1) -> Any:
        """Whole numbers of drives, refused where a group has none beyond parity."""
        drives = checked_whole(name, drives, at_least=at_least, at_most=MOST_DRIVES)
        parity = _checked_parity(parity_drives)
        too_few = np.less_equal(drives, parity) & np.not_equal(drives, 0)
        if np.any(too_few):
            first = np.argmax(too_few)
            few, spare = (
                np.broadcast_to(each, too_few.shape).flat[first] for each in (drives, parity)
            )
            raise ValueError(f"{name} must be more than parity_drives ({spare}), got {few}")
        return drives

    @classmethod
    def of(
        cls,
        drives_per_group: Any,
        parity_drives: Any,
        failures_per_drive_year: Any,
        rebuild_h: Any,
        repair: str,
    ) -> "GroupChain":
        """The chain of arguments that broadcast; all but the drives are checked here."""
        in_parallel = checked_choice("repair", repair, REPAIRS) == "parallel"
        parity = _checked_parity(parity_drives)
        rate = checked(
            "failures_per_drive_year",
            failures_per_drive_year,
            at_least=0,
            at_most=MOST_FAILURES_PER_DRIVE_YEAR,
        )
        rebuild = checked("rebuild_h", rebuild_h, at_least=LEAST_REBUILD_H)
        arrays = np.broadcast_arrays(drives_per_group, parity, rate, rebuild)
        drives, parity, rate, rebuild = (each.ravel().astype(float) for each in arrays)
        return cls(
            drives_per_group=drives,
            parity_drives=parity,
            failures_per_h=rate / HOURS_PER_YEAR,
            repairs_per_h=1.0 / rebuild,
            in_parallel=in_parallel,
            shape=arrays[0].shape,
        )

    @classmethod
    def by_month(
        cls, drives: Any, parity_drives: Any, rate: Any, rebuild_h: Any, repair: str
    ) -> tuple["GroupChain", Any]:
        """The chain of every set that some month has, and the place of each month's set in it."""
        if np.shape(rate)[-1:] in ((), (1,)) and np.shape(rebuild_h)[-1:] in ((), (1,)):
            # One step serves every month with the same number of drives.
            is_there = np.bincount(drives.ravel()) > 0
            which = np.cumsum(is_there)[drives] - 1
            drives = np.flatnonzero(is_there)
        else:
            (drives, rate, rebuild_h), which = _stretches(drives, rate, rebuild_h)
        return cls.of(drives, parity_drives, rate, rebuild_h, repair), which

    def mean_hours_to_loss(self) -> FloatArray:
        """Mean hours until a group without failed drives is lost, per set."""
        passage = total = np.zeros(self.parity_drives.size)
        for failed in range(int(self.parity_drives.max(initial=0)) + 1):
            inside = failed <= self.parity_drives
            # Hours from this number of failed drives to one more, detours through fewer included.
            fails = np.where(inside, self.drives_per_group - failed, 1.0) * self.failures_per_h
            rebuilt = self._at_once(failed) * self.repairs_per_h
            passage = 1.0 / fails + rebuilt / fails * passage
            total = total + np.where(inside, passage, 0.0)
        return total

    def loss_probability(self, hours: FloatArray) -> FloatArray:
        """Probability that a group without failed drives is lost within so many hours, per set."""
        lost = np.empty(self.parity_drives.size)
        for block, step, doublings in self._short_steps(hours):
            step = _longer(step, doublings - 1)
            # Of the last doubling only one entry is wanted.
            lost[block] = (step[1] * step[:, 0]).sum(axis=0) if doublings else step[1, 0]
        return np.minimum(lost, 1.0, out=lost)  # rounding may lift a certain loss above 1

    def steps(self, hours: float) -> "StepTable":
        """What may happen within so many hours, per set."""
        states = 1 + int(self.parity_drives.max(initial=0))
        losses = np.zeros((states, self.parity_drives.size))
        moves = np.zeros((states, states, self.parity_drives.size))
        for block, step, doublings in self._short_steps(np.full(self.parity_drives.size, hours)):
            step = _longer(step, doublings)
            own = slice(len(step) - 1)
            losses[own, block] = step[1:, 0]
            moves[own, own, block] = step[1:, 1:]
        not_there = self.drives_per_group == 0
        losses[:, not_there] = 0.0
        moves[:, :, not_there] = 0.0
        moves[:, 0, not_there] = 1.0
        return StepTable(losses=losses, moves=moves, shape=self.shape)

    def _short_steps(self, hours: FloatArray) -> Iterator[tuple[Any, FloatArray, int]]:
        """Blocks of sets of the same parity: their places, a short step, how often to double it.

        A block takes the doublings of its most eventful set. The others start from a step shorter
        than need be, which costs no accuracy.
        """
        for parity in np.unique(self.parity_drives).astype(int):
            sets = np.flatnonzero(self.parity_drives == parity)
            events = self._events_per_h(sets, parity) * hours[sets]
            order = np.argsort(events)
            for first in range(0, sets.size, BLOCK_SETS):
                likes = order[first : first + BLOCK_SETS]
                most = float(events[likes].max())
                doublings = max(0, math.ceil(math.log2(most / SHORT_STEP_EVENTS))) if most else 0
                block = sets[likes]
                step = self._short_step(block, parity, hours[block] * 0.5**doublings)
                yield block, step, doublings

    def _events_per_h(self, sets: Any, parity: int) -> Any:
        """A rate no state exceeds: all drives failing, and as many rebuilds as ever run at once."""
        failures = self.drives_per_group[sets] * self.failures_per_h[sets]
        return failures + self._at_once(parity) * self.repairs_per_h[sets]

    def _short_step(self, block: Any, parity: int, hours: FloatArray) -> FloatArray:
        """The step over hours that hold few events, for sets of the same parity.

        The generator is shifted by the rate no state exceeds. Then every entry is positive, and
        each diagonal entry is what its state lacks of that rate.
        """
        drives = self.drives_per_group[block]
        one_fails = self.failures_per_h[block] * hours
        one_is_rebuilt = self.repairs_per_h[block] * hours
        shifted = np.zeros((2 + parity, 2 + parity, drives.size))
        shifted[0, 0] = drives * one_fails + self._at_once(parity) * one_is_rebuilt
        for failed in range(parity + 1):
            state = 1 + failed
            waits = self._at_once(parity) - self._at_once(failed)
            shifted[state, state] = failed * one_fails + waits * one_is_rebuilt
            working = np.maximum(drives - failed, 0.0)
            shifted[state, state + 1 if failed < parity else 0] = working * one_fails
            if failed:
                shifted[state, state - 1] = self._at_once(failed) * one_is_rebuilt
        return _exponential(shifted)

    def _at_once(self, failed: int) -> int:
        """Rebuilds that run at the same time while so many drives have failed."""
        return failed if self.in_parallel else min(failed, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTable:
    """What may happen to a group of drives within one step of time, for every parameter set.

    Parameters
    ----------
    losses
        Probability of a loss within the step, an array (from state, parameter set).
    moves
        Probabilities of a change of state without loss, an array (from, to, parameter set).
    shape
        The shape of the parameter sets, before they were flattened.
    """

    losses: FloatArray
    moves: FloatArray
    shape: tuple[int, ...]

    def loss_probability_by_step(self, which: Any) -> FloatArray:
        """Probability of a loss by the end of each step.

        Parameters
        ----------
        which
            Place, along the last axis of the table's shape, of the set that rules each step: an
            integer array with the steps last, its other axes broadcasting with the table's.
        """
        first_set = np.arange(0, math.prod(self.shape), self.shape[-1])
        sets = first_set.reshape(*self.shape[:-1], 1) + which
        rows = sets.reshape(-1, sets.shape[-1])
        lost = np.empty(rows.shape)
        for first in range(0, len(rows), BLOCK_SETS):
            block = slice(first, first + BLOCK_SETS)
            lost[block] = self._walked(np.ascontiguousarray(rows[block].T)).T
        return lost.reshape(sets.shape)

    def _walked(self, set_by_step: Any) -> FloatArray:
        """Probability of a loss by the end of each step, both arrays (steps, groups)."""
        steps, groups = set_by_step.shape
        state = np.zeros((1 + steps, self.moves.shape[0], groups))
        state[0, 0] = 1.0
        changes = np.any(np.diff(set_by_step, axis=0, prepend=-1) != 0, axis=1)
        for step in range(steps):
            if changes[step]:
                moves = self.moves.take(set_by_step[step], axis=2)
            np.einsum("ig,ijg->jg", state[step], moves, out=state[step + 1])
        losses = self.losses.take(set_by_step, axis=1)
        lost: FloatArray = np.einsum("tig,itg->tg", state[:-1], losses).cumsum(axis=0)
        return np.minimum(lost, 1.0, out=lost)


def _checked_parity(parity_drives: Any) -> Any:
    return checked_whole("parity_drives", parity_drives, at_least=0, at_most=MOST_PARITY_DRIVES)


def _stretches(*by_month: Any) -> tuple[list[Any], Any]:
    """What holds in each stretch of months alike, stretches last, and the stretch of each month."""
    each = np.broadcast_arrays(*by_month)
    shape = each[0].shape
    stretch = np.zeros(shape, dtype=np.int64)
    for one in each:
        stretch[..., 1:] |= one[..., 1:] != one[..., :-1]
    stretch = stretch.cumsum(axis=-1)
    # Any month of a stretch stands for it.
    month = np.zeros((*shape[:-1], stretch.max() + 1), dtype=np.int64)
    np.put_along_axis(month, stretch, np.broadcast_to(np.arange(shape[-1]), shape), axis=-1)
    return [np.take_along_axis(one, month, axis=-1) for one in each], stretch


def _exponential(shifted: FloatArray) -> FloatArray:
    """The exponential of a shifted generator from its Taylor series, in powers of its cube.

    Each row is brought to a sum of one, as every row of a step adds up to one: that takes the
    shift out again, and the factorial the series is multiplied with.
    """
    unit = np.eye(len(shifted))[:, :, np.newaxis]
    square = _followed_by(shifted, shifted)
    cube = _followed_by(square, shifted)
    highest = 3 * math.ceil((len(shifted) + SERIES_TERMS) / 3) - 1
    step = np.zeros_like(shifted)
    for power in range(highest - 2, -1, -3):
        step = _followed_by(cube, step)
        step += math.perm(highest, highest - power) * unit
        step += math.perm(highest, highest - power - 1) * shifted
        step += math.perm(highest, highest - power - 2) * square
    return _evened(step)


def _longer(step: FloatArray, doublings: int) -> FloatArray:
    """The step with its time doubled so many times.

    Each product doubles the relative error: twenty of them make it a million times as large. But
    each row adds up to one. Scaling it back to that every few products takes the error out again,
    and moves no entry by more than a few roundings.
    """
    for doubling in range(doublings):
        step = _followed_by(step, step)
        if doubling % 4 == 3:
            step = _evened(step)
    return step


def _evened(step: FloatArray) -> FloatArray:
    """The step with each row divided by its sum."""
    step *= 1.0 / step.sum(axis=1, keepdims=True)
    return step


def _followed_by(first: FloatArray, second: FloatArray) -> FloatArray:
    product: FloatArray = np.einsum("ikn,kjn->ijn", first, second)
    return product
