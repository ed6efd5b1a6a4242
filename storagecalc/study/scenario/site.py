"""The site: where the box stands, and what the circuit there bears."""

from storagecalc.study.scenario.declare import quantity
from storagecalc.study.scenario.quantity import Amount, Table


class Place(Table):
    """Where the box stands."""

    desk_m: Amount = quantity("m", 0.3, 100, step=0.5, default=3.0).named(
        "distance to the nearest desk",
        find_out="a tape measure; walls in between make it quieter, but are not counted",
    )
    breaker_a: Amount = quantity("A", 1, 125, default=16.0).named(
        "breaker of the circuit", find_out="the distribution board; ask a licensed electrician"
    )
    mains_v: Amount = quantity("V", 100, 240, step=10, default=230.0).named(
        "mains voltage", find_out="120 V or 230 V by country", status="common practice"
    )
    other_load_w: Amount = quantity("W", 0, 10_000, step=50, default=800.0).named(
        "everything else on that circuit", find_out="a plug meter, or the sum of the rating plates"
    )
    temperature_rise_k: Amount = quantity("K", 1, 30, default=8.0).named(
        "how much the air may warm up in the box",
        find_out="5 to 10 K is usual",
        status="common practice",
    )
