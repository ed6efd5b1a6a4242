"""Copies of the footage outside the box."""

from typing import Annotated

from storagecalc.study.scenario.quantity import Amount, Quantity, Table


class Copy(Table):
    """A further copy of what is held on the box, the same for every build."""

    another_building: bool
    price: Annotated[
        Amount,
        Quantity(
            label="price of setting the copy up", unit="money", lowest=0, highest=200_000, step=50,
            find_out="a quote for box and drives; 0 for a rented place",
        ),
    ] = 0.0  # fmt: skip
    capacity_tb: Annotated[
        Amount,
        Quantity(
            label="what the copy holds", unit="TB", lowest=0.5, highest=5000, step=4,
            find_out="its plannable space; leave out where it grows as needed",
        ),
    ] = None  # fmt: skip
    price_per_tb_month: Annotated[
        Amount,
        Quantity(
            label="rent of a TB a month", unit="money", lowest=0, highest=500, step=0.5,
            find_out="the price list; 0 where the copy is yours",
        ),
    ] = 0.0  # fmt: skip
    life_years: Annotated[
        Amount,
        Quantity(
            label="age at which it is set up anew", unit="years", lowest=1, highest=20, step=1,
            find_out="house rule, as for the box",
        ),
    ] = 7.0  # fmt: skip
