"""What is told of an alternative's space: how much, how long it lasts, when to order again."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.layouts import Ladder
from storagecalc.models.units import tib_from_tb
from storagecalc.study.axes import ByPosition, Spread, at_share, monthless_spread
from storagecalc.study.capacity.owned import KeptBox
from storagecalc.study.capacity.safety_margins import SafetyMargins, safety_margins
from storagecalc.study.outcome import Futures, Outcome

HOURS_PER_DAY = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSpace:
    """A box that is kept beside a build: its space to plan with, and the months for which it stays
    within the horizon, one number a position, at the middle of every range."""

    name: str
    plannable_tb: ByPosition
    stays_months: ByPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class CapacityResult:
    """Space and dates of one alternative: one number (or row of months) a position.

    ``ladder`` is as bought, ``full_ladder`` after every step of its own, ``kept`` stays beside it.
    ``first_fill_months`` is until what is held exceeds the space as bought and what is kept,
    ``headroom_months`` until it exceeds all the build itself can have beside that.
    ``first_order_months`` is when the next order must go out with the studio's confidence, infinite
    where too few futures fill; ``rule_late_fraction`` is the share of futures in which the studio's
    rule orders later, and ``order_point_fraction`` the order point at which it would be in time in
    half of them. ``asked_tb`` is the plannable space that would last as long as asked beside what
    is kept, NaN where nobody asks. ``swap_slow_days`` is how long the box runs slow and short of a
    drive while it is swapped. ``plannable_tb_by_month`` is all space in place in half of the
    futures. ``copies`` hold everything to the end, the box among them. ``further_boxes`` are those
    ordered within the horizon.
    """

    ladder: Ladder
    full_ladder: Ladder
    kept: tuple[KeptSpace, ...]
    usable_tib: ByPosition
    grows: bool
    asked_tb: ByPosition
    unmet_tb_months: ByPosition
    held_tb_by_month: Spread
    plannable_tb_by_month: Any
    first_fill_months: Spread
    first_fill_months_by_draw: Any
    headroom_months: Spread
    headroom_months_by_draw: Any
    fills_fraction: ByPosition
    first_order_months: ByPosition
    rule_late_fraction: ByPosition
    order_point_fraction: ByPosition
    further_boxes: Spread
    copies_full_months: Mapping[str, Spread]
    copies_by_draw: Any
    drive_failures: Spread
    swap_slow_days: ByPosition
    safety_margins: SafetyMargins

    @property
    def copies(self) -> Any:
        """Copies that hold everything to the end in half of the futures."""
        return np.quantile(self.copies_by_draw, 0.5, axis=-1, method="inverted_cdf")


def capacity_result(
    point: Outcome,
    middle: Futures,
    futures: Futures,
    held: tuple[FloatArray, Spread, FloatArray],
    rebuild_h: ByPosition,
) -> CapacityResult:
    """Space and dates of one alternative, from its middle and its futures.

    Parameters
    ----------
    point
        What it comes to at the middle of every range.
    middle, futures
        What is kept of that, and of every future.
    held
        TB held by month in every future, its spread, and what the studio's confidence asks for.
    rebuild_h
        Hours of one rebuild.
    """
    ladder, brought = point.space.ladder, point.brought
    confidence = point.drawn.needs.confidence_fraction
    held_by_draw, held_spread, held_cautious = held
    first_order = at_share(futures.order_by_months[..., 0], 1.0 - confidence)
    asked = at_share(futures.asked_tb[..., 0], confidence)
    return CapacityResult(
        ladder=_ladder_at(ladder, 0),
        full_ladder=_ladder_at(ladder, -1),
        kept=tuple(_kept_space(box) for box in point.kept),
        usable_tib=tib_from_tb(ladder.usable_tb[:, 0, 0]),
        grows=ladder.plannable_tb.shape[-1] > 1,
        asked_tb=asked if point.drawn.needs.headroom_months is not None else asked * np.nan,
        unmet_tb_months=brought.own_unmet_tb_by_month.sum(axis=-1)[:, 0],
        held_tb_by_month=held_spread,
        plannable_tb_by_month=at_share(futures.plannable_tb_by_month, 0.5),
        first_fill_months=monthless_spread(middle.first_fill_months, futures.first_fill_months),
        first_fill_months_by_draw=futures.first_fill_months[..., 0],
        headroom_months=monthless_spread(middle.headroom_months, futures.headroom_months),
        headroom_months_by_draw=futures.headroom_months[..., 0],
        fills_fraction=np.isfinite(futures.first_fill_months[..., 0]).mean(axis=1),
        first_order_months=first_order,
        rule_late_fraction=_late_fraction(futures, first_order),
        order_point_fraction=_order_point(futures, held_by_draw, first_order),
        further_boxes=monthless_spread(middle.further_boxes, futures.further_boxes),
        copies_full_months={
            key: monthless_spread(middle.copies_full_months[key], months)
            for key, months in futures.copies_full_months.items()
        },
        copies_by_draw=_whole_copies(futures),
        drive_failures=monthless_spread(middle.drive_failures, futures.drive_failures),
        swap_slow_days=_swapped(point) * rebuild_h / HOURS_PER_DAY,
        safety_margins=_margins(point, held_cautious),
    )


def _kept_space(box: KeptBox) -> KeptSpace:
    return KeptSpace(
        name=box.name,
        plannable_tb=box.space.ladder.plannable_tb[:, 0, 0],
        stays_months=box.stands_by_month.sum(axis=-1)[:, 0],
    )


def _margins(point: Outcome, held_cautious: FloatArray) -> SafetyMargins:
    return safety_margins(
        point.build,
        point.space,
        point.grown.first_fill_months,
        point.footage.held_tb_by_month,
        held_cautious,
    )


def _late_fraction(futures: Futures, first_order: FloatArray) -> FloatArray:
    """The share of futures in which the rule orders later than the next order must go out."""
    late: FloatArray = (futures.rule_order_months[..., 0] > first_order[:, None]).mean(axis=1)
    return late


def _swapped(point: Outcome) -> Any:
    """Drives that larger ones have taken the place of by the end, each time anew."""
    stints = point.brought.own.drives.values()
    larger = [own for own in stints if own.what == "larger drives"]
    return sum((own.count_by_month + own.swapped_drives_by_month)[:, 0, -1] for own in larger)


def _order_point(futures: Futures, held: FloatArray, first_order: FloatArray) -> FloatArray:
    """The share of space at which the rule orders by the first order date in half the futures."""
    month = np.clip(np.nan_to_num(first_order, posinf=held.shape[-1] - 1), 0, held.shape[-1] - 1)
    so_far = np.arange(held.shape[-1]) <= month[:, None, None]
    beside = np.maximum(held - futures.counted_tb_by_month, 0.0)
    most = np.where(so_far, beside, 0.0).max(axis=-1)
    return at_share(most / futures.plannable_tb[..., 0], 0.5)


def _whole_copies(futures: Futures) -> FloatArray:
    """Copies that hold everything to the end in each future, the box among them."""
    whole = [np.isinf(months[..., 0]) for months in futures.copies_full_months.values()]
    return np.ones(futures.headroom_months.shape[:2]) + sum(whole)


def _ladder_at(ladder: Ladder, step: int) -> Ladder:
    return Ladder(**{name: getattr(ladder, name)[:, 0, step] for name in Ladder.__slots__})
