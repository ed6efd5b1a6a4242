"""The cheapest purchase plan against an integer program on random problems."""

import numpy as np
import pytest
from models.expansion_cases import changed, cost_of, random_problem
from models.expansion_milp import integer_program

from storagecalc.models.expansion import InfeasiblePlan

# Seeds, and what the problems have; every third of them starts with something owned, half swap,
# prices fall, rise and jump, sizes come into sale and go out of it.
SHORT = [(seed, {"months": 5, "bays": 3}) for seed in range(6)]
LONG = [
    *((seed, {"months": 24, "bays": 4}) for seed in (*range(300, 308), *range(309, 313))),
    *((seed, {"months": 12, "bays": 4, "shelves": 2}) for seed in range(100, 110)),
    *((seed, {"months": 12, "boxes": 2, "swaps": False}) for seed in range(200, 206)),
    *((seed, {"months": 10, "sizes": 3, "bays": 4, "swaps": True}) for seed in range(400, 406)),
]


def agrees(seed, has):
    asked = random_problem(seed, **has)
    try:
        cost = cost_of(asked)
    except InfeasiblePlan:
        cost = np.inf
    found = integer_program(asked).least_cost()
    assert cost == pytest.approx(found, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(("seed", "has"), SHORT)
def test_second_route_an_integer_program(seed, has):
    agrees(seed, has)


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "has"), LONG)
def test_second_route_an_integer_program_over_a_longer_time(seed, has):
    agrees(seed, has)


def test_the_integer_program_is_tried_on_every_kind_of_problem():
    asked = [random_problem(seed, **has) for seed, has in LONG]
    assert len(asked) >= 30
    for kind in (
        lambda one: one.owned and one.allow_swap,
        lambda one: one.allow_swap and one.swap_sale_fraction > 0 and not one.sell_at_end,
        lambda one: one.allow_swap and one.sell_at_end,
        lambda one: one.unmet_price_by_month is None,
        lambda one: one.lead_time_months and one.owned,
        lambda one: np.diff(one.drive_options[0].price_by_month).max() > 0,
    ):
        assert sum(bool(kind(one)) for one in asked) >= 3


def test_the_integer_program_finds_a_wrong_cost():
    asked = changed(random_problem(1, months=5, bays=3), unmet_price_by_month=np.full(5, 90.0))
    dearer = changed(asked, order_cost_by_month=asked.order_cost_by_month + 1.0)
    assert integer_program(dearer).least_cost() > cost_of(asked) + 0.5
