"""How likely drive failures alone destroy a pool of all that stands, and how much would go."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.failure import any_loss_probability, loss_probability_by_month
from storagecalc.models.months import new_by_month
from storagecalc.study.axes import ByPosition, at_share, by_position
from storagecalc.study.capacity.space import Space, at_step
from storagecalc.study.capacity.steps import FurtherBox
from storagecalc.study.loss.failure_rates import FailureRates
from storagecalc.study.loss.pools import Pool, pools_of
from storagecalc.study.loss.rebuild import rebuild_h, unreadable_file_probability
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Chances that at least one pool of all that stands is lost: one number a position.

    ``box_loss_probability`` is averaged over what is not known of the failure rate. The build's own
    pools follow its growth at the middle of every range, further boxes count in every future.
    ``_at_middle_rate``, ``_low`` and ``_high`` hold at single rates. ``expected_tb_lost`` is
    averaged too. ``lost_at_once_tb`` is the most that one pool holds in any month, in half of the
    futures.
    """

    box_loss_probability: ByPosition
    box_loss_probability_at_middle_rate: ByPosition
    box_loss_probability_low: ByPosition
    box_loss_probability_high: ByPosition
    expected_tb_lost: ByPosition
    lost_at_once_tb: ByPosition
    rebuild_h: ByPosition
    read_error_probability: ByPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class LossCase:
    """One build at the middle of every range, and the further boxes of every future.

    ``steps_by_month``, ``held_tb_by_month`` (in its own pools) and ``olds_by_month`` (drives owned
    before) have shape (positions, 1, months), ``further_months_by_step`` (positions, draws, steps)
    and ``lost_at_once_tb`` (positions, draws, 1). ``stands_by_month`` is 1 while the build stands,
    None where it always does. ``kept`` are the boxes that stay beside it, as cases of their own.
    """

    build: Build
    space: Space
    steps_by_month: Any
    held_tb_by_month: FloatArray
    olds_by_month: FloatArray
    lost_at_once_tb: FloatArray
    stands_by_month: FloatArray | None = None
    kept: tuple["LossCase", ...] = ()
    box: FurtherBox | None = None
    further_months_by_step: FloatArray | None = None

    @property
    def parts(self) -> tuple["LossCase", ...]:
        """The build itself, and what is kept beside it."""
        return (self, *self.kept)


def losses_within(
    drawn: Scenario, cases: Mapping[str, LossCase], rates: FailureRates, months: Sequence[int]
) -> dict[str, tuple[Loss, ...]]:
    """Loss through drives that fail before others are rebuilt, for several builds in one walk.

    Further boxes count in full in each of the spans.

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
    pools = {
        key: [pool for part in case.parts for pool in _own_pools(drawn, part, rates)]
        for key, case in cases.items()
    }
    boxes = _box_pools(drawn, cases, rates)
    walked = iter(_loss_by_pool([*chain.from_iterable([*pools.values(), *boxes])], drawn))
    own = {key: [next(walked) for _ in pools[key]] for key in cases}
    hazards = _monthly_hazards([[next(walked) for _ in step] for step in boxes])
    return {
        key: tuple(_loss(drawn, case, own[key], rates, hazards, count) for count in months)
        for key, case in cases.items()
    }


def _own_pools(drawn: Scenario, case: LossCase, rates: FailureRates) -> list[Pool]:
    olds, stands = case.olds_by_month, case.stands_by_month
    return pools_of(drawn, case.build, case.space, case.steps_by_month, rates, olds, stands)


def _loss(
    drawn: Scenario,
    case: LossCase,
    loss_by_pool: Sequence[FloatArray],
    rates: FailureRates,
    hazards: FloatArray | None,
    months: int,
) -> Loss:
    lost = np.stack(loss_by_pool)
    held_by_pool = np.concatenate(
        _alike([_pool_shares(part) * part.held_tb_by_month for part in case.parts])
    )
    own_tb = (new_by_month(lost) * held_by_pool)[..., :months].sum(axis=-1).sum(axis=0)
    whole = _with_further(_any_of(lost[..., months - 1]), case, hazards)
    return Loss(
        box_loss_probability=rates.averaged(whole),
        box_loss_probability_at_middle_rate=rates.at("middle", whole),
        box_loss_probability_low=rates.at("low", whole),
        box_loss_probability_high=rates.at("high", whole),
        expected_tb_lost=rates.averaged(own_tb + _further_tb_lost(case, hazards)),
        lost_at_once_tb=at_share(case.lost_at_once_tb[..., 0], 0.5),
        rebuild_h=by_position(rebuild_h(drawn, case.build, case.space)),
        read_error_probability=unreadable_file_probability(drawn, case.build, case.space),
    )


def _box_pools(
    drawn: Scenario, cases: Mapping[str, LossCase], rates: FailureRates
) -> list[list[Pool]]:
    """The pools of a further box at each step of its growth, standing still; none without any."""
    stand = any(
        case.further_months_by_step is not None and case.further_months_by_step.any()
        for case in cases.values()
    )
    box = next((case.box for case in cases.values() if case.box is not None), None)
    if box is None or not stand:
        return []
    months, none = drawn.horizon_months, np.zeros((1, 1, 1))
    return [
        pools_of(drawn, box.build, box.space, np.full((1, 1, months), step), rates, none)
        for step in range(box.space.ladder.plannable_tb.shape[-1])
    ]


def _monthly_hazards(loss_by_step: Sequence[Sequence[FloatArray]]) -> FloatArray | None:
    """What a further box risks in a month at each step, shape (positions, lanes, steps).

    A group that stands still is lost at a rate that is constant but for the first days, so that the
    chance within months at one step is 1 - exp(-hazard x months).
    """
    if not loss_by_step:
        return None
    whole = [_any_of(np.stack(by_pool)) for by_pool in loss_by_step]
    return np.stack([-np.log1p(-each[..., -1]) / each.shape[-1] for each in whole], axis=-1)


def _with_further(own: FloatArray, case: LossCase, hazards: FloatArray | None) -> FloatArray:
    """Own pools or any further box, (positions, lanes), averaged over the futures."""
    if hazards is None or case.further_months_by_step is None:
        return own
    risked = np.einsum("pds,pls->pld", case.further_months_by_step, hazards)
    further: FloatArray = -np.expm1(-risked).mean(axis=-1)
    return own + (1.0 - own) * further


def _further_tb_lost(case: LossCase, hazards: FloatArray | None) -> Any:
    """TB lost with further boxes on average, each taken to be full, (positions, lanes)."""
    if hazards is None or case.further_months_by_step is None or case.box is None:
        return 0.0
    months = case.further_months_by_step.mean(axis=1, keepdims=True)
    plannable = case.box.space.ladder.plannable_tb
    lost: FloatArray = (hazards * months * plannable).sum(axis=-1)
    return lost


def _loss_by_pool(pools: Sequence[Pool], drawn: Scenario) -> list[FloatArray]:
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
        repair=drawn.rebuild.repair,
    )
    found: dict[int, FloatArray] = {}
    for numbers, by_group in zip(kinds, by_kind, strict=True):
        first = 0
        for number in numbers:
            end = first + len(pools[number].drives_by_month)
            found[number], first = _any_of(by_group[first:end]), end
    return [found[number] for number in range(len(pools))]


def _kinds(pools: Sequence[Pool]) -> list[list[int]]:
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
    """Arrays stretched to the positions, lanes and months of the one that has most."""
    shape = np.max([array.shape[-3:] for array in arrays], axis=0)
    if all(array.shape[-3:] == tuple(shape) for array in arrays):
        return list(arrays)
    return [np.broadcast_to(array, (*array.shape[:-3], *shape)) for array in arrays]


def _any_of(chances: FloatArray) -> Any:
    """The chance that any of several independent things happens, along the first axis."""
    if len(chances) == 1:
        return chances[0]
    return any_loss_probability(np.moveaxis(chances, 0, -1))


def _pool_shares(case: LossCase) -> FloatArray:
    """The share of the usable space that each pool has, shape (pools, positions, 1, months)."""
    if len(case.space.pool_usable_tb) == 1:
        return np.ones((1, 1, 1, 1))
    by_pool = [at_step(pool, case.steps_by_month) for pool in case.space.pool_usable_tb]
    usable = np.stack(np.broadcast_arrays(*by_pool))
    return usable / usable.sum(axis=0)
