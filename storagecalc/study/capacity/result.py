"""What is told of an alternative's space: how much, how long it lasts, when to order again."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.layouts import Ladder
from storagecalc.models.units import tib_from_tb
from storagecalc.study.axes import ByPosition, Spread, at_share, spread
from storagecalc.study.capacity.consequences import Consequences
from storagecalc.study.capacity.safety_margins import SafetyMargins, safety_margins
from storagecalc.study.outcome import Futures, Outcome

HOURS_PER_DAY = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CapacityResult:
    """Space and dates of one alternative: one number (or row of months) a position.

    ``ladder`` is as bought, ``full_ladder`` after every step. ``first_fill_months`` is until what
    is held exceeds the space as bought, ``headroom_months`` until it exceeds all it can have;
    ``first_order_months`` is when the next order must go out with the studio's confidence.
    ``swap_slow_days`` is how long the box runs slow and short of a drive while it is swapped.
    ``copies`` are those that hold everything to the end with that confidence, the box among them.
    """

    ladder: Ladder
    full_ladder: Ladder
    usable_tib: ByPosition
    grows: bool
    order_count: ByPosition
    unmet_tb_months: ByPosition
    plannable_tb_by_month: Any
    first_fill_months: Spread
    headroom_months: Spread
    headroom_months_by_draw: Any
    fills_fraction: ByPosition
    first_order_months: ByPosition
    copies_full_months: Mapping[str, Spread]
    copies: ByPosition
    drive_failures: ByPosition
    swap_slow_days: ByPosition
    safety_margins: SafetyMargins


def capacity_result(
    point: Outcome, futures: Futures, held_cautious: FloatArray, rebuild_h: ByPosition
) -> CapacityResult:
    """Space and dates of one alternative, from its middle and its futures.

    Parameters
    ----------
    point, futures
        What it comes to at the middle of every range, and what is kept of every future.
    held_cautious
        TB held by month that the studio's confidence asks for, shape (positions, months).
    rebuild_h
        Hours of one rebuild.
    """
    ladder, grown, brought = point.space.ladder, point.grown, point.brought
    caution = 1.0 - point.drawn.needs.confidence_fraction
    return CapacityResult(
        ladder=_ladder_at(ladder, 0),
        full_ladder=_ladder_at(ladder, -1),
        usable_tib=tib_from_tb(ladder.usable_tb[:, 0, 0]),
        grows=ladder.plannable_tb.shape[-1] > 1,
        order_count=(brought.drives_ordered_by_month > 0).sum(axis=-1)[:, 0].astype(np.float64),
        unmet_tb_months=brought.unmet_tb_by_month.sum(axis=-1)[:, 0],
        plannable_tb_by_month=brought.plannable_tb_by_month[:, 0],
        first_fill_months=_months(grown.first_fill_months, futures.first_fill_months),
        headroom_months=_months(grown.headroom_months, futures.headroom_months),
        headroom_months_by_draw=futures.headroom_months[..., 0],
        fills_fraction=np.isfinite(futures.first_fill_months[..., 0]).mean(axis=1),
        first_order_months=at_share(futures.order_by_months[..., 0], caution),
        copies_full_months={
            key: _months(point.copied.full_after_months[key], months)
            for key, months in futures.copies_full_months.items()
        },
        copies=_whole_copies(futures, caution),
        drive_failures=sum((own.failures[:, 0] for own in point.drives.values()), np.zeros(1)),
        swap_slow_days=_swapped(brought) * rebuild_h / HOURS_PER_DAY,
        safety_margins=safety_margins(
            point.build,
            point.space,
            grown.first_fill_months,
            point.footage.held_tb_by_month,
            held_cautious,
        ),
    )


def _swapped(brought: Consequences) -> FloatArray:
    """Drives that have been swapped for larger ones by the end."""
    swapped: FloatArray = brought.larger_drive_count_by_month[:, 0, -1]
    return swapped


def _months(point: FloatArray, futures: FloatArray) -> Spread:
    return spread(point[..., 0], futures[..., 0])


def _whole_copies(futures: Futures, caution: float) -> Any:
    lasting = [
        np.isinf(at_share(months[..., 0], caution))
        for months in futures.copies_full_months.values()
    ]
    return np.ones(len(futures.headroom_months)) + sum(lasting)


def _ladder_at(ladder: Ladder, step: int) -> Ladder:
    return Ladder(**{name: getattr(ladder, name)[:, 0, step] for name in Ladder.__slots__})
