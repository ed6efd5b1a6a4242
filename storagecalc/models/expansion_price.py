"""What a list of orders costs, drive by drive: a second opinion on the best purchase plan."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion_problem import (
    CAPACITY_TOLERANCE_TB,
    DriveOption,
    OwnedPool,
    Problem,
    UnitOption,
)
from storagecalc.models.units import MONTHS_PER_YEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One line of what is ordered in a month.

    Parameters
    ----------
    month
        Month in which it is placed and paid, from 0.
    pool
        Number of the pool: owned ones first, as listed, then as they appear; within a month boxes
        before shelves.
    unit
        Key of the unit that this line brings, or None where the pool is there already.
    drive
        Key of the drives.
    drives
        How many, 1 or more.
    swap
        Whether they take the place of all drives in the pool.
    """

    month: int
    pool: int
    unit: str | None
    drive: str
    drives: int
    swap: bool


def cost_by_month(problem: Problem, orders: Iterable[Order]) -> FloatArray:
    """What orders and all that stands cost in each month, money of that month.

    Every drive is followed by itself, from the month in which it is paid to the month in which it
    is sold. Formula of its worth in month s, paid in month t: ``kept**((s - t)/12) * min(price
    paid, price of its option in s)``. Nothing here knows how `best_plan` searches.

    Parameters
    ----------
    problem
        Prices, rules and what is owned.
    orders
        Lines of `Order`, in order of month; none buys nothing.

    Returns
    -------
    numpy array
        One entry a month, in the currency of the prices; money that comes in is negative.

    Raises
    ------
    ValueError
        Where an order breaks a rule of the problem, or the orders leave a lack of space that may
        not be.

    Examples
    --------
    A box of two bays for 50 and two mirrored drives of 1 TB at 10, running at 1 a month each.

    >>> from storagecalc.models.expansion import DriveOption, Problem, UnitOption
    >>> months = [0.0, 0.0, 0.0]
    >>> problem = Problem(
    ...     required_tb_by_month=[1.0, 1.0, 1.0],
    ...     drive_options=(
    ...         DriveOption(
    ...             key="d", size_tb=1.0, price_by_month=[10.0] * 3, running_cost_by_month=[1.0] * 3
    ...         ),
    ...     ),
    ...     unit_options=(
    ...         UnitOption(
    ...             key="box", bays=2, redundancy="mirror", hot_spares=0, drives_at_first=2,
    ...             drives_per_step=1, price_by_month=[50.0] * 3, running_cost_by_month=months,
    ...         ),
    ...     ),
    ...     order_cost_by_month=[5.0] * 3, swap_cost_by_month=months, unmet_price_by_month=None,
    ...     plannable_fraction=1.0, lead_time_months=0, discount_rate_per_year=0.0,
    ... )
    >>> first = Order(month=0, pool=0, unit="box", drive="d", drives=2, swap=False)
    >>> cost_by_month(problem, [first]).tolist()
    [77.0, 2.0, 2.0]
    """
    return Ledger(problem, orders).cost_by_month()


@dataclass(slots=True)
class _Drive:
    """One drive: when it was paid for, what for, when it stands and whether it has been sold."""

    pool: int
    option: DriveOption
    ordered: int | None  # None: owned
    paid_month: float
    price_paid: float
    stands: int
    leaves: int
    is_sold: bool = False


class Ledger:
    """Every drive and every unit, owned or ordered.

    Parameters
    ----------
    problem, orders
        As of `cost_by_month`.

    Attributes
    ----------
    plannable_tb_by_month, unmet_tb_by_month
        Plannable TB that stands in each month, and TB asked for that find no room.
    """

    def __init__(self, problem: Problem, orders: Iterable[Order]) -> None:
        self._problem = problem
        self._orders = tuple(orders)
        self._drives: list[_Drive] = []
        self._units: list[UnitOption] = []
        for pool in problem.owned:
            self._own(pool)
        last = 0
        for order in self._orders:
            _refuse(order, not last <= order.month < problem.order_months, "is out of its month")
            last = order.month
            self._take(order)
        self.plannable_tb_by_month = self._plannable_tb_by_month()
        lack = problem.required_tb_by_month - self.plannable_tb_by_month
        self.unmet_tb_by_month: FloatArray = np.where(lack > CAPACITY_TOLERANCE_TB, lack, 0.0)

    def _plannable_tb_by_month(self) -> FloatArray:
        total = np.zeros(self._problem.months)
        for pool, unit in enumerate(self._units):
            count = np.zeros(self._problem.months, np.int64)
            size = np.zeros(self._problem.months)
            for drive in self._drives:
                if drive.pool == pool:
                    count[drive.stands : drive.leaves] += 1
                    size[drive.stands : drive.leaves] = drive.option.size_tb
            stands = count > 0
            total[stands] += unit.usable_tb(count[stands], size[stands])
        return total * self._problem.plannable_fraction

    def cost_by_month(self) -> FloatArray:
        """Costs of each month, money that comes in negative."""
        problem = self._problem
        cost = self._unmet_cost_by_month()
        for month in {order.month for order in self._orders}:
            cost[month] += problem.order_cost_by_month[month]
        for drive in self._drives:
            if drive.ordered is not None:
                cost[drive.ordered] += drive.price_paid
            running = drive.option.running_cost_by_month
            cost[drive.stands : drive.leaves] += running[drive.stands : drive.leaves]
            if drive.is_sold:
                sold = self._worth(drive, drive.leaves, drive.leaves)
                cost[drive.leaves] -= problem.swap_sale_fraction * sold
            elif problem.sell_at_end:
                cost[-1] -= self._worth(drive, problem.months, problem.months - 1)
        bringing = {order.pool: order.month for order in self._orders if order.unit is not None}
        for pool, unit in enumerate(self._units):
            self._add_unit(cost, unit, bringing.get(pool))
        for order in self._orders:
            cost[order.month] += problem.swap_cost_by_month[order.month] if order.swap else 0.0
        return cost

    def _unmet_cost_by_month(self) -> FloatArray:
        unmet, price = self.unmet_tb_by_month, self._problem.unmet_price_by_month
        if price is None and unmet.any():
            month = int(unmet.nonzero()[0][0])
            raise ValueError(
                f"orders must leave no space unmet where unmet_price_by_month is None, got "
                f"{unmet[month]:g} TB short in month {month}"
            )
        if price is None:
            return np.zeros_like(unmet)
        after = self._problem.later_unmet_price_by_month
        if after is not None:
            lasts = [self._problem.standing_month(order.month) for order in self._orders]
            since = np.arange(self._problem.months) >= max(lasts, default=0)
            price = np.where(since, after, price)
        return unmet * price

    def _worth(self, drive: _Drive, month: int, priced: int) -> float:
        kept = drive.option.value_kept_per_year_fraction
        aged: float = kept ** ((month - drive.paid_month) / MONTHS_PER_YEAR)
        return aged * min(drive.price_paid, float(drive.option.price_by_month[priced]))

    def _add_unit(self, cost: FloatArray, unit: UnitOption, month: int | None) -> None:
        if month is None:  # owned
            cost += unit.running_cost_by_month
            return
        stands, end = self._problem.standing_month(month), self._problem.months
        cost[month] += unit.price_by_month[month]
        cost[stands:] += unit.running_cost_by_month[stands:]
        if self._problem.sell_at_end:
            aged = unit.value_kept_per_year_fraction ** ((end - month) / MONTHS_PER_YEAR)
            cost[-1] -= aged * min(unit.price_by_month[month], unit.price_by_month[-1])

    def _own(self, pool: OwnedPool) -> None:
        number = len(self._units)
        self._units.append(self._problem.unit(pool.unit))
        for lot in pool.lots:
            for _ in range(lot.count):
                self._drives.append(
                    _Drive(
                        pool=number,
                        option=self._problem.drive(pool.drive),
                        ordered=None,
                        paid_month=-lot.age_months,
                        price_paid=lot.price_paid,
                        stands=0,
                        leaves=self._problem.months,
                    )
                )

    def _take(self, order: Order) -> None:
        option = self._problem.drive(order.drive)
        _refuse(order, order.drives < 1, "brings no drives")
        _refuse(order, not option.is_for_sale(order.month), "is for drives not for sale then")
        if order.unit is not None:
            self._bring(order, self._problem.unit(order.unit))
        _refuse(order, not 0 <= order.pool < len(self._units), "is for a pool that is not there")
        unit = self._units[order.pool]
        there = [d for d in self._drives if d.pool == order.pool and not d.is_sold]
        if order.swap:
            self._swap_out(order, there)
            there = []
        _refuse(order, any(d.option.key != order.drive for d in there), "mixes sizes in a pool")
        count = len(there) + order.drives
        _refuse(order, count not in unit.drive_counts, f"makes a pool of {count} drives")
        self._drives += [
            _Drive(
                pool=order.pool,
                option=option,
                ordered=order.month,
                paid_month=order.month,
                price_paid=float(option.price_by_month[order.month]),
                stands=self._problem.standing_month(order.month),
                leaves=self._problem.months,
            )
            for _ in range(order.drives)
        ]

    def _bring(self, order: Order, unit: UnitOption) -> None:
        there = [other.key for other in self._units]
        boxes = sum(other.is_box for other in self._units)
        _refuse(order, order.pool != len(there), "numbers its pool out of turn")
        _refuse(order, order.swap, "swaps drives of a new pool")
        _refuse(order, there.count(unit.key) >= unit.at_most, "brings one more than at_most")
        full = unit.is_box and boxes >= self._problem.boxes_at_most
        _refuse(order, full, "brings one more than boxes_at_most")
        fits = unit.is_box or not set(there).isdisjoint(unit.needs_one_of)
        _refuse(order, not fits, "brings a shelf without a box that it fits")
        self._units.append(unit)

    def _swap_out(self, order: Order, there: list[_Drive]) -> None:
        allowed = self._problem.allow_swap and self._units[order.pool].is_box
        _refuse(order, not allowed, "swaps drives where none may be swapped")
        _refuse(order, len(there) != order.drives, f"swaps {len(there)} drives for another number")
        smaller = there[0].option.size_tb < self._problem.drive(order.drive).size_tb
        _refuse(order, not smaller, "swaps drives for no larger ones")
        new = any(drive.ordered == order.month for drive in there)
        _refuse(order, new, "swaps drives ordered in the same month")
        for drive in there:
            drive.leaves, drive.is_sold = self._problem.standing_month(order.month), True


def _refuse(order: Order, wrong: bool, why: str) -> None:
    if wrong:
        raise ValueError(
            f"orders must keep to the rules of the problem, got one that {why}: {order}"
        )
