"""Prices: how they move, and what it costs to run the box."""

from storagecalc.study.scenario.declare import fraction, quantity
from storagecalc.study.scenario.quantity import Amount, Range, Table

# Price lists show falls of 9 to 14 in a hundred a year from 2010 to 2023 and a steep rise since
# late 2025: a wide guess, mean -8 and standard deviation 10 in a hundred a year.
DRIVE_PRICE_DRIFT = Range(low=-0.2, middle=-0.08, high=0.05)


class Prices(Table):
    """How prices change; today's prices stand with what they buy."""

    drive_change_per_year: Amount = fraction(-0.6, 0.6, step=0.01, default=DRIVE_PRICE_DRIFT).named(
        "change of drive prices a year",
        find_out="your own invoices; they fell for decades and rose in 2026",
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
        "care of each further box or shelf as a share of it",
        find_out="how much longer the round takes with two boxes than with one",
    )
    work_per_order_h: Amount = quantity("h", 0, 200, default=4.0).named(
        "work for each order",
        find_out="how long quotes, unpacking, fitting and checking took the last time",
    )
