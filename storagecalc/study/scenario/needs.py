"""Needs: what the storage must do, and how sure the studio wants to be."""

from storagecalc.study.scenario.declare import count, fraction, quantity
from storagecalc.study.scenario.quantity import Amount, Table


class Needs(Table):
    """Each need is optional; what is not asked for is not judged."""

    confidence_fraction: float = fraction(0.5, 0.99, step=0.05, default=0.8).named(
        "share of futures in which a need must hold",
        find_out="how much risk you accept: 0.8 means in eight of ten futures",
        status="choice",
    )
    headroom_months: Amount = quantity("months", 1, 240, step=6, default=None).named(
        "must last before a new box is needed for at least",
        find_out="how long until you want to buy again",
        status="choice",
    )
    loss_probability: Amount = fraction(1e-12, 0.5, step=0.0005, default=None).named(
        "chance that drive failures alone destroy everything in a pool, over all the months, at"
        " most",
        find_out="what lets the owner sleep, given the copies outside the box",
        status="choice",
    )
    streams: Amount = quantity("streams", 1, 400, default=None).named(
        "editors' streams at once, at least",
        find_out="people who edit at once, times the layers each plays",
        status="choice",
    )
    noise_dba: Amount = quantity("dBA", 10, 80, default=None).named(
        "noise at the nearest desk, at most",
        find_out="30 to 38 for an edit room, 40 for an office",
        status="choice",
    )
    depth_mm: Amount = quantity("mm", 50, 1500, step=10, default=None).named(
        "depth available for the box, at most",
        find_out="a tape measure, door closed",
        status="choice",
    )
    upfront_cost: Amount = quantity("money", 1, 1_000_000, step=500, floor=100, default=None).named(
        "cost of what is ordered on day one, at most", find_out="ask the owner", status="choice"
    )
    copies: int = count("copies", 1, 5, default=None).named(
        "copies of everything, the box among them, at least",
        find_out="your choice; three is the usual advice, one of them in another building",
        status="choice",
    )
    cost_per_year: Amount = quantity("money", 1, 1_000_000, step=250, floor=50, default=None).named(
        "cost in any later year, at most", find_out="ask the owner", status="choice"
    )
