"""Prices: how they move, when they jump, and what it costs to run the box."""

from datetime import date
from typing import Any

from pydantic import Field, PrivateAttr

from storagecalc.study.scenario.declare import described, fraction, quantity
from storagecalc.study.scenario.quantity import Amount, Range, Table

# Both are held against tables/drive_prices.csv in tests/published/test_price_history.py. The trend
# spans the seven-year runs since 2008, but for the last, which ends in the dear year 2026; that of
# the shock is what thirteen yearly changes from 2010 to 2023 tell of their own spread.
DRIVE_PRICE_DRIFT = Range(low=-0.2, middle=-0.08, high=0.05)
DRIVE_PRICE_SHOCK = Range(low=0.07, middle=0.085, high=0.115)


class Prices(Table):
    """How prices change; today's prices stand with what they buy."""

    drive_change_per_year: Amount = fraction(-0.6, 0.6, step=0.01, default=DRIVE_PRICE_DRIFT).named(
        "change of drive prices a year",
        find_out="your own invoices; they fell for decades and rose in 2026",
    )
    drive_shock_per_year: Amount = fraction(0, 0.6, step=0.01, default=DRIVE_PRICE_SHOCK).named(
        "how far drive prices stray from that trend each year",
        find_out="one standard deviation of the yearly change of the logarithm; 0: not at all",
        status="sourced",
    )
    box_change_per_year: Amount = fraction(-0.3, 0.4, step=0.01, default=0.02).named(
        "change of box and shelf prices a year", find_out="your own invoices"
    )
    inflation_per_year: Amount = fraction(-0.05, 0.3, step=0.005, default=0.025).named(
        "rise of wages and other costs a year",
        find_out="the central bank's target, or your last pay rise",
    )
    electricity_change_per_year: Amount = fraction(-0.2, 0.3, step=0.005, default=0.03).named(
        "change of the electricity price a year", find_out="the last three bills"
    )
    # Double declining balance over seven years is 5/7 a year.
    box_value_kept_per_year_fraction: Amount = fraction(0, 0.95, step=0.05, default=0.7).named(
        "share of its value a box or shelf keeps each year",
        find_out="what used ones are offered for; 0: worth nothing at the end",
        status="common practice",
    )
    drive_value_kept_per_year_fraction: Amount = fraction(0, 0.95, step=0.05, default=0.7).named(
        "share of its value a drive keeps each year",
        find_out="what used ones are offered for; 0: worth nothing at the end",
        status="common practice",
    )
    drive_sale_fraction: Amount = fraction(0, 1, step=0.05, default=0.0).named(
        "share of its worth that a drive fetches when it is swapped out",
        find_out="0 unless you sell drives that clients' footage was on",
        status="choice",
    )
    # Drawn, never written: none until study/sampling.py has drawn them.
    _drive_stray_shares_by_year: Any = PrivateAttr(default=None)

    @property
    def drive_stray_shares_by_year(self) -> Any:
        """What share of all years strays less than each, shape (1, draws, years); None where
        undrawn."""
        return self._drive_stray_shares_by_year

    def with_drive_strays(self, shares_by_year: Any) -> "Prices":
        """The same prices with their strays drawn, an array of shape (1, draws, years)."""
        straying = self.model_copy()
        straying._drive_stray_shares_by_year = shares_by_year
        return straying


class Shortage(Table):
    """A time in which drives are dear, because of a flood, a boom or a tariff; or cheap."""

    from_date: date = described(
        "month in which it begins",
        find_out="your guess; today's prices are outside it; the day is set to the first",
    )
    months: Amount = quantity("months", 1, 120, step=3).named(
        "months that it lasts in full",
        find_out="your guess; from 2011 to 2013 prices took two years to come back",
    )
    price_factor: Amount = quantity("times", 0.1, 10, step=0.1).named(
        "price in it as a multiple of the price without it",
        find_out="1.5 is half as much again, about as in 2012; below 1: prices fall for a while",
    )
    recovery_months: Amount = quantity("months", 0, 120, step=3, default=0.0).named(
        "months that prices then take to come back", find_out="your guess; 0: they fall at once"
    )
    probability_fraction: Amount = fraction(0, 1, step=0.05, default=1.0).named(
        "chance that it comes at all",
        find_out="your guess; left out: it comes in every future",
    )
    drives: tuple[str, ...] = Field(
        default=(),
        title="classes of drives that it is about",
        description="NAMES of tables [drives.NAME]; left out: all of them",
    )
    # Drawn, never written: the middle until study/sampling.py has drawn it.
    _luck_fraction: Any = PrivateAttr(default=0.5)

    @property
    def luck_fraction(self) -> Any:
        """From 0 to 1, an array of shape (1, draws, 1); 0.5 where undrawn. It comes where that is
        below its chance."""
        return self._luck_fraction

    def with_luck(self, luck_fraction: Any) -> "Shortage":
        """The same with its luck drawn, an array of shape (1, draws, 1)."""
        drawn = self.model_copy()
        drawn._luck_fraction = luck_fraction
        return drawn


class Running(Table):
    """What it costs to run the box."""

    electricity_price_per_kwh: Amount = quantity("money per kWh", 0.01, 2, step=0.01).named(
        "electricity price", find_out="the bill, with all fees"
    )
    labour_price_per_h: Amount = quantity("money per h", 0, 500, step=5).named(
        "price of an hour of work",
        find_out="the wage with all charges, or a day rate divided by eight",
    )
    care_h_per_month: Amount = quantity("h", 0, 200, step=0.5, default=3.0).named(
        "care of the first box a month", find_out="write it down for two weeks"
    )
    further_box_care_fraction: Amount = fraction(
        0, 1, step=0.05, default=Range(low=0.1, middle=0.25, high=0.5)
    ).named(
        "care of each further box or shelf as a share of the first's",
        find_out="how much longer the round takes with two boxes than with one",
    )
    work_per_order_h: Amount = quantity("h", 0, 200, default=4.0).named(
        "work for each order",
        find_out="how long quotes, unpacking, fitting and checking took the last time",
    )
