"""Drive classes: what one drive holds, costs, draws and how often it fails."""

from datetime import date
from typing import Annotated, Literal

from storagecalc.study.scenario.quantity import Amount, Quantity, Range, Table

# Open statistics of one large operator for 2025, model by model: half of the models below 1.35,
# nine in ten below 5.31 failures in 100 drive-years; the low end is our judgement (least: 0.22).
# A studio's few drives are of one or two models, so the spread between models is the doubt.
ANY_MODEL = Range(low=0.005, middle=0.0135, high=0.053)


class DriveClass(Table):
    """A class of drives, referred to by builds."""

    size_tb: Annotated[
        Amount,
        Quantity(
            label="drive size", unit="TB", lowest=0.25, highest=100, step=2,
            find_out="the label: decimal terabytes",
        ),
    ]  # fmt: skip
    price: Annotated[
        Amount,
        Quantity(
            label="price of one drive today", unit="money", lowest=1, highest=20_000, step=10,
            find_out="a quote, with or without tax like all other prices here",
        ),
    ]  # fmt: skip
    failures_per_drive_year: Annotated[
        Amount,
        Quantity(
            label="failures per drive and year", unit="per year", lowest=0.0005, highest=0.36,
            step=0.0025, status="sourced",
            find_out="open drive statistics: failures over drive-days, times 365",
        ),
    ] = ANY_MODEL  # fmt: skip
    media_mb_s: Annotated[
        Amount,
        Quantity(
            label="average rate across the platter", unit="MB/s", lowest=20, highest=8000, step=10,
            find_out="the data sheet gives the outer edge; the average is about 0.7 of it",
        ),
    ] = 180.0  # fmt: skip
    seek_ms: Annotated[
        Amount,
        Quantity(
            label="average seek", unit="ms", lowest=0.01, highest=30, step=0.5,
            find_out="the data sheet",
        ),
    ] = 8.5  # fmt: skip
    spindle_rpm: Annotated[
        Amount,
        Quantity(
            label="spindle speed", unit="rpm", lowest=3600, highest=15_000, step=100,
            status="common practice", find_out="the data sheet",
        ),
    ] = 7200.0  # fmt: skip
    power_w: Annotated[
        Amount,
        Quantity(
            label="power of one running drive", unit="W", lowest=0.5, highest=40, step=0.5,
            find_out="the data sheet, between idle and active",
        ),
    ] = 7.5  # fmt: skip
    errors_per_bit: Annotated[
        Amount,
        Quantity(
            label="unreadable sectors per bit read", unit="per bit", lowest=1e-18, highest=1e-13,
            step=1e-16, status="sourced",
            find_out="the data sheet: an upper limit, real drives do better",
        ),
    ] = 1e-15  # fmt: skip
    available_until_date: date | None = None
    warranty_years: Annotated[
        Amount,
        Quantity(
            label="warranty of a drive", unit="years", lowest=0, highest=10, step=1,
            find_out="the invoice or the data sheet",
        ),
    ] = 5.0  # fmt: skip
    service_life_years: Annotated[
        Amount,
        Quantity(
            label="age at which drives are replaced", unit="years", lowest=2, highest=15, step=1,
            find_out="house rule; many retire drives one or two years after the warranty",
        ),
    ] = 7.0  # fmt: skip


class Rebuild(Table):
    """How long the box runs with a drive missing."""

    rebuild_speed_fraction: Annotated[
        Amount,
        Quantity(
            label="share of a drive's rate that a rebuild gets", unit="fraction", lowest=0.02,
            highest=1, step=0.05, find_out="the last rebuild: its hours against size over rate",
        ),
    ] = 0.3  # fmt: skip
    swap_wait_h: Annotated[
        Amount,
        Quantity(
            label="until a new drive is in, without any spare", unit="h", lowest=0, highest=2000,
            step=12, find_out="how long the last drive took to come, and who is in at the weekend",
        ),
    ] = 72.0  # fmt: skip
    cold_swap_h: Annotated[
        Amount,
        Quantity(
            label="until somebody has put in a spare from the cupboard", unit="h", lowest=0,
            highest=500, step=4, find_out="who notices, and how soon they are there, nights too",
        ),
    ] = 16.0  # fmt: skip
    repair: Literal["parallel", "one at a time"] = "parallel"
