"""The remedy: what is paid for footage that a build cannot hold."""

from typing import Literal

from storagecalc.study.scenario.declare import described, quantity
from storagecalc.study.scenario.quantity import Amount, Table


class Remedy(Table):
    """What is paid for footage a build cannot hold; the same for every build."""

    kind: Literal["next box", "held elsewhere", "early cull"] = described(
        "what is done when a build can hold no more",
        find_out="your house rule; the same for every build",
        default="next box",
    )
    next_build: str | None = described(
        "build to buy when one is full",
        find_out='the NAME of a table [builds.NAME]; needed while kind is "next box"',
        default=None,
    )
    migration_h: Amount = quantity("h", 0, 1000, step=4, default=24.0).named(
        "work of bringing in each further box",
        find_out="the time for planning, copying, checking and telling everyone",
    )
    elsewhere_price_per_tb_month: Amount = quantity(
        "money", 0.1, 500, step=0.5, default=20.0
    ).named(
        "price of holding a TB elsewhere for a month",
        find_out="a rented store's price list, or what loose drives would cost",
    )
    cull_price_per_tb: Amount = quantity("money", 0.1, 100_000, step=10, default=250.0).named(
        "loss from deleting a TB early",
        find_out="what reuse of old footage earned, per TB",
    )
