"""Needs: what the storage must do, and how sure the studio wants to be."""

from typing import Annotated

from storagecalc.study.scenario.quantity import Amount, Quantity, Table


class Needs(Table):
    """Each need is optional; what is not asked for is not judged."""

    confidence_fraction: Annotated[
        float,
        Quantity(
            label="share of futures in which a need must hold", unit="fraction", lowest=0.5,
            highest=0.99, step=0.05, choice=True,
            find_out="your appetite: 0.8 means in eight of ten futures",
        ),
    ] = 0.8  # fmt: skip
    headroom_months: Annotated[
        Amount,
        Quantity(
            label="must hold without a successor for at least", unit="months", lowest=1,
            highest=240, step=6, find_out="how long you want peace from this question", choice=True,
        ),
    ] = None  # fmt: skip
    loss_probability: Annotated[
        Amount,
        Quantity(
            label="chance that drives alone lose the whole box, over all the months, at most",
            unit="fraction", lowest=1e-12, highest=0.5, step=0.0005,
            find_out="what the owner can sleep with, given the copies outside the box", choice=True,
        ),
    ] = None  # fmt: skip
    streams: Annotated[
        Amount,
        Quantity(
            label="editors' streams at once, at least", unit="streams", lowest=1, highest=400,
            step=1, find_out="people who edit at once, times layers", choice=True,
        ),
    ] = None  # fmt: skip
    noise_dba: Annotated[
        Amount,
        Quantity(
            label="noise at the nearest desk, at most", unit="dBA", lowest=10, highest=80, step=1,
            find_out="30 to 38 for an edit room, 40 for an office", choice=True,
        ),
    ] = None  # fmt: skip
    depth_mm: Annotated[
        Amount,
        Quantity(
            label="depth there is for it, at most", unit="mm", lowest=50, highest=1500, step=10,
            find_out="a tape measure, door closed", choice=True,
        ),
    ] = None  # fmt: skip
    upfront_cost: Annotated[
        Amount,
        Quantity(
            label="cost on day one, at most", unit="money", lowest=1, highest=1_000_000, step=500,
            find_out="ask the owner", choice=True,
        ),
    ] = None  # fmt: skip
    cost_per_year: Annotated[
        Amount,
        Quantity(
            label="cost in any later year, at most", unit="money", lowest=1, highest=1_000_000,
            step=250, find_out="ask the owner", choice=True,
        ),
    ] = None  # fmt: skip
    copies: Annotated[
        int,
        Quantity(
            label="copies of everything, the box among them, at least", unit="copies", lowest=1,
            highest=5, step=1, whole=True,
            find_out="three is the old advice, one of them in another building",
        ),
    ] = None  # type: ignore[assignment]  # fmt: skip
