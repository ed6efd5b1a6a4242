"""Drive classes: what one drive holds, costs, draws and how often it fails."""

from datetime import date
from typing import Literal

from storagecalc.study.scenario.declare import described, fraction, quantity
from storagecalc.study.scenario.quantity import Amount, Range, Table

# Open statistics of one large operator for 2025, model by model: half of the models below 1.35,
# nine in ten below 5.31 failures in 100 drive-years; the low end is our judgement (least: 0.22).
# A studio's few drives are of one or two models, so the spread between models is the doubt.
ANY_MODEL = Range(low=0.005, middle=0.0135, high=0.053)


class DriveClass(Table):
    """A class of drives, referred to by builds."""

    size_tb: Amount = quantity("TB", 0.25, 100, step=2).named(
        "drive size", find_out="the label, which counts decimal terabytes"
    )
    price: Amount = quantity("money", 1, 20_000, step=10, floor=10).named(
        "price of one drive today",
        find_out="a quote, with or without tax like all other prices here",
    )
    price_holds_until_date: date | None = described(
        "last month in which it can be had at that price",
        find_out="the quote; left out: the price moves from the first month on",
        default=None,
    )
    failures_per_drive_year: Amount = quantity(
        "per year", 0.0005, 0.36, step=0.0025, default=ANY_MODEL
    ).named(
        "failures per drive and year",
        find_out="open drive statistics: failures over drive-days, times 365",
        status="sourced",
    )
    media_mb_s: Amount = quantity("MB/s", 20, 8000, step=10, default=180.0).named(
        "average rate across the platter",
        find_out="the data sheet gives the outer edge; the average is about 0.7 of it",
    )
    seek_ms: Amount = quantity("ms", 0.01, 30, step=0.5, default=8.5).named(
        "average seek time", find_out="the data sheet"
    )
    spindle_rpm: Amount = quantity("rpm", 3600, 15_000, step=100, default=7200.0).named(
        "spindle speed", find_out="the data sheet", status="common practice"
    )
    power_w: Amount = quantity("W", 0.5, 40, step=0.5, default=7.5).named(
        "power of one running drive", find_out="the data sheet, between idle and active"
    )
    errors_per_bit: Amount = quantity("per bit", 1e-18, 1e-13, step=1e-16, default=1e-15).named(
        "unreadable sectors per bit read",
        find_out="the data sheet: an upper limit, real drives do better",
        status="sourced",
    )
    available_until_date: date | None = described(
        "last month in which it can be bought",
        find_out="ask the dealer; left out: always",
        default=None,
    )
    warranty_years: Amount = quantity("years", 0, 10, default=5.0).named(
        "warranty of a drive", find_out="the invoice or the data sheet"
    )
    service_life_years: Amount = quantity("years", 2, 15, default=7.0).named(
        "age at which drives are replaced",
        find_out="your house rule; many retire drives one or two years after the warranty",
    )


class Rebuild(Table):
    """How long the box runs with a drive missing."""

    rebuild_speed_fraction: Amount = fraction(0.02, 1, step=0.05, default=0.3).named(
        "share of a drive's rate that a rebuild gets",
        find_out="the last rebuild: drive size over drive rate, divided by its hours",
    )
    swap_wait_h: Amount = quantity("h", 0, 2000, step=12, default=72.0).named(
        "time until a new drive is in, without a spare",
        find_out="how long the last drive took to come, and who is in at the weekend",
    )
    cold_swap_h: Amount = quantity("h", 0, 500, step=4, default=16.0).named(
        "time until somebody has put in a spare from the cupboard",
        find_out="who notices, and how soon they are there, nights too",
    )
    repair: Literal["parallel", "one at a time"] = described(
        "whether several broken drives are rebuilt at once or in turn",
        find_out='"parallel" is what boxes do, "one at a time" the cautious figure',
        default="parallel",
    )
