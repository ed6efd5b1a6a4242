"""Examples for ``models/expansion_price.py``."""

from house.examples import Example
from models.expansion_cases import drive, problem, unit

from storagecalc.models.expansion import Order

DRIVE = drive("d", 1.0, [10.0, 8.0, 6.0], 1.0, months=3)
BOX = unit("box", 4, 50.0, months=3)
FIRST = Order(month=0, pool=0, unit="box", drive="d", drives=2, swap=False)
THEN = Order(month=1, pool=0, unit=None, drive="d", drives=1, swap=False)

EXAMPLES = {
    "cost_by_month": Example(
        base={"problem": problem([1.0, 2.0, 2.0], [DRIVE], [BOX]), "orders": [FIRST]},
        other={
            "problem": problem([1.0, 2.0, 2.0], [DRIVE], [BOX], order_cost=5.0),
            "orders": [FIRST, THEN],
        },
        gives_array=True,
        no_number=["problem", "orders"],
    ),
}
