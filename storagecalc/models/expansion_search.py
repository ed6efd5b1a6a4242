"""The recursion behind the best purchase plan, from the last month back to the first.

With P the price in a month of all that a state holds, the cheapest order that leads on from x is
the least of ``W(y) + P(y)`` over the states y ahead of x, less ``P(x)``: one running minimum along
each axis serves all states at once, and no price has to fall or rise for it.

Where drives keep value, what a drive costs hangs on the month of its sale. So with the state of
the box goes the month of its next swap (a column), settled when its drives are bought: the sale is
then part of the price of each drive.
"""

from collections.abc import Iterator
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion_problem import (
    CAPACITY_TOLERANCE_TB,
    DriveOption,
    OwnedPool,
    Problem,
)
from storagecalc.models.expansion_states import Axis, States
from storagecalc.models.units import MONTHS_PER_YEAR

MOST_CELLS = 1_000_000_000
"""States times months that a search may look at."""
KEPT_BYTES = 64_000_000
"""Memory for costs of months; what does not fit is worked out again where an order needs it."""

Behind = tuple[FloatArray, FloatArray | None]
"""Costs by state from a month on: where more orders come, and where none does any more."""
Change = tuple[int, Axis, int, int]
"""Month of an order, the axis of its pool, and that pool's state before and after it."""


class Columns:
    """When the box's drives are swapped next, and what each drive bought until then is sold for.

    Parameters
    ----------
    states
        All states; where drives may be swapped, the first axis is the box.
    discount
        What money of each month is worth in month 0.
    """

    def __init__(self, states: States, discount: FloatArray) -> None:
        problem = states.problem
        order = np.arange(problem.order_months)
        swap = order if states.swaps else order[:0]
        stands = swap + problem.lead_time_months
        # One sale for each swap there may be, and at last the one at the end.
        self._month = np.append(stands, problem.months - 1)[:, np.newaxis]
        self._aged = np.append(stands, problem.months)[:, np.newaxis]
        share = np.append(np.full(len(swap), problem.swap_sale_fraction), problem.sell_at_end)
        self._share = share[:, np.newaxis] * discount[self._month]
        sale = np.zeros((len(self._month), len(order), len(states.drives) + 1))
        for place, drive in enumerate(states.drives):
            sale[..., place] = self._sold(drive, order, drive.price_by_month[: len(order)])
        sale[:-1] *= (order < swap[:, np.newaxis])[..., np.newaxis]
        number = states.axes[0].pool
        none_owned = np.zeros(len(sale))
        owned = none_owned if number is None else self.owned_sold(problem, problem.owned[number])
        self.have_months = bool(sale[:-1].any() or owned[:-1].any())
        # Without a sale at a swap all months are one column, and without any sale "never" as well.
        count = 1 + (len(swap) > 0 and bool(sale.any() or owned.any()))
        chosen = slice(None) if self.have_months else slice(-count, None)
        self.sale, self.owned_sale = sale[chosen], owned[chosen]
        # Behind the last order nothing more comes, but not where a swap is still waited for.
        self.at_the_end = np.full(len(self.sale), np.inf)
        self.at_the_end[-1] = 0.0

    def first(self, month: int) -> int:
        """The first column that is not over when the order of a month is placed."""
        return month if self.have_months else 0

    def cells(self, states: States) -> int:
        """States times order months, once for every column that is not over."""
        months = range(states.problem.order_months)
        return states.size * sum(len(self.sale) - self.first(month) for month in months)

    def owned_sold(self, problem: Problem, pool: OwnedPool) -> FloatArray:
        """What all drives of an owned pool are sold for, in the money of month 0, by column."""
        drive = problem.drive(pool.drive)
        sold: FloatArray = np.sum(
            [lot.count * self._sold(drive, -lot.age_months, lot.price_paid) for lot in pool.lots],
            axis=0,
        )
        return sold[:, 0]

    def _sold(self, drive: DriveOption, paid_month: Any, price_paid: Any) -> FloatArray:
        """What a drive is sold for, in the money of month 0: (columns, months of purchase)."""
        age = np.maximum(self._aged - paid_month, 0)
        kept = drive.value_kept_per_year_fraction ** (age / MONTHS_PER_YEAR)
        worth = kept * np.minimum(price_paid, drive.price_by_month[self._month])
        return self._share * worth


class Search:
    """The least cost of every state before the order of every month.

    Parameters
    ----------
    problem
        What is asked for, and at which prices.

    Raises
    ------
    ValueError
        Where there are more states and months than `MOST_CELLS`.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._unmet = problem.unmet_price_by_month
        self._after = problem.later_unmet_price_by_month
        self.states = states = States(problem)
        months = np.arange(problem.months)
        discount = (1.0 + problem.discount_rate_per_year) ** (-months / MONTHS_PER_YEAR)
        self._discount = discount
        self._columns = Columns(states, discount)
        cells = self._columns.cells(states)
        if cells > MOST_CELLS:
            raise ValueError(
                f"problem must have at most {MOST_CELLS:,} states times months, got {cells:,}"
            )
        self._plannable_tb, self._barred = states.plannable_tb(), states.barred()
        self._set_prices()
        self._set_running()
        # Costs of as many months as there is memory for, and whether an order is due, in bits.
        self._stride = 1 + 8 * cells // KEPT_BYTES
        self._kept: dict[int, Behind] = {}
        self._due: list[Any] = [None] * problem.order_months

    def best(self) -> tuple[float, list[Change]]:
        """The least net present cost and the changes that lead to it; infinite where none does."""
        value = self._columns.at_the_end[self._columns.first(self.problem.order_months) :]
        value = np.repeat(value[:, np.newaxis], self.states.size, axis=1)
        done = None
        if self._after is not None:
            # Then there is no end but with a last order, or without any.
            value, done = np.full_like(value, np.inf), np.zeros(self.states.size)
        for month in range(self.problem.order_months, 0, -1):
            if month % self._stride == 0 or month == self.problem.order_months:
                self._kept[month] = value, done
            value, done, self._due[month - 1] = self._before(month - 1, value, done)
        here = self._flat(self.states.start)
        by_column = value[:, here]
        if self.states.swaps and self.states.axes[0].pool is not None:
            by_column = by_column - self._columns.owned_sale
            column = int(by_column.argmin())
        else:
            column = len(by_column) - 1
        cost = float(by_column[column]) + self._cost_whatever_is_ordered(self._unmet)
        if done is not None:
            nothing = float(done[here]) + self._cost_whatever_is_ordered(self._after)
            if self.states.swaps and self.states.axes[0].pool is not None:
                nothing -= float(self._columns.owned_sale[-1])
            if nothing <= cost:
                return nothing, []
        return cost, list(self._changes(column)) if np.isfinite(cost) else []

    def first_lack(self) -> tuple[int, float]:
        """The first month whose lack no orders avoid, and the least TB that are then short.

        A recursion over the worst of a plan: the earlier a lack the worse, then the larger.
        """
        months = self.problem.months
        scale = 2.0 * float(self.problem.required_tb_by_month.max())
        worst = np.zeros((1, self.states.size))
        for month in range(self.problem.order_months - 1, -1, -1):
            for standing in reversed(self._standing_months(month)):
                lack = self.problem.required_tb_by_month[standing] - self._plannable_tb
                lacks = lack > CAPACITY_TOLERANCE_TB
                worst[0, lacks] = months - standing + lack[lacks] / scale
            worst[0, self._barred] = np.inf
            self.states.least_ahead(worst, month)
            if self.states.swaps:
                np.minimum(worst, self.states.least_swapped(worst, month), out=worst)
        here = self._flat(self.states.start)
        value = float(worst[0, here])
        for month in range(self._standing_months(0)[0] - 1, -1, -1):
            lack = float(self.problem.required_tb_by_month[month] - self._plannable_tb[here])
            value = months - month + lack / scale if lack > CAPACITY_TOLERANCE_TB else value
        month = months - int(value)
        return month, (value - int(value)) * scale

    def _set_prices(self) -> None:
        """What each state of an axis would cost if all of it were ordered in a month."""
        problem, states, discount = self.problem, self.states, self._discount
        past = problem.order_months
        unit = self._by_option(states.units, "price_by_month")[:past]
        if problem.sell_at_end:
            age = (problem.months - np.arange(past)) / MONTHS_PER_YEAR
            for place, option in enumerate(states.units):
                kept = option.value_kept_per_year_fraction**age
                worth = np.minimum(option.price_by_month[:past], option.price_by_month[-1])
                unit[:, place] -= discount[-1] * kept * worth
        drive = self._by_option(states.drives, "price_by_month")[:past] - self._columns.sale
        self._unit_price = unit
        self._price = [
            unit[:, axis.unit] + axis.count * drive[-1][:, axis.drive] for axis in states.axes
        ]
        first = states.axes[0]
        by_column = drive.swapaxes(0, 1)[:, :, first.drive]
        self._price[0] = unit[:, np.newaxis, first.unit] + first.count * by_column

    def _set_running(self) -> None:
        """What each state of an axis costs in a month in which it stands."""
        unit = self._by_option(self.states.units, "running_cost_by_month")
        drive = self._by_option(self.states.drives, "running_cost_by_month")
        self._running = [
            unit[:, axis.unit] + axis.count * drive[:, axis.drive] for axis in self.states.axes
        ]

    def _by_option(self, options: Any, name: str) -> FloatArray:
        """Discounted rows (months, options), and a last option that is nothing."""
        rows = np.zeros((self.problem.months, len(options) + 1))
        for place, option in enumerate(options):
            rows[:, place] = getattr(option, name) * self._discount
        return rows

    def _standing_months(self, order_month: int) -> range:
        """The months over which what is ordered by a month decides: one, or the first ones."""
        last = order_month + self.problem.lead_time_months
        return range(self.problem.standing_month(order_month), last + 1)

    def _standing_cost(self, month: int, unmet: FloatArray | None) -> FloatArray:
        """Cost of every state in a month in which it stands, at a price of what finds no room."""
        cost = self.states.spread([running[month] for running in self._running])
        lack = self.problem.required_tb_by_month[month] - self._plannable_tb
        if unmet is None:
            cost[lack > CAPACITY_TOLERANCE_TB] = np.inf
        else:
            lack *= lack > CAPACITY_TOLERANCE_TB
            lack *= unmet[month] * self._discount[month]
            cost += lack
        cost[self._barred] = np.inf
        return cost

    def _cost_whatever_is_ordered(self, unmet: FloatArray | None) -> float:
        """Of the months before any order stands, and of what is owned and never swapped."""
        here = self._flat(self.states.start)
        cost = sum(
            float(self._standing_cost(month, unmet)[here])
            for month in range(self._standing_months(0)[0])
        )
        swapped = self.states.axes[0].pool if self.states.swaps else None
        kept = (pool for number, pool in enumerate(self.problem.owned) if number != swapped)
        return cost - sum(self._columns.owned_sold(self.problem, pool)[-1] for pool in kept)

    def _waiting(self, month: int, value: FloatArray, unmet: FloatArray | None) -> FloatArray:
        """Costs from a month on, once its order is placed, from those of the month behind it."""
        for standing in self._standing_months(month):
            value = value + self._standing_cost(standing, unmet)
        return value

    def _prices(self, month: int) -> list[FloatArray]:
        """Prices by axis of a month, of the columns that go on behind it."""
        first, *rest = [price[month] for price in self._price]
        return [first[self._columns.first(month + 1) :], *rest]

    def _order_cost(self, month: int) -> float:
        return float(self.problem.order_cost_by_month[month] * self._discount[month])

    def _swap_cost(self, month: int) -> float:
        return float(self.problem.swap_cost_by_month[month] * self._discount[month])

    def _before(
        self, month: int, value: FloatArray, done: FloatArray | None
    ) -> tuple[FloatArray, FloatArray | None, Any]:
        """Costs of every state before the order of a month, where more orders come and where none
        does any more, and bits: whether one is due."""
        states = self.states
        waiting = self._waiting(month, value, self._unmet)
        price = states.spread(self._prices(month))
        ahead = waiting + price
        if done is not None:
            done = self._waiting(month, done, self._after)
            # With the last order everything stays: no swap is waited for.
            np.minimum(ahead[-1], done + price[-1], out=ahead[-1])
        states.least_ahead(ahead, month)
        swapped = None
        if states.swaps:
            # A swap keeps the unit, and whatever else there is; its drives it pays in full.
            kept = [self._unit_price[month, states.axes[0].unit], *self._prices(month)[1:]]
            swapped = states.least_swapped(ahead, month) - states.spread(kept)
            swapped += self._swap_cost(month) + self._order_cost(month)
        ahead -= price
        ahead += self._order_cost(month)
        due = ahead < waiting
        np.minimum(ahead, waiting, out=waiting)
        if swapped is not None and self._columns.have_months:
            waiting = np.concatenate([swapped[np.newaxis], waiting])
            due = np.concatenate([np.ones_like(due[:1]), due])
        elif swapped is not None:
            due[0] |= swapped < waiting[0]
            np.minimum(waiting[0], swapped, out=waiting[0])
        return waiting, done, np.packbits(due)

    def _behind(self, month: int) -> Behind:
        """Costs before the order of a month, kept or worked out again."""
        # The walk never turns back: what lies before may go.
        self._kept = {kept: value for kept, value in self._kept.items() if kept >= month}
        later = min(self._kept)
        for again in range(later - 1, month - 1, -1):
            value, done, _ = self._before(again, *self._kept[again + 1])
            self._kept[again] = value, done
        return self._kept[month]

    def _flat(self, state: tuple[int, ...]) -> int:
        return int(np.ravel_multi_index(state, self.states.shape))

    def _changes(self, column: int) -> Iterator[Change]:
        """Walks from the start along the orders that are due."""
        states, state = self.states, self.states.start
        for month in range(self.problem.order_months):
            first = self._columns.first(month)
            bit = (column - first) * states.size + self._flat(state)
            if not self._due[month][bit >> 3] >> (7 - (bit & 7)) & 1:
                continue
            value, done = self._behind(month + 1)
            way = states.spread(self._way(month, column, state))
            total, is_last = self._waiting(month, value, self._unmet) + way, False
            row, place = divmod(int(total.argmin()), states.size)
            if done is not None:
                last = self._waiting(month, done, self._after) + way[-1]
                is_last = bool(last.min() <= total[row, place])
                if is_last:
                    row, place = len(total) - 1, int(last.argmin())
            column = row + self._columns.first(month + 1)
            new = tuple(int(part) for part in np.unravel_index(place, states.shape))
            for axis, old, now in zip(states.axes, state, new, strict=True):
                if old != now:
                    yield month, axis, old, now
            state = new
            if is_last:
                return

    def _way(self, month: int, column: int, state: tuple[int, ...]) -> list[FloatArray]:
        """By axis, what each state costs to reach from one state; infinite where none leads."""
        states, way = self.states, []
        first_column = self._columns.first(month + 1)
        for axis, here, price in zip(states.axes, state, self._prices(month), strict=True):
            ahead = price - price[..., here : here + 1]
            way.append(np.where(states.reached(axis, here, month), ahead, np.inf))
        first, here = states.axes[0], state[0]
        others = np.arange(len(way[0])) != column - first_column
        if first.pool is None and here == 0:
            way[0][others, 0] = np.inf
            return way
        way[0][others] = np.inf
        may_swap = column == month if self._columns.have_months else column == 0
        if states.swaps and may_swap:
            price = self._prices(month)[0] - self._unit_price[month, first.unit[here]]
            price = price + self._swap_cost(month)
            swapped = states.swapped_to(first, here, month)
            way[0] = np.where(swapped, price, way[0])
        return way
