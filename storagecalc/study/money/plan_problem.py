"""A build's orders as a problem for the exact planner: its menu, its prices, what it starts from.

Everything stands at its middle, or is one future. The planner's prices are the ledger's: what is
still worth something at the end is sold then, the work of an order included.
"""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion import DriveOption, OwnedLot, OwnedPool, Problem, UnitOption
from storagecalc.models.power import energy_kwh_per_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.capacity.space import Space, space
from storagecalc.study.capacity.steps import FurtherBox
from storagecalc.study.dates import months_between
from storagecalc.study.money.price_paths import PricePaths, box_price, drive_price, shelf_price
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.drives import DriveClass
from storagecalc.study.scenario.owned import moved_class, moved_lots
from storagecalc.study.scenario.scenario import Scenario

BOX, SHELF = "box", "shelf"


def plan_problem(
    drawn: Scenario,
    build: Build,
    prices: PricePaths,
    box: FurtherBox | None,
    required_tb_by_month: FloatArray,
) -> Problem:
    """What the planner is asked for a build.

    Assumes warranty and service life as averages: a drive fails at its yearly rate, and what fails
    is paid for in the share of its life that no warranty covers; nothing wears out.

    Parameters
    ----------
    drawn
        A scenario of numbers: at its middle, or one future of it.
    build
        One of its builds.
    prices
        How prices move there, one row of months each.
    box
        The further box; None where the remedy is another.
    required_tb_by_month
        Plannable TB asked for, shape (months,).
    """
    months = drawn.horizon_months
    unmet = unmet_price_by_month(drawn, prices, box)
    lead = min(math.ceil(_number(build.lead_time_months)), months - 1)
    return Problem(
        required_tb_by_month=required_tb_by_month,
        drive_options=tuple(_drive_options(drawn, build, prices)),
        unit_options=tuple(_unit_options(drawn, build, prices)),
        owned=_owned(drawn, build),
        order_cost_by_month=_order_cost_by_month(drawn, build, prices),
        swap_cost_by_month=np.zeros(months),
        unmet_price_by_month=unmet,
        plannable_fraction=_plannable_fraction(space(drawn, build)),
        lead_time_months=lead,
        first_order_waits=bool(build.keeps),
        discount_rate_per_year=_number(drawn.discount_rate_per_year),
        allow_swap=build.grows_by == "swapping",
        swap_sale_fraction=_number(drawn.prices.drive_sale_fraction),
        sell_at_end=True,
    )


def unmet_price_by_month(drawn: Scenario, prices: PricePaths, box: FurtherBox | None) -> FloatArray:
    """What a TB that finds no room costs for a month: a share of a further box, or rent.

    Formula of the share: (price of the box with all bays full and of the work, less what is left of
    the longer-lived part when the other wears out) spread over its life at the discount rate, and
    power, care and failures of a month; over the plannable TB of the full box.

    Parameters
    ----------
    drawn, prices, box
        As of `plan_problem`.
    """
    if box is None:
        return _row(drawn.remedy.elsewhere_price_per_tb_month * prices.general_price, drawn)
    build, drives = box.build, drawn.drives[box.build.drives]
    count = float(box.space.stints[0].count_by_step[-1])
    hour = _row(prices.hour_price, drawn)
    box_row = _row(box_price(drawn, build, prices), drawn)
    drive_row = count * _row(drive_price(drawn, prices, build.drives), drawn)
    work = hour * (_number(drawn.running.work_per_order_h) + _number(drawn.remedy.migration_h))
    lives = [_number(build.box_life_years), _number(drives.service_life_years)]
    life_years = min(lives)
    left = [_left(drawn.prices.box_value_kept_per_year_fraction, lives[0], life_years) * box_row,
            _left(drawn.prices.drive_value_kept_per_year_fraction, lives[1], life_years)
            * drive_row]  # fmt: skip
    discount = (1.0 + _number(drawn.discount_rate_per_year)) ** -life_years
    spent = box_row + drive_row + work - discount * sum(left)
    care = drawn.running.further_box_care_fraction * drawn.running.care_h_per_month
    running = hour * _number(care) + count * _drive_running(drawn, prices, build.drives)
    running = running + _box_running(drawn, build, prices)
    tb = _number(box.space.ladder.plannable_tb[..., -1])
    priced: FloatArray = (spent / _present_months(drawn, life_years) + running) / tb
    return priced


def _present_months(drawn: Scenario, years: float) -> float:
    """What one a month is worth today over so many years."""
    months = np.arange(max(1, round(years * MONTHS_PER_YEAR)))
    rate = 1.0 + _number(drawn.discount_rate_per_year)
    return float((rate ** (-months / MONTHS_PER_YEAR)).sum())


def _left(kept: Any, life_years: float, after_years: float) -> float:
    """The share of a price that is left after some years; nothing of what is worn out then."""
    return float(_number(kept) ** after_years) if after_years < life_years else 0.0


def _plannable_fraction(room: Space) -> float:
    return _number(room.ladder.plannable_tb[..., 0]) / _number(room.ladder.usable_tb[..., 0])


def _drive_options(drawn: Scenario, build: Build, prices: PricePaths) -> Iterator[DriveOption]:
    """Every class on sale; of two of one size the cheaper, but always the one that is owned."""
    owned = moved_class(drawn.owned, build)
    by_size: dict[float, str] = {}
    for key, drives in drawn.drives.items():
        size_tb = _number(drives.size_tb)
        if size_tb not in by_size or _goes_before(drawn, key, by_size[size_tb], owned):
            by_size[size_tb] = key
    for size_tb, key in by_size.items():
        yield DriveOption(
            key=key,
            size_tb=size_tb,
            price_by_month=_row(drive_price(drawn, prices, key), drawn),
            running_cost_by_month=_drive_running(drawn, prices, key),
            last_order_month=_last_month(drawn, drawn.drives[key]),
            value_kept_per_year_fraction=_number(drawn.prices.drive_value_kept_per_year_fraction),
        )


def _goes_before(drawn: Scenario, key: str, other: str, owned: str | None) -> bool:
    if owned in (key, other):
        return key == owned
    return _number(drawn.drives[key].price) < _number(drawn.drives[other].price)


def _last_month(drawn: Scenario, drives: DriveClass) -> int | None:
    day = drives.available_until_date
    return None if day is None else max(months_between(drawn.start_date, day), -1)


def _drive_running(drawn: Scenario, prices: PricePaths, key: str) -> FloatArray:
    """Power of one drive, and its failures out of warranty, by month."""
    drives = drawn.drives[key]
    power = _row(prices.kwh_price * energy_kwh_per_month(power_w=drives.power_w), drawn)
    uncovered = _uncovered(drives.warranty_years, drives.service_life_years)
    rate = _number(drives.failures_per_drive_year) / MONTHS_PER_YEAR * uncovered
    return power + rate * _row(drive_price(drawn, prices, key), drawn)


def _box_running(drawn: Scenario, build: Build, prices: PricePaths) -> FloatArray:
    power = _row(prices.kwh_price * energy_kwh_per_month(power_w=build.box_power_w), drawn)
    uncovered = _uncovered(build.box_warranty_years, build.box_life_years)
    rate = _number(build.box_failures_per_year) / MONTHS_PER_YEAR * uncovered
    return power + rate * _row(box_price(drawn, build, prices), drawn)


def _uncovered(warranty_years: Any, life_years: Any) -> float:
    """The share of its life that no warranty covers."""
    return max(0.0, 1.0 - _number(warranty_years) / _number(life_years))


def _unit_options(drawn: Scenario, build: Build, prices: PricePaths) -> Iterator[UnitOption]:
    kept, swaps = _number(drawn.prices.box_value_kept_per_year_fraction), "swapping"
    price = _row(box_price(drawn, build, prices), drawn)
    yield UnitOption(
        key=BOX,
        bays=build.drives_at_first if build.grows_by == swaps else build.bays,
        redundancy=build.redundancy,
        hot_spares=build.hot_spares,
        drives_at_first=build.drives_at_first,
        drives_per_step=build.drives_per_step,
        price_by_month=price if build.starts_in is None else np.zeros_like(price),
        running_cost_by_month=_box_running(drawn, build, prices),
        value_kept_per_year_fraction=kept,
    )
    shelf = build.shelf
    if shelf is None:
        return
    power = _row(prices.kwh_price * energy_kwh_per_month(power_w=shelf.power_w), drawn)
    care = drawn.running.further_box_care_fraction * drawn.running.care_h_per_month
    yield UnitOption(
        key=SHELF,
        bays=shelf.drives_at_first if build.grows_by == swaps else shelf.bays,
        redundancy=build.redundancy,
        hot_spares=0,
        drives_at_first=shelf.drives_at_first,
        drives_per_step=build.drives_per_step,
        price_by_month=_row(shelf_price(build, prices), drawn),
        running_cost_by_month=power + _row(prices.hour_price * care, drawn),
        value_kept_per_year_fraction=kept,
        at_most=shelf.shelves_at_most,
        needs_one_of=(BOX,),
    )


def _owned(drawn: Scenario, build: Build) -> tuple[OwnedPool, ...]:
    """The drives that are there already, which fetch nothing."""
    lots = moved_lots(drawn.owned, build)
    if not lots:
        return ()
    return (
        OwnedPool(
            unit=BOX,
            drive=str(moved_class(drawn.owned, build)),
            lots=tuple(
                OwnedLot(
                    count=lot.count,
                    age_months=_number(lot.age_years) * MONTHS_PER_YEAR,
                    price_paid=0.0,
                )
                for lot in lots
            ),
        ),
    )


def _order_cost_by_month(drawn: Scenario, build: Build, prices: PricePaths) -> FloatArray:
    """Work of an order, less what that work is still worth at the end, both as of its month."""
    work = _number(drawn.running.work_per_order_h) * _row(prices.hour_price, drawn)
    left_months = drawn.horizon_months - np.arange(drawn.horizon_months)
    kept = _number(drawn.prices.drive_value_kept_per_year_fraction)
    life_months = _number(drawn.drives[build.drives].service_life_years) * MONTHS_PER_YEAR
    worth = kept ** (left_months / MONTHS_PER_YEAR) * np.minimum(work, work[-1])
    worth = np.where(left_months < life_months, worth, 0.0)
    discount = _row(prices.discount_factor, drawn)
    net: FloatArray = np.maximum(work - worth * discount[-1] / discount, 0.0)
    return net


def _row(by_month: Any, drawn: Scenario) -> FloatArray:
    """One row of months of a path that has all three axes."""
    row: FloatArray = np.broadcast_to(
        np.asarray(by_month, dtype=np.float64).reshape(-1), (drawn.horizon_months,)
    )
    return row


def _number(value: Any) -> float:
    """A drawn quantity of one future as a plain number."""
    return float(np.asarray(value).reshape(-1)[0])
