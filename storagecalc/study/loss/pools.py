"""The pools of a build as the chain of failures walks them: drives, rates and rebuilds by month."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.capacity.space import Space
from storagecalc.study.loss.failure_rates import FailureRates
from storagecalc.study.loss.rebuild import class_rebuild_h
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.owned import moved_class
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True)
class Pool:
    """Drives by month of every group of a pool, shape (groups, positions, 1, months).

    Parity, rates (positions, lanes, 1 or months) and rebuild (positions, 1, 1 or months) hold for
    all its groups. Where drives of several classes share a group, each month has the mean of those
    in it, weighted by their count.
    """

    drives_by_month: FloatArray
    parity_drives: int
    rates: FloatArray
    rebuild_h: FloatArray


def pools_of(
    drawn: Scenario,
    build: Build,
    space: Space,
    steps_by_month: Any,
    rates: FailureRates,
    olds_by_month: FloatArray,
    stands_by_month: FloatArray | None = None,
) -> list[Pool]:
    """The pools of a build, month by month.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    build, space, steps_by_month
        The build, its space by step, and the step at which it stands in each month,
        (positions, 1, months).
    rates
        The failure rates to average over.
    olds_by_month
        Drives owned before that are still in the first pool, (positions, 1, months).
    stands_by_month
        1 in the months in which the pools stand, else 0; None where they always do.
    """
    found, pools = [], space.pools
    rows = zip(
        pools.drives_by_step,
        pools.stint_numbers_by_step,
        pools.hot_spares,
        pools.layouts,
        strict=True,
    )
    for number, (row, stints, spares, own) in enumerate(rows):
        working = np.maximum(row - spares, 0.0)[steps_by_month]
        working = working if stands_by_month is None else working * stands_by_month
        groups = np.stack(_group_rows(build, working))
        olds = olds_by_month if number == 0 else np.zeros((1, 1, 1))
        in_pool = stints[steps_by_month]
        shares = _class_shares(drawn, build, space, row[steps_by_month], in_pool, olds)
        found.append(
            Pool(
                groups,
                int(np.max(own.parity_drives)),
                _mean((share, rates.failures_per_drive_year_by_class[drives])
                      for drives, share in shares.items()),
                _mean((share, np.reshape(class_rebuild_h(drawn, build, drives), (-1, 1, 1)))
                      for drives, share in shares.items()),
            )
        )  # fmt: skip
    return found


def _class_shares(
    drawn: Scenario, build: Build, space: Space, count: FloatArray, stints: Any, olds: FloatArray
) -> Mapping[str, FloatArray]:
    """The share of a pool's drives that each class has in each month; one class has all."""
    moved = moved_class(drawn.owned, build)
    found: dict[str, FloatArray] = {}
    for place, stint in enumerate(space.stints):
        share = np.where(stints == place, 1.0, 0.0)
        parts = [(stint.drives, share)]
        if place == 0 and moved is not None:
            old = share * np.minimum(olds / np.maximum(count, 1.0), 1.0)
            parts = [(stint.drives, share - old), (moved, old)]
        for drives, part in parts:
            if part.any():
                found[drives] = found.get(drives, 0.0) + part
    return found


def _mean(parts: Iterable[tuple[FloatArray, FloatArray]]) -> FloatArray:
    """The mean weighted by shares that add up to 1, without months where there is one part."""
    weighted = list(parts)
    if len(weighted) == 1:
        return weighted[0][1]
    mean: FloatArray = sum(share * value for share, value in weighted[1:]) + (
        weighted[0][0] * weighted[0][1]
    )
    return mean


def _group_rows(build: Build, drives: FloatArray) -> list[FloatArray]:
    """Drives of each group of a pool by month: all of them, or pairs as the pool grows to them."""
    if build.redundancy != "striped mirrors":
        return [drives]
    pairs = int(drives.max()) // 2
    return [np.where(drives >= 2 * (pair + 1), 2.0, 0.0) for pair in range(max(pairs, 1))]
