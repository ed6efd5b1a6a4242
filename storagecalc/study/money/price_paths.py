"""How prices move from month to month: the same for every build."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.prices import price_by_month, shortage_factors, stray_factors
from storagecalc.study.axes import unmonthed
from storagecalc.study.dates import months_between
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class PricePaths:
    """Prices relative to today's, each of shape (positions, draws, months).

    ``box_price`` holds for boxes and shelves, ``drive_price_by_class`` for the drives of each
    class; ``hour_price`` and ``kwh_price`` are in money. ``discount_factor`` is what money of a
    month is worth in month 0.
    """

    box_price: FloatArray
    drive_price_by_class: Mapping[str, FloatArray]
    general_price: FloatArray
    hour_price: FloatArray
    kwh_price: FloatArray
    discount_factor: FloatArray


def box_price(drawn: Scenario, build: Build, prices: PricePaths) -> FloatArray:
    """The price by month of a build's box, (positions, draws, months)."""
    until = build.box_price_holds_until_date
    return build.box_price * _once_quoted(drawn, prices.box_price, until)


def shelf_price(build: Build, prices: PricePaths) -> FloatArray:
    """The price by month of a build's shelf; 0 where it takes none."""
    return (build.shelf.price if build.shelf else 0.0) * prices.box_price


def drive_price(drawn: Scenario, prices: PricePaths, key: str) -> FloatArray:
    """The price by month of a drive of one class."""
    return drawn.drives[key].price * prices.drive_price_by_class[key]


def price_paths(drawn: Scenario) -> PricePaths:
    """The paths that all prices of a scenario follow.

    Parameters
    ----------
    drawn
        A scenario whose ranges are drawn or arrays.
    """
    moves, running = drawn.prices, drawn.running
    rate = drawn.discount_rate_per_year
    general = _path(drawn, moves.inflation_per_year)
    return PricePaths(
        box_price=_path(drawn, moves.box_change_per_year),
        drive_price_by_class=_drive_price_by_class(drawn),
        general_price=general,
        hour_price=running.labour_price_per_h * general,
        # (1 + r)**(-t/12) is growth by -r / (1 + r) a year.
        discount_factor=_path(drawn, -rate / (1.0 + rate)),
        kwh_price=running.electricity_price_per_kwh
        * _path(drawn, moves.electricity_change_per_year),
    )


def _path(drawn: Scenario, change_per_year: Any) -> FloatArray:
    by_month = price_by_month(
        price_today=1.0,
        change_per_year=unmonthed(change_per_year),
        months=drawn.horizon_months,
    )
    return by_month if by_month.ndim > 1 else by_month[None, None]


def _drive_price_by_class(drawn: Scenario) -> dict[str, FloatArray]:
    """One market for all classes, the shortages that each is short in, and what is quoted."""
    market, short = _market(drawn), _factors_by_shortage(drawn)
    paths = {}
    for name, drives in drawn.drives.items():
        path = market
        for key, shortage in drawn.shortages.items():
            if name in (shortage.drives or drawn.drives):
                path = path * short[key]
        paths[name] = _once_quoted(drawn, path, drives.price_holds_until_date)
    return paths


def _market(drawn: Scenario) -> FloatArray:
    moves = drawn.prices
    trend = _path(drawn, moves.drive_change_per_year)
    if moves.drive_stray_shares_by_year is None:
        return trend
    return trend * stray_factors(
        shock_per_year=moves.drive_shock_per_year,
        shares_by_year=moves.drive_stray_shares_by_year,
        months=drawn.horizon_months,
    )


def _factors_by_shortage(drawn: Scenario) -> dict[str, FloatArray]:
    """What each shortage multiplies prices by, in the futures in which it comes."""
    return {
        name: np.where(
            shortage.luck_fraction < shortage.probability_fraction,
            shortage_factors(
                price_factor=shortage.price_factor,
                begins_after_months=months_between(drawn.start_date, shortage.from_date),
                lasts_months=shortage.months,
                recovery_months=shortage.recovery_months,
                months=drawn.horizon_months,
            ),
            1.0,
        )
        for name, shortage in drawn.shortages.items()
    }


def _once_quoted(drawn: Scenario, path: FloatArray, holds_until: date | None) -> FloatArray:
    """The path once the quote has run out; until then the price is that of today."""
    if holds_until is None:
        return path
    last = months_between(drawn.start_date, holds_until)
    return np.where(np.arange(drawn.horizon_months) <= last, 1.0, path)
