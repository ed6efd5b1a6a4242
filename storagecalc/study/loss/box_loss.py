"""How likely drives alone lose the whole box, and how much would go."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.failure import (
    any_loss_probability,
    loss_probability_by_month,
)
from storagecalc.models.months import new_by_month
from storagecalc.study.axes import ByPosition, by_position
from storagecalc.study.capacity.space import Space, at_step
from storagecalc.study.loss.failure_rates import FailureRates
from storagecalc.study.loss.rebuild import rebuild_h, unreadable_file_probability
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Chances over the whole horizon, one number a position.

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
    """One build at the middle of every range.

    ``steps_in_place_by_month`` and ``held_tb_by_month`` have shape (positions, 1, months).
    """

    build: Build
    space: Space
    steps_in_place_by_month: Any
    held_tb_by_month: FloatArray


def losses_within(
    drawn: Scenario, cases: Mapping[str, LossCase], rates: FailureRates, months: Sequence[int]
) -> dict[str, tuple[Loss, ...]]:
    """Loss through drives that fail before others are rebuilt, for several builds in one walk.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    cases
        The builds by key.
    rates
        The failure rates to average over.
    months
        After how many months each is told, whole numbers from 1 to the horizon.
    """
    pools = {key: _pools_of(drawn, case, rates) for key, case in cases.items()}
    lost = iter(_loss_by_pool([*chain.from_iterable(pools.values())], drawn.rebuild.repair))
    return {
        key: _losses_of(drawn, case, [next(lost) for _ in pools[key]], rates, months)
        for key, case in cases.items()
    }


def _losses_of(
    drawn: Scenario,
    case: LossCase,
    loss_by_pool: Sequence[FloatArray],
    rates: FailureRates,
    months: Sequence[int],
) -> tuple[Loss, ...]:
    lost = np.stack(loss_by_pool)
    held_by_pool = _pool_shares(case) * case.held_tb_by_month
    expected = _expected_tb_by_month(lost, held_by_pool).sum(axis=0)
    found = []
    for count in months:
        whole = _any_of(lost[..., count - 1])
        found.append(
            Loss(
                box_loss_probability=rates.averaged(whole),
                box_loss_probability_at_middle_rate=rates.at("middle", whole),
                box_loss_probability_low=rates.at("low", whole),
                box_loss_probability_high=rates.at("high", whole),
                box_loss_probability_at_confidence=rates.at("confidence", whole),
                expected_tb_lost=rates.averaged(expected[..., :count].sum(axis=-1)),
                rebuild_h=by_position(rebuild_h(drawn, case.build)),
                read_error_probability=unreadable_file_probability(drawn, case.build, case.space),
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Pool:
    """Drives by month of every group of a pool, shape (groups, positions, 1, months).

    Parity, rates and rebuild hold for all its groups.
    """

    drives_by_month: FloatArray
    parity_drives: int
    rates: FloatArray
    rebuild_h: FloatArray


def _pools_of(drawn: Scenario, case: LossCase, rates: FailureRates) -> list[_Pool]:
    pools, steps = case.space.pools, case.steps_in_place_by_month
    rebuild = np.reshape(rebuild_h(drawn, case.build), (-1, 1, 1))
    failures = rates.of(case.build.drive_classes)
    found = []
    for row, spares, own in zip(pools.drives_by_step, pools.hot_spares, pools.layouts, strict=True):
        working = np.maximum(row - spares, 0.0)[steps]
        groups = np.stack(_group_rows(case.build, working))
        found.append(_Pool(groups, int(np.max(own.parity_drives)), failures, rebuild))
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


def _pool_shares(case: LossCase) -> FloatArray:
    """The share of the usable space that each pool has, shape (pools, positions, 1, months)."""
    if len(case.space.pool_usable_tb) == 1:
        return np.ones((1, 1, 1, 1))
    by_pool = [at_step(pool, case.steps_in_place_by_month) for pool in case.space.pool_usable_tb]
    usable = np.stack(np.broadcast_arrays(*by_pool))
    return usable / usable.sum(axis=0)


def _expected_tb_by_month(loss_by_month: FloatArray, held_tb_by_month: FloatArray) -> FloatArray:
    first_lost_in: FloatArray = new_by_month(loss_by_month)
    return first_lost_in * held_tb_by_month
