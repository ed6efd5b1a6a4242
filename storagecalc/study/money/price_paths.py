"""How prices move from month to month: the same for every build."""

from dataclasses import dataclass
from typing import Any

from storagecalc.models.checks import FloatArray
from storagecalc.models.prices import price_by_month
from storagecalc.study.axes import unmonthed
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class PricePaths:
    """Prices relative to today's, each of shape (positions, draws, months).

    ``box_price`` holds for boxes and shelves; ``hour_price`` and ``kwh_price`` are in money.
    ``discount_factor`` is what money of a month is worth in month 0.
    """

    box_price: FloatArray
    drive_price: FloatArray
    general_price: FloatArray
    hour_price: FloatArray
    kwh_price: FloatArray
    discount_factor: FloatArray


def price_of(drawn: Scenario, build: Build, prices: PricePaths, what: str) -> FloatArray:
    """The price by month of one thing in an order: a box, a shelf, drives, larger drives.

    What stands in for drives owned before is a drive of the build's own class.
    """
    if what == "box":
        return build.box_price * prices.box_price
    if what == "shelf":
        return (build.shelf.price if build.shelf else 0.0) * prices.box_price
    drives = build.swap_to if what == "larger drives" else build.drives
    return drawn.drives[str(drives)].price * prices.drive_price


def price_paths(drawn: Scenario) -> PricePaths:
    """The paths that all prices of a scenario follow.

    Parameters
    ----------
    drawn
        A scenario whose ranges are drawn or arrays.
    """
    moves, running = drawn.prices, drawn.running

    def path(change_per_year: Any) -> FloatArray:
        by_month = price_by_month(
            price_today=1.0,
            change_per_year=unmonthed(change_per_year),
            months=drawn.horizon_months,
        )
        return by_month if by_month.ndim > 1 else by_month[None, None]

    rate = drawn.discount_rate_per_year
    general = path(moves.inflation_per_year)
    return PricePaths(
        box_price=path(moves.box_change_per_year),
        drive_price=path(moves.drive_change_per_year),
        general_price=general,
        hour_price=running.labour_price_per_h * general,
        # (1 + r)**(-t/12) is growth by -r / (1 + r) a year.
        discount_factor=path(-rate / (1.0 + rate)),
        kwh_price=running.electricity_price_per_kwh * path(moves.electricity_change_per_year),
    )
