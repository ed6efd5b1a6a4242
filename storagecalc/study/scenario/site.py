"""The site: where the box stands, and what the circuit there bears."""

from typing import Annotated

from storagecalc.study.scenario.quantity import Amount, Quantity, Table


class Place(Table):
    """Where the box stands."""

    desk_m: Annotated[
        Amount,
        Quantity(
            label="distance to the nearest desk", unit="m", lowest=0.3, highest=100, step=0.5,
            find_out="a tape measure; walls between count extra and are left out here",
        ),
    ] = 3.0  # fmt: skip
    breaker_a: Annotated[
        Amount,
        Quantity(
            label="breaker of the circuit", unit="A", lowest=1, highest=125, step=1,
            find_out="the distribution board; ask a licensed electrician",
        ),
    ] = 16.0  # fmt: skip
    mains_v: Annotated[
        Amount,
        Quantity(
            label="mains voltage", unit="V", lowest=100, highest=240, step=10,
            status="common practice", find_out="120 V or 230 V by country",
        ),
    ] = 230.0  # fmt: skip
    other_load_w: Annotated[
        Amount,
        Quantity(
            label="everything else on that circuit", unit="W", lowest=0, highest=10_000, step=50,
            find_out="plug meter, or the sum of the labels",
        ),
    ] = 800.0  # fmt: skip
    temperature_rise_k: Annotated[
        Amount,
        Quantity(
            label="how much warmer the air may leave", unit="K", lowest=1, highest=30, step=1,
            status="common practice", find_out="5 to 10 K is usual",
        ),
    ] = 8.0  # fmt: skip
