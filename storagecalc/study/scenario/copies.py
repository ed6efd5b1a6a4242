"""Copies of the footage outside the box."""

from storagecalc.study.scenario.declare import described, quantity
from storagecalc.study.scenario.quantity import Amount, Table


class Copy(Table):
    """A further copy of what is held on the box, the same for every build."""

    another_building: bool = described(
        "whether it stands in another building", find_out="true or false"
    )
    price: Amount = quantity("money", 0, 200_000, step=50, floor=20, default=0.0).named(
        "price of setting the copy up", find_out="a quote for box and drives; 0 for a rented place"
    )
    capacity_tb: Amount = quantity("TB", 0.5, 5000, step=4, default=None).named(
        "what the copy holds",
        find_out="its plannable space; leave it out if the copy grows as needed",
    )
    price_per_tb_month: Amount = quantity("money", 0, 500, step=0.5, default=0.0).named(
        "rent of a TB a month", find_out="the price list; 0 if the copy is your own"
    )
    life_years: Amount = quantity("years", 1, 20, default=7.0).named(
        "age at which it is replaced", find_out="your house rule, as for the box"
    )
