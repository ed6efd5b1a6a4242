"""Examples for ``models/expansion.py``; the fields of a problem vary in the tests of the model."""

from house.examples import Example
from models.expansion_cases import drive, problem, unit

DRIVE = drive("d", 1.0, [10.0, 8.0, 6.0], 1.0, months=3)
BOX = unit("box", 4, 50.0, months=3)
SHORT_DRIVE, SHORT_BOX = drive("d", 1.0, 10.0, months=2), unit("box", 4, 50.0, months=2)

EXAMPLES = {
    "best_plan": Example(
        base={"problem": problem([1.0, 2.0, 3.0], [DRIVE], [BOX])},
        other={"problem": problem([1.0, 2.0, 3.0], [DRIVE], [BOX], order_cost=5.0)},
        gives_array=True,
        no_number=["problem"],
    ),
    "search_cells": Example(
        base={"problem": problem([1.0, 2.0, 3.0], [DRIVE], [BOX])},
        other={"problem": problem([1.0, 2.0], [SHORT_DRIVE], [SHORT_BOX])},
        no_number=["problem"],
    ),
}
