"""Prices: how they move, and what it costs to run the box."""

from typing import Annotated

from storagecalc.study.scenario.quantity import Amount, Quantity, Range, Table

# Price lists show falls of 9 to 14 in a hundred a year from 2010 to 2023 and a steep rise since
# late 2025: a wide guess, mean -8 and standard deviation 10 in a hundred a year.
DRIVE_PRICE_DRIFT = Range(low=-0.2, middle=-0.08, high=0.05)


class Prices(Table):
    """How prices move; today's prices stand with the things themselves."""

    drive_change_per_year: Annotated[
        Amount,
        Quantity(
            label="change of drive prices a year", unit="fraction", lowest=-0.6, highest=0.6,
            step=0.01, find_out="your own invoices; they fell for decades and rose in 2026",
        ),
    ] = DRIVE_PRICE_DRIFT  # fmt: skip
    box_change_per_year: Annotated[
        Amount,
        Quantity(
            label="change of box and shelf prices a year", unit="fraction", lowest=-0.3,
            highest=0.4, step=0.01, find_out="your own invoices",
        ),
    ] = 0.02  # fmt: skip
    inflation_per_year: Annotated[
        Amount,
        Quantity(
            label="rise of wages and other costs a year", unit="fraction", lowest=-0.05,
            highest=0.3, step=0.005, find_out="the central bank's aim, or your last pay round",
        ),
    ] = 0.025  # fmt: skip
    electricity_change_per_year: Annotated[
        Amount,
        Quantity(
            label="change of the electricity price a year", unit="fraction", lowest=-0.2,
            highest=0.3, step=0.005, find_out="the last three bills",
        ),
    ] = 0.03  # fmt: skip
    box_value_kept_per_year_fraction: Annotated[
        Amount,
        Quantity(
            label="share of its value a used box keeps each year", unit="fraction", lowest=0,
            highest=0.95, step=0.05, find_out="what used boxes are offered for; 0 leaves it out",
        ),
    ] = 0.0  # fmt: skip


class Running(Table):
    """What it costs to run the box."""

    electricity_price_per_kwh: Annotated[
        Amount,
        Quantity(
            label="electricity price", unit="money per kWh", lowest=0.01, highest=2, step=0.01,
            find_out="the bill, all fees in",
        ),
    ]  # fmt: skip
    labour_price_per_h: Annotated[
        Amount,
        Quantity(
            label="an hour of whoever looks after it", unit="money per h", lowest=0, highest=500,
            step=5, find_out="wage with all charges, or a day rate over eight",
        ),
    ]  # fmt: skip
    care_h_per_month: Annotated[
        Amount,
        Quantity(
            label="care of the box a month", unit="h", lowest=0, highest=200, step=0.5,
            find_out="two weeks of honest notes",
        ),
    ] = 3.0  # fmt: skip
    work_per_order_h: Annotated[
        Amount,
        Quantity(
            label="work around each order", unit="h", lowest=0, highest=200, step=1,
            find_out="quotes, unpacking, fitting, checking: the last time",
        ),
    ] = 4.0  # fmt: skip
