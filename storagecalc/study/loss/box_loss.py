"""How likely drives alone lose the whole box, and how much would go."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import chain
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.failure import (
    any_loss_probability,
    loss_probability_by_month,
    read_error_probability,
    shortest_rebuild_h,
)
from storagecalc.models.months import new_by_month
from storagecalc.study.axes import ByPosition, by_position
from storagecalc.study.capacity.growth import Purchases, at_step
from storagecalc.study.capacity.space import Capacity
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

# Lanes behind the quadrature nodes, as study/draws.py lays them out.
MIDDLE, LOW, HIGH, ASKED = -4, -3, -2, -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Chances over the whole horizon, each an array of shape (positions,).

    ``box_loss_probability`` is averaged over what is not known of the failure rate, everything
    else at its middle; ``_at_middle_rate``, ``_low`` and ``_high`` hold at single rates, and
    ``_at_confidence`` at the rate that the needs' confidence asks for. ``expected_tb_lost`` is
    averaged too.
    """

    box_loss_probability: ByPosition
    box_loss_probability_at_middle_rate: ByPosition
    box_loss_probability_low: ByPosition
    box_loss_probability_high: ByPosition
    box_loss_probability_at_confidence: ByPosition
    expected_tb_lost: ByPosition
    rebuild_h: ByPosition
    read_error_probability: ByPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class LossCase:
    """One build at the middle of every range, and the failure rates to be averaged over.

    ``held_tb_by_month`` has shape (positions, 1, months); ``rates`` lie along the draws axis, with
    ``weights`` of the averaging ones (see ``draws.RateLanes``).
    """

    build: Build
    space: Capacity
    bought: Purchases
    held_tb_by_month: FloatArray
    rates: FloatArray
    weights: FloatArray


def losses(numbers: Scenario, cases: Mapping[str, LossCase]) -> dict[str, Loss]:
    """Loss through drives that fail before others are rebuilt, for several builds in one walk.

    Parameters
    ----------
    numbers
        A scenario at its middle: no draws.
    cases
        The builds by key.
    """
    within = losses_within(numbers, cases, (numbers.horizon_months,))
    return {key: found[-1] for key, found in within.items()}


def losses_within(
    numbers: Scenario, cases: Mapping[str, LossCase], months: Sequence[int]
) -> dict[str, tuple[Loss, ...]]:
    """The same within each of several numbers of months, from the same walk.

    Parameters
    ----------
    numbers, cases
        As for ``losses``.
    months
        Whole numbers from 1 to the horizon.
    """
    pools = {key: _pools_of(numbers, case) for key, case in cases.items()}
    lost = iter(_loss_by_pool([*chain.from_iterable(pools.values())], numbers.rebuild.repair))
    return {
        key: _losses_of(
            numbers, case, [next(lost) for _ in pools[key]], pools[key][0].rebuild_h, months
        )
        for key, case in cases.items()
    }


def _losses_of(
    numbers: Scenario,
    case: LossCase,
    loss_by_pool: Sequence[FloatArray],
    rebuild: FloatArray,
    months: Sequence[int],
) -> tuple[Loss, ...]:
    lost = np.stack(loss_by_pool)
    held_by_pool = _pool_shares(case.space, case.bought) * case.held_tb_by_month
    expected = _expected_tb_by_month(lost, held_by_pool).sum(axis=0)
    read_error = _read_error(numbers, case.build, case.space)
    found = []
    for count in months:
        whole = _in_lanes(_any_of(lost[..., count - 1]), case.rates)
        tb = _in_lanes(expected[..., :count].sum(axis=-1), case.rates)
        found.append(
            Loss(
                box_loss_probability=_averaged(whole, case.weights),
                box_loss_probability_at_middle_rate=whole[:, MIDDLE],
                box_loss_probability_low=whole[:, LOW],
                box_loss_probability_high=whole[:, HIGH],
                box_loss_probability_at_confidence=whole[:, ASKED],
                expected_tb_lost=_averaged(tb, case.weights),
                rebuild_h=by_position(rebuild),
                read_error_probability=read_error,
            )
        )
    return tuple(found)


def rebuild_h(numbers: Scenario, build: Build) -> Any:
    """Hours from a drive's failure to full protection again: wait, then copy.

    Where drives are swapped for larger ones the rebuild of those counts from the start, to be
    on the safe side.
    """
    share = numbers.rebuild.rebuild_speed_fraction
    copying = [
        shortest_rebuild_h(drive_tb=drives.size_tb, drive_mb_s=drives.media_mb_s * share)
        for drives in (numbers.drives[key] for key in build.drive_classes)
    ]
    return _wait_h(numbers, build) + reduce(np.maximum, copying)


def _wait_h(numbers: Scenario, build: Build) -> Any:
    """Hours until a good drive is in: none with a hot spare, somebody's way with a cold one."""
    if build.hot_spares:
        return 0.0
    return numbers.rebuild.cold_swap_h if build.cold_spares else numbers.rebuild.swap_wait_h


@dataclass(frozen=True, slots=True)
class _Pool:
    """Drives by month of every group of a pool, shape (groups, positions, 1, months).

    Parity, rates and rebuild hold for all its groups.
    """

    drives_by_month: FloatArray
    parity_drives: int
    rates: FloatArray
    rebuild_h: FloatArray


def _pools_of(numbers: Scenario, case: LossCase) -> list[_Pool]:
    pools, steps = case.space.pools, case.bought.steps_in_place_by_month
    rebuild = np.reshape(rebuild_h(numbers, case.build), (-1, 1, 1))
    found = []
    for row, spares, own in zip(pools.drives_by_step, pools.hot_spares, pools.layouts, strict=True):
        working = np.maximum(row - spares, 0.0)[steps]
        groups = np.stack(_group_rows(case.build, working))
        found.append(_Pool(groups, int(np.max(own.parity_drives)), case.rates, rebuild))
    return found


def _loss_by_pool(pools: Sequence[_Pool], repair: str) -> list[FloatArray]:
    """Cumulative chance that each pool is lost, shape (positions, lanes, months)."""
    kinds = _kinds(pools)
    firsts = [pools[numbers[0]] for numbers in kinds]
    # A rate that is one number is the same in every lane, so that one lane is enough.
    one_lane = all((each.rates == each.rates[:, :1]).all() for each in firsts)
    rates = [each.rates[:, :1] if one_lane else each.rates for each in firsts]
    groups = [
        np.concatenate(_alike([pools[number].drives_by_month for number in numbers]))
        for numbers in kinds
    ]
    by_kind = loss_probability_by_month(
        drives_per_group_by_month=_filled_up(groups),
        parity_drives=np.reshape([each.parity_drives for each in firsts], (-1, 1, 1, 1, 1)),
        failures_per_drive_year=np.stack(_alike(rates))[:, None],
        rebuild_h=np.stack(_alike([each.rebuild_h for each in firsts]))[:, None],
        repair=repair,
    )
    found: dict[int, FloatArray] = {}
    for numbers, by_group in zip(kinds, by_kind, strict=True):
        first = 0
        for number in numbers:
            end = first + len(pools[number].drives_by_month)
            found[number], first = _any_of(by_group[first:end]), end
    return [found[number] for number in range(len(pools))]


def _kinds(pools: Sequence[_Pool]) -> list[list[int]]:
    """Numbers of the pools whose drives fail and are rebuilt alike: they share one table."""
    kinds: dict[Any, list[int]] = {}
    for number, each in enumerate(pools):
        alike = (each.parity_drives, each.rates.tobytes(), each.rebuild_h.tobytes())
        kinds.setdefault(alike, []).append(number)
    return list(kinds.values())


def _filled_up(groups: Sequence[FloatArray]) -> FloatArray:
    """Groups of each kind, as many of each: those that are not there have no drives."""
    groups = _alike(groups)
    most = max(len(each) for each in groups)
    filled = np.zeros((len(groups), most, *groups[0].shape[1:]))
    for row, each in zip(filled, groups, strict=True):
        row[: len(each)] = each
    return filled


def _alike(arrays: Sequence[FloatArray]) -> list[FloatArray]:
    """Arrays stretched to the positions of the one that has most."""
    axis = arrays[0].ndim - 3
    positions = max(array.shape[axis] for array in arrays)
    if positions == 1:
        return list(arrays)
    return [
        np.broadcast_to(array, (*array.shape[:axis], positions, *array.shape[axis + 1 :]))
        for array in arrays
    ]


def _group_rows(build: Build, drives: FloatArray) -> list[FloatArray]:
    """Drives of each group of a pool by month: all of them, or pairs as the pool grows to them."""
    if build.redundancy != "striped mirrors":
        return [drives]
    pairs = int(drives.max()) // 2
    return [np.where(drives >= 2 * (pair + 1), 2.0, 0.0) for pair in range(max(pairs, 1))]


def _any_of(chances: FloatArray) -> Any:
    """The chance that any of several independent things happens, along the first axis."""
    if len(chances) == 1:
        return chances[0]
    return any_loss_probability(np.moveaxis(chances, 0, -1))


def _pool_shares(space: Capacity, bought: Purchases) -> FloatArray:
    """The share of the usable space that each pool has, shape (pools, positions, 1, months)."""
    steps = bought.steps_in_place_by_month
    if len(space.pool_usable_tb) == 1:
        return np.ones((1, 1, 1, 1))
    by_pool = [at_step(pool, steps) for pool in space.pool_usable_tb]
    usable = np.stack(np.broadcast_arrays(*by_pool))
    return usable / usable.sum(axis=0)


def _expected_tb_by_month(loss_by_month: FloatArray, held_tb_by_month: FloatArray) -> FloatArray:
    first_lost_in: FloatArray = new_by_month(loss_by_month)
    return first_lost_in * held_tb_by_month


def _in_lanes(walked: Any, lanes: FloatArray) -> FloatArray:
    """What came out of each lane, spread over all of them where only one was walked."""
    return np.broadcast_to(walked, (walked.shape[0], lanes.shape[1]))


def _averaged(lanes: Any, weights: FloatArray) -> FloatArray:
    average: FloatArray = lanes[:, : len(weights)] @ weights
    return average


def _read_error(numbers: Scenario, build: Build, space: Capacity) -> FloatArray:
    """Chance of an unreadable file in a rebuild of the full box with no redundancy left."""
    drives = numbers.drives[build.drives]
    box = space.pools.layouts[0]
    per_group = int(np.max(box.drives_per_group))
    others = max(per_group - int(np.max(box.parity_drives)), 1)
    chance = read_error_probability(
        read_tb=others * drives.size_tb, errors_per_bit=drives.errors_per_bit
    )
    return by_position(chance)
