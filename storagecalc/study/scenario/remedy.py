"""The remedy: what is paid for footage that a build cannot hold."""

from typing import Annotated, Literal

from storagecalc.study.scenario.quantity import Amount, Quantity, Table


class Remedy(Table):
    """What is paid for footage a build cannot hold; the same for every build."""

    kind: Literal["next box", "held elsewhere", "early cull"] = "next box"
    next_build: str | None = None
    migration_h: Annotated[
        Amount,
        Quantity(
            label="work to bring a next box in", unit="h", lowest=0, highest=1000, step=4,
            find_out="planning, copying, checking, telling everyone",
        ),
    ] = 24.0  # fmt: skip
    elsewhere_price_per_tb_month: Annotated[
        Amount,
        Quantity(
            label="holding a TB elsewhere for a month", unit="money", lowest=0.1, highest=500,
            step=0.5, find_out="a rented store's price list, or what loose drives would cost",
        ),
    ] = 20.0  # fmt: skip
    cull_price_per_tb: Annotated[
        Amount,
        Quantity(
            label="loss from giving up a TB before its time", unit="money", lowest=0.1,
            highest=100_000, step=10, find_out="what reuse of old footage earned, per TB",
        ),
    ] = 250.0  # fmt: skip
