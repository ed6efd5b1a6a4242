"""A build's orders as a problem for the exact planner: its menu, its prices, what it starts from.

Prices and rates are means over the futures that are planned for, or those of a single one. They are
the ledger's: what is still worth something at the end is sold then, the work of an order included.
What finds no room is bridged until the last order stands, then has its share of a further box.
"""

import math
from collections.abc import Iterator

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion import DriveOption, OwnedLot, OwnedPool, Problem, UnitOption
from storagecalc.models.power import energy_kwh_per_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.axes import mean_number, mean_row
from storagecalc.study.capacity.purchase_plan import LackPrice
from storagecalc.study.capacity.space import Space, space
from storagecalc.study.capacity.steps import FurtherBox
from storagecalc.study.dates import months_between
from storagecalc.study.money.planned_running import box_running, drive_running
from storagecalc.study.money.price_paths import PricePaths, box_price, drive_price, shelf_price
from storagecalc.study.money.unmet_price import (
    bridging_price_by_month,
    further_box_price_by_month,
)
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
    lack_price: LackPrice,
    required_tb_by_month: FloatArray,
) -> Problem:
    """What the planner is asked for a build.

    Assumes warranty and service life as averages: a drive fails at its yearly rate, and what fails
    is paid for in the share of its life that no warranty covers; nothing wears out. Cold spares of
    a new box are left out, and so is all that costs the same whatever is ordered.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays, with one position.
    build
        One of its builds, its lead time a number.
    prices
        How prices move there.
    box
        The further box; None where the remedy is another.
    lack_price
        What footage without room costs once the last order stands.
    required_tb_by_month
        Plannable TB asked for, shape (months,).
    """
    months = drawn.horizon_months
    bridging, later = bridging_price_by_month(drawn, prices), None
    if box is not None and lack_price != "bridging":
        later = np.minimum(bridging, further_box_price_by_month(drawn, prices, box))
    lead = min(math.ceil(mean_number(build.lead_time_months)), months - 1)
    return Problem(
        required_tb_by_month=required_tb_by_month,
        drive_options=tuple(_drive_options(drawn, build, prices)),
        unit_options=tuple(_unit_options(drawn, build, prices)),
        owned=_owned(drawn, build),
        order_cost_by_month=_order_cost_by_month(drawn, build, prices),
        swap_cost_by_month=np.zeros(months),
        unmet_price_by_month=bridging,
        later_unmet_price_by_month=later,
        plannable_fraction=_plannable_fraction(space(drawn, build)),
        lead_time_months=lead,
        first_order_waits=bool(build.keeps),
        discount_rate_per_year=mean_number(drawn.discount_rate_per_year),
        allow_swap=build.grows_by == "swapping",
        swap_sale_fraction=_swap_sale_fraction(drawn),
        sell_at_end=True,
    )


def _plannable_fraction(room: Space) -> float:
    return mean_number(room.ladder.plannable_tb[..., 0]) / mean_number(
        room.ladder.usable_tb[..., 0]
    )


def _drive_options(drawn: Scenario, build: Build, prices: PricePaths) -> Iterator[DriveOption]:
    """Every class on sale; of two of one size the one that is longer on sale, then the cheaper.

    Always the one that is owned.
    """
    owned = moved_class(drawn.owned, build)
    by_size: dict[float, str] = {}
    for key, drives in drawn.drives.items():
        size_tb = mean_number(drives.size_tb)
        if size_tb not in by_size or _goes_before(drawn, key, by_size[size_tb], owned):
            by_size[size_tb] = key
    for size_tb, key in by_size.items():
        yield DriveOption(
            key=key,
            size_tb=size_tb,
            price_by_month=mean_row(drive_price(drawn, prices, key)),
            running_cost_by_month=drive_running(drawn, prices, key),
            last_order_month=_last_month(drawn, build, drawn.drives[key]),
            value_kept_per_year_fraction=mean_number(
                drawn.prices.drive_value_kept_per_year_fraction
            ),
        )


def _goes_before(drawn: Scenario, key: str, other: str, owned: str | None) -> bool:
    if owned in (key, other):
        return key == owned
    return _rank(drawn, key) < _rank(drawn, other)


def _rank(drawn: Scenario, key: str) -> tuple[int, float]:
    """Months of the horizon in which a class is not for sale, and its price today."""
    last, months = _end_of_sale(drawn, drawn.drives[key]), drawn.horizon_months
    return 0 if last is None else max(months - 1 - last, 0), mean_number(drawn.drives[key].price)


def _last_month(drawn: Scenario, build: Build, drives: DriveClass) -> int | None:
    """The last month in which a class can be ordered; -1 where no order would come in time."""
    waits = bool(build.keeps) or bool(moved_lots(drawn.owned, build))
    if waits and math.ceil(mean_number(build.lead_time_months)) >= drawn.horizon_months:
        return -1
    return _end_of_sale(drawn, drives)


def _end_of_sale(drawn: Scenario, drives: DriveClass) -> int | None:
    day = drives.available_until_date
    return None if day is None else max(months_between(drawn.start_date, day), -1)


def _unit_options(drawn: Scenario, build: Build, prices: PricePaths) -> Iterator[UnitOption]:
    kept, swaps = mean_number(drawn.prices.box_value_kept_per_year_fraction), "swapping"
    price = mean_row(box_price(drawn, build, prices))
    yield UnitOption(
        key=BOX,
        bays=build.drives_at_first if build.grows_by == swaps else build.bays,
        redundancy=build.redundancy,
        hot_spares=build.hot_spares,
        drives_at_first=build.drives_at_first,
        drives_per_step=build.drives_per_step,
        price_by_month=price if build.starts_in is None else np.zeros_like(price),
        running_cost_by_month=box_running(drawn, build, prices),
        value_kept_per_year_fraction=kept,
    )
    shelf = build.shelf
    if shelf is None:
        return
    power = mean_row(prices.kwh_price * energy_kwh_per_month(power_w=shelf.power_w))
    care = drawn.running.further_box_care_fraction * drawn.running.care_h_per_month
    yield UnitOption(
        key=SHELF,
        bays=shelf.drives_at_first if build.grows_by == swaps else shelf.bays,
        redundancy=build.redundancy,
        hot_spares=0,
        drives_at_first=shelf.drives_at_first,
        drives_per_step=build.drives_per_step,
        price_by_month=mean_row(shelf_price(build, prices)),
        running_cost_by_month=power + mean_row(prices.hour_price * care),
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
                    age_months=mean_number(lot.age_years) * MONTHS_PER_YEAR,
                    price_paid=0.0,
                )
                for lot in lots
            ),
        ),
    )


def _order_cost_by_month(drawn: Scenario, build: Build, prices: PricePaths) -> FloatArray:
    """Work of an order, less what that work is still worth at the end, both as of its month.

    Nothing in month 0 where drives that are owned go into a new box, or spares into the cupboard:
    an order is then placed whatever the plan says.
    """
    work = mean_number(drawn.running.work_per_order_h) * mean_row(prices.hour_price)
    left_months = drawn.horizon_months - np.arange(drawn.horizon_months)
    kept = mean_number(drawn.prices.drive_value_kept_per_year_fraction)
    life_months = mean_number(drawn.drives[build.drives].service_life_years) * MONTHS_PER_YEAR
    worth = kept ** (left_months / MONTHS_PER_YEAR) * np.minimum(work, work[-1])
    worth = np.where(left_months <= life_months, worth, 0.0)
    discount = mean_row(prices.discount_factor)
    net: FloatArray = np.maximum(work - worth * discount[-1] / discount, 0.0)
    if moved_lots(drawn.owned, build) and (build.starts_in is None or build.cold_spares):
        net[0] = 0.0
    return net


def _swap_sale_fraction(drawn: Scenario) -> float:
    """The share of its worth that a drive fetches which is sold when the month of the swap is over.

    The planner counts its age to the beginning of that month.
    """
    kept_for_a_month = mean_number(drawn.prices.drive_value_kept_per_year_fraction) ** (
        1 / MONTHS_PER_YEAR
    )
    return mean_number(drawn.prices.drive_sale_fraction) * kept_for_a_month
