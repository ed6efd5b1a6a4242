"""How long the room of each alternative lasts, as a picture tells it: twenty futures and orders."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.study.decision.needs import Standing
from storagecalc.study.decision.order_list import OrderRow, next_order, order_list
from storagecalc.study.decision.verdict import Verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.orders import THINGS
from storagecalc.study.result import BuildResult

# One dot is one in so many futures.
FUTURES = 20
# What fewer futures than this order has no mark, but for the next order.
MARKED_FRACTION = 0.5
FURTHER_BOX = "further box"


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderMark:
    """What is ordered in one month: of its own steps, or a further box.

    ``counts`` has how many by what. ``is_next`` tells whether it is the next order, which stands at
    the month by which it must go out; all others stand at the median month.
    """

    month: int
    counts: dict[str, int]
    is_next: bool

    @property
    def is_further_box(self) -> bool:
        """Whether it is no step of its own."""
        return FURTHER_BOX in self.counts


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room of one alternative: when it is full in twenty futures, and what it orders."""

    standing: Standing
    full_months: tuple[float, ...]
    marks: tuple[OrderMark, ...]

    @property
    def build(self) -> BuildResult:
        """The alternative."""
        return self.standing.build

    @property
    def in_time_months(self) -> tuple[float, ...]:
        """The months of those that fill within the horizon."""
        return tuple(filter(math.isfinite, self.full_months))


def rooms(evaluation: Evaluation, found: Verdict) -> tuple[Room, ...]:
    """The room of every alternative, in their order.

    Parameters
    ----------
    evaluation
        Without a grid.
    found
        Its verdict.
    """
    standings = {each.build.key: each for each in (*found.rivals, *found.others)}
    return tuple(
        Room(
            standing=standings[build.key],
            full_months=twenty_futures(build.capacity.headroom_months_by_draw),
            marks=order_marks(build),
        )
        for build in evaluation.builds
    )


def twenty_futures(value_by_draw: Any) -> tuple[float, ...]:
    """The values that one, three, five, … in forty of the draws stay at or below, least first.

    Always values that were drawn, so that "never" (infinity) stays itself; a single one where
    nothing was drawn.

    Parameters
    ----------
    value_by_draw
        One number a future, of an evaluation without a grid.

    Examples
    --------
    >>> twenty_futures([3.0])
    (3.0,)
    >>> twenty_futures(range(40))[:3]
    (0.0, 2.0, 4.0)
    """
    ordered = np.sort(np.asarray(value_by_draw, dtype=np.float64))
    if ordered.size == 1:
        return (float(ordered[0]),)
    shares = (np.arange(FUTURES) + 0.5) / FUTURES
    places = np.ceil(shares * ordered.size - 1e-9).astype(int) - 1
    found: list[float] = ordered[places].tolist()
    return tuple(found)


def order_marks(build: BuildResult) -> tuple[OrderMark, ...]:
    """What a picture marks, by month: the next order, and all that most futures order.

    Parameters
    ----------
    build
        An alternative of an evaluation without a grid.
    """
    rows = [row for row in order_list(build) if row.what in THINGS]
    due_months = build.capacity.first_order_months
    following_order = next_order(build)
    # What falls due at once stands in the first order already.
    at_once = following_order is not None and following_order.month == 0
    upcoming = [] if at_once else _upcoming(rows, due_months)
    by_month: dict[tuple[int, bool], dict[str, int]] = {}
    following = set()
    for row in rows:
        month, is_box = row.month, row.what == FURTHER_BOX
        if row in upcoming:
            month = max(0, math.floor(due_months))
            following.add((month, is_box))
        elif row.placed_fraction < MARKED_FRACTION:
            continue
        counts = by_month.setdefault((month, is_box), {})
        counts[row.what] = counts.get(row.what, 0) + row.count
    return tuple(
        OrderMark(month=key[0], counts=by_month[key], is_next=key in following)
        for key in sorted(by_month)
    )


def _upcoming(rows: Iterable[OrderRow], due_months: float) -> list[OrderRow]:
    """What the next order brings; nothing where too few futures need one."""
    following = [row for row in rows if row.month > 0]
    if not following or not math.isfinite(due_months):
        return []
    return [row for row in following if row.month == following[0].month]
