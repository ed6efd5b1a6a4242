"""One problem of buying storage over time: what is asked for, what is for sale, what is owned."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from storagecalc.models.checks import (
    INFINITE,
    FloatArray,
    checked,
    checked_choice,
    checked_row,
    checked_whole,
)
from storagecalc.models.layouts import REDUNDANCIES, layout, usable_tb

CAPACITY_TOLERANCE_TB = 1e-9
"""Space that falls short by no more than this is enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveOption:
    """A size of drive that is for sale, or was.

    Parameters
    ----------
    key
        Its name, unlike any other drive option's.
    size_tb
        TB on the label, above 0, unlike any other drive option's.
    price_by_month
        Price of one in each month, 0 or more; what is owned is resold by it too.
    running_cost_by_month
        Cost of one that stands, in each month, 0 or more: power, expected cost of failures.
    first_order_month, last_order_month
        It can be ordered in these months and between; None: to the end, -1: never.
    value_kept_per_year_fraction
        Share of its worth that is left after each year, 0 to 1.
    """

    key: str
    size_tb: float
    price_by_month: FloatArray
    running_cost_by_month: FloatArray
    first_order_month: int = 0
    last_order_month: int | None = None
    value_kept_per_year_fraction: float = 0.0

    def __post_init__(self) -> None:
        checked("size_tb", self.size_tb, above=0)
        _whole(self, "first_order_month", at_least=0)
        if self.last_order_month is not None:
            _whole(self, "last_order_month", at_least=-1)
        _fraction("value_kept_per_year_fraction", self.value_kept_per_year_fraction)
        _rows(self, "price_by_month", "running_cost_by_month")

    def is_for_sale(self, month: int) -> bool:
        """Whether it can be ordered in a month, counted from 0."""
        last = INFINITE if self.last_order_month is None else self.last_order_month
        return self.first_order_month <= month <= last


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitOption:
    """A box, or a shelf that hangs on a box; the drives in it form one pool.

    Parameters
    ----------
    key
        Its name, unlike any other unit option's.
    bays
        Drives that it takes, 1 or more.
    redundancy
        One of ``layouts.REDUNDANCIES``.
    hot_spares
        Hot spares among its drives, 0 or more.
    drives_at_first, drives_per_step
        A pool has ``drives_at_first`` drives, or any number of steps of ``drives_per_step`` more
        that the bays take; each such count has to make a layout.
    price_by_month
        Price of the empty unit in each month, 0 or more.
    running_cost_by_month
        Cost of the empty unit in each month that it stands, 0 or more.
    value_kept_per_year_fraction
        Share of its worth that is left after each year, 0 to 1, for the sale at the end.
    at_most
        How many may stand in all, owned ones included, 0 or more.
    needs_one_of
        Keys of the boxes that a shelf fits, of which one has to stand or be in the same order;
        empty for a box.
    """

    key: str
    bays: int
    redundancy: str
    hot_spares: int
    drives_at_first: int
    drives_per_step: int
    price_by_month: FloatArray
    running_cost_by_month: FloatArray
    value_kept_per_year_fraction: float = 0.0
    at_most: int = 1
    needs_one_of: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        checked_choice("redundancy", self.redundancy, REDUNDANCIES)
        _whole(self, "bays", at_least=1)
        _whole(self, "hot_spares", at_least=0)
        _whole(self, "drives_at_first", at_least=1, at_most=self.bays)
        _whole(self, "drives_per_step", at_least=1)
        _whole(self, "at_most", at_least=0)
        _fraction("value_kept_per_year_fraction", self.value_kept_per_year_fraction)
        _rows(self, "price_by_month", "running_cost_by_month")
        self.usable_tb(self.drive_counts, 1.0)

    @property
    def drive_counts(self) -> range:
        """The numbers of drives that its pool may have."""
        return range(self.drives_at_first, self.bays + 1, self.drives_per_step)

    @property
    def is_box(self) -> bool:
        """Whether it stands by itself; else it is a shelf."""
        return not self.needs_one_of

    def usable_tb(self, drive_count: Any, size_tb: Any) -> Any:
        """Usable TB of its pool with so many drives of a size; arrays broadcast."""
        made = layout(
            redundancy=self.redundancy, drive_count=drive_count, hot_spares=self.hot_spares
        )
        return usable_tb(layout=made, drive_tb=size_tb)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnedLot:
    """Drives bought together before month 0.

    Parameters
    ----------
    count
        Drives, 1 or more.
    age_months
        Months from their purchase to month 0, 0 or more.
    price_paid
        What one of them cost, 0 or more; 0: it fetches nothing at a sale.
    """

    count: int
    age_months: float
    price_paid: float

    def __post_init__(self) -> None:
        _whole(self, "count", at_least=1)
        checked("age_months", self.age_months, at_least=0)
        checked("price_paid", self.price_paid, at_least=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnedPool:
    """A unit that stands from month 0, and its drives, all of one size.

    Parameters
    ----------
    unit, drive
        Keys of its unit option and of its drive option.
    lots
        Its drives by purchase; together a count that the unit option allows.
    """

    unit: str
    drive: str
    lots: tuple[OwnedLot, ...]

    @property
    def drives(self) -> int:
        """Drives of all lots together."""
        return sum(lot.count for lot in self.lots)


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What is asked for in each month, and the rules and prices under which it may be met.

    Month 0 is today. An order is paid in the month t in which it is placed and stands, counts and
    costs from month t + ``lead_time_months``; where nothing is owned, an order of month 0 stands
    from month 0, and the plan begins with its delivery, unless ``first_order_waits``.

    Parameters
    ----------
    required_tb_by_month
        Plannable TB asked for in each month, 0 or more; may fall. Its length is the horizon.
    drive_options, unit_options
        What may be bought or is owned, at least one of each.
    owned
        Pools that stand already.
    boxes_at_most
        Boxes that may stand, owned ones included, 1 or more.
    order_cost_by_month
        Paid once in each month with an order, 0 or more: work and shipping.
    swap_cost_by_month
        Paid once for each swap, 0 or more: the rebuilds, or the copy.
    unmet_price_by_month
        Price of a TB that finds no room for a month, 0 or more; None: all has to find room.
    later_unmet_price_by_month
        The same from the month on in which the last order stands, from month 0 without any order:
        never more than ``unmet_price_by_month``; None: as much.
    plannable_fraction
        Plannable TB for each usable TB, above 0 to 1.
    lead_time_months
        Whole months from an order to its standing, 0 to the horizon less 1.
    first_order_waits
        Whether an order of month 0 waits for it too where nothing is owned.
    discount_rate_per_year
        Yearly rate, 0 or more.
    allow_swap
        Whether all drives of the box may give way to as many of a larger size; asks for a
        ``boxes_at_most`` of 1.
    swap_sale_fraction
        Share of its worth that a drive swapped out fetches, 0 to 1.
    sell_at_end
        Whether what stands in the last month is sold in it, its age counted to the end of it.
        Owned units fetch nothing.
    """

    required_tb_by_month: FloatArray
    drive_options: tuple[DriveOption, ...]
    unit_options: tuple[UnitOption, ...]
    owned: tuple[OwnedPool, ...] = ()
    boxes_at_most: int = 1
    order_cost_by_month: FloatArray
    swap_cost_by_month: FloatArray
    unmet_price_by_month: FloatArray | None
    later_unmet_price_by_month: FloatArray | None = None
    plannable_fraction: float
    lead_time_months: int
    first_order_waits: bool = False
    discount_rate_per_year: float
    allow_swap: bool = False
    swap_sale_fraction: float = 1.0
    sell_at_end: bool = False

    def __post_init__(self) -> None:
        _rows(self, "required_tb_by_month", "order_cost_by_month", "swap_cost_by_month")
        _rows(self, *self._unmet_prices())
        checked("plannable_fraction", self.plannable_fraction, above=0, at_most=1)
        checked("discount_rate_per_year", self.discount_rate_per_year, at_least=0)
        _fraction("swap_sale_fraction", self.swap_sale_fraction)
        most = self.months - 1
        _whole(self, "lead_time_months", at_least=0, at_most=most)
        _whole(self, "boxes_at_most", at_least=1)
        if self.allow_swap and self.boxes_at_most != 1:
            raise ValueError(
                f"boxes_at_most must be 1 where allow_swap is True, got {self.boxes_at_most}"
            )
        self._check_months()
        self._check_unmet_prices()
        self._check_options()
        self._check_owned()

    @property
    def months(self) -> int:
        """Months of the horizon."""
        return len(self.required_tb_by_month)

    @property
    def order_months(self) -> int:
        """Months in which an order still stands within the horizon."""
        return self.months - self.lead_time_months

    def standing_month(self, order_month: int) -> int:
        """The month from which an order stands."""
        if order_month == 0 and not self.owned and not self.first_order_waits:
            return 0
        return order_month + self.lead_time_months

    def unit(self, key: str) -> UnitOption:
        """The unit option of a key."""
        return _found("unit", key, self.unit_options)

    def drive(self, key: str) -> DriveOption:
        """The drive option of a key."""
        return _found("drive", key, self.drive_options)

    def _unmet_prices(self) -> list[str]:
        """The names of those prices that there are."""
        names = ("unmet_price_by_month", "later_unmet_price_by_month")
        return [name for name in names if getattr(self, name) is not None]

    def _check_months(self) -> None:
        names = ("order_cost_by_month", "swap_cost_by_month", *self._unmet_prices())
        rows = {name: getattr(self, name) for name in names}
        options: tuple[Any, ...] = (*self.drive_options, *self.unit_options)
        for option in options:
            for name in ("price_by_month", "running_cost_by_month"):
                rows[f'{name} of "{option.key}"'] = getattr(option, name)
        for name, row in rows.items():
            if len(row) != self.months:
                raise ValueError(
                    f"{name} must have as many months as required_tb_by_month ({self.months}), "
                    f"got {len(row)}"
                )

    def _check_unmet_prices(self) -> None:
        before, after = self.unmet_price_by_month, self.later_unmet_price_by_month
        if after is None:
            return
        if before is None:
            raise ValueError(
                "later_unmet_price_by_month must be None where unmet_price_by_month is None"
            )
        if (after > before).any():
            month = int((after > before).argmax())
            raise ValueError(
                "later_unmet_price_by_month must be at most unmet_price_by_month in every month,"
                f" got {after[month]:g} over {before[month]:g} in month {month}"
            )

    def _check_options(self) -> None:
        _different("drive_options", "keys", [option.key for option in self.drive_options])
        _different("drive_options", "sizes", [option.size_tb for option in self.drive_options])
        _different("unit_options", "keys", [option.key for option in self.unit_options])
        boxes = [option.key for option in self.unit_options if option.is_box]
        for option in self.unit_options:
            for key in option.needs_one_of:
                checked_choice("needs_one_of", key, boxes)

    def _check_owned(self) -> None:
        standing = Counter(pool.unit for pool in self.owned)
        for pool in self.owned:
            unit = self.unit(pool.unit)
            self.drive(pool.drive)
            if pool.drives not in unit.drive_counts:
                raise ValueError(
                    f'owned drives in "{unit.key}" must be one of {list(unit.drive_counts)}, '
                    f"got {pool.drives}"
                )
            if standing[unit.key] > unit.at_most:
                raise ValueError(
                    f'at_most of "{unit.key}" must be at least the {standing[unit.key]} owned, '
                    f"got {unit.at_most}"
                )
            if not unit.is_box and not any(standing[key] for key in unit.needs_one_of):
                raise ValueError(f'owned must have a box for "{unit.key}", got none that it fits')
        boxes = sum(self.unit(pool.unit).is_box for pool in self.owned)
        if boxes > self.boxes_at_most:
            raise ValueError(
                f"boxes_at_most must be at least the {boxes} owned, got {self.boxes_at_most}"
            )


def _rows(of: Any, *names: str) -> None:
    """Puts rows of numbers, 0 or more, in the place of what was handed in."""
    for name in names:
        row = checked_row(name, getattr(of, name), at_least=0)
        if row.ndim != 1:
            raise ValueError(f"{name} must be one row of months, got the shape {row.shape}")
        object.__setattr__(of, name, row)


def _whole(of: Any, name: str, **limits: Any) -> None:
    """Puts a whole number in the place of what was handed in."""
    object.__setattr__(of, name, checked_whole(name, getattr(of, name), **limits))


def _fraction(name: str, value: float) -> None:
    checked(name, value, at_least=0, at_most=1)


def _different(name: str, what: str, values: Sequence[Any]) -> None:
    if not values:
        raise ValueError(f"{name} must have at least one entry, got none")
    if len(set(values)) < len(values):
        raise ValueError(f"{name} must have different {what}, got {values!r:.80}")


def _found(what: str, key: str, options: tuple[Any, ...]) -> Any:
    """The option of a key, refused where there is none."""
    checked_choice(what, key, [option.key for option in options])
    return next(option for option in options if option.key == key)
