"""Builds that follow a plan against the ledger: every category of every future, to a billionth."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from study.money.agreed import DRAWS, assert_agrees, assert_remedy_agrees, ledgers
from study.money.kinds import SHELF, SHORTAGES, kind, owned

from storagecalc import Scenario, evaluate
from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.study.evaluate import purchase_plans
from storagecalc.study.sampling import sampler

FORTY = {"size_tb": 40, "price": 420, "warranty_years": 1, "failures_per_drive_year": 0.03,
         "power_w": 15, "service_life_years": 4}  # fmt: skip
RENT = {"kind": "held elsewhere"}


def line(
    month: int, pool: int, drives: str, count: int, unit: Any = None, *, swap: bool = False
) -> PlannedOrder:
    return PlannedOrder(
        month=month, pool=pool, unit=unit, drives=drives, count=count, swap=swap
    )  # fmt: skip


def planned(*, box: Mapping[str, Any] | None = None, **tables: Any) -> Scenario:
    """A studio whose box follows a plan."""
    return kind(drives={"forty": FORTY}, box={"plan": "best", **(box or {})}, **tables)


SWAPPING = {"grows_by": "swapping", "swap_to": "twenty"}
GROWN = [
    line(0, 0, "ten", 4, "box"),
    line(7, 0, "ten", 2),
    line(7, 1, "twenty", 4, "shelf"),
    line(21, 1, "twenty", 1),
    line(21, 0, "ten", 1),
    line(40, 2, "forty", 5, "shelf"),
]
TWICE = [
    line(0, 0, "ten", 4, "box"),
    line(6, 1, "ten", 4, "shelf"),
    line(13, 0, "twenty", 4, swap=True),
    line(30, 2, "forty", 4, "shelf"),
    line(44, 0, "forty", 4, swap=True),
]
PLANS: dict[str, tuple[Any, list[PlannedOrder]]] = {
    "box, drives, shelves of other classes": (
        lambda: planned(box={"shelf": SHELF, "cold_spares": 1, "hot_spares": 1}), GROWN,
    ),
    "the same in rented space": (lambda: planned(box={"shelf": SHELF}, remedy=RENT), GROWN),
    "shortages and quotes": (
        lambda: planned(
            box={"shelf": SHELF, "box_price_holds_until_date": "2028-12-15"}, shortages=SHORTAGES
        ),
        GROWN,
    ),
    "two swaps": (
        lambda: planned(box={**SWAPPING, "shelf": SHELF, "cold_spares": 1}), TWICE,
    ),
    "two swaps of drives in long use": (
        lambda: planned(ten={}, box={**SWAPPING, "shelf": SHELF}), TWICE,
    ),
    "swapped and added to at once": (
        lambda: planned(box=SWAPPING),
        [line(0, 0, "ten", 4, "box"), line(9, 0, "forty", 4, swap=True), line(9, 0, "forty", 2)],
    ),
    "owned, added to": (
        lambda: planned(owned=owned((1, 4), (3, 5.1)), box={"drives_from": "old",
                        "starts_in": "old", "shelf": SHELF, "cold_spares": 1}),
        [line(0, 0, "old", 1), line(5, 1, "twenty", 4, "shelf"), line(9, 0, "old", 2)],
    ),
    "owned, in a new box": (
        lambda: planned(owned=owned((4, 5.5)), box={"drives_from": "old"}),
        [line(3, 0, "old", 2)],
    ),
    "owned, swapped twice": (
        lambda: planned(owned=owned((2, 5.6), (2, 1)), box={"drives_from": "old", **SWAPPING}),
        [line(11, 0, "ten", 4, swap=True), line(19, 0, "forty", 4, swap=True)],
    ),
    "owned, one drive, worn out and swapped": (
        lambda: planned(
            owned=owned((1, 5.6), redundancy="none"),
            box={"drives_from": "old", "redundancy": "none", "drives_at_first": 1, "bays": 1,
                 **SWAPPING},
        ),
        [line(11, 0, "ten", 1, swap=True)],
    ),
    "owned, nothing ordered": (
        lambda: planned(owned=owned((4, 2)), box={"drives_from": "old", "starts_in": "old"}), [],
    ),
    "kept, the first order later": (
        lambda: planned(
            owned=owned((4, 4.4), bays=5, box_age_years=3.9),
            box={"keeps": ["old"], "keeps_months": 31, "shelf": SHELF, "cold_spares": 1},
        ),
        [line(8, 0, "twenty", 4, "box"), line(8, 1, "ten", 5, "shelf"), line(20, 0, "twenty", 1)],
    ),
    "kept, ordered at once": (
        lambda: planned(owned=owned((4, 3)), box={"keeps": ["old"]}),
        [line(0, 0, "twenty", 4, "box"), line(20, 0, "twenty", 4)],
    ),
    "kept, its own box later": (
        lambda: planned(
            owned={**owned((4, 3)), "older": owned((3, 1.5), box_age_years=1)["old"]},
            box={"keeps": ["older"], "starts_in": "old", "cold_spares": 1},
        ),
        [line(5, 0, "twenty", 5, "box"), line(6, 0, "twenty", 1)],
    ),
    "kept beside what is owned": (
        lambda: planned(
            owned={**owned((4, 3)), "older": owned((3, 1.5), box_age_years=1)["old"]},
            box={"keeps": ["older"], "drives_from": "old"},
        ),
        [line(0, 0, "old", 1)],
    ),
    "nothing ordered": (lambda: planned(box={"cold_spares": 1}), []),
    "nothing ordered, rented space": (lambda: planned(remedy=RENT), []),
}  # fmt: skip


def purchase_plan(scenario: Scenario, orders: list[PlannedOrder]) -> PurchasePlan:
    """A plan by hand, made for a footage that half of the futures exceed."""
    months = np.arange(1, scenario.horizon_months + 1)
    return PurchasePlan(
        lack_price="bridging",
        orders=tuple(orders),
        line_tb_by_month=tuple((3.0 * months).tolist()),
        line_fraction=0.5,
        under_fraction=0.5,
    )


def assert_all_agree(scenario: Scenario, plans: Mapping[str, PurchasePlan]) -> None:
    for key, draw, outcome, found in ledgers(scenario, plans):
        where = f"{key}, future {draw}"
        assert_agrees(outcome, draw, found, where)
        assert_remedy_agrees(outcome, draw, found, where, plans.get(key))


@pytest.mark.parametrize("name", PLANS)
def test_every_kind_of_plan_agrees_with_the_ledger_in_every_category(name):
    make, orders = PLANS[name]
    scenario = make()
    assert_all_agree(scenario, {"box": purchase_plan(scenario, orders)})


@pytest.mark.parametrize("name", PLANS)
def test_the_best_plan_of_each_agrees_with_the_ledger_too(name):
    scenario = PLANS[name][0]()
    assert_all_agree(scenario, purchase_plans(sampler(scenario)))


@pytest.mark.parametrize("name", PLANS)
def test_every_line_of_a_plan_is_listed_in_its_month(name):
    """In every future, cold spares with the first drives."""
    make, orders = PLANS[name]
    scenario = make()
    plan = purchase_plan(scenario, orders)
    money = evaluate(scenario, draws=DRAWS, plans={"box": plan}).builds[0].money
    build = scenario.builds["box"]
    asked: Counter[tuple[float, str]] = Counter()
    for each in orders:
        asked[each.month, each.drives] += each.count
    if build.cold_spares and (build.drives_from or orders):
        first = (0, "old") if build.drives_from else (orders[0].month, orders[0].drives)
        asked[first] += build.cold_spares
    listed: Counter[tuple[float, str]] = Counter()
    for each in money.orders:
        if each.drives is not None:
            assert np.ptp(each.month) == 0
            listed[float(each.month.min()), each.drives] += each.count
    assert listed == asked
    shelves = [float(each.month.min()) for each in money.orders if each.what == "shelf"]
    assert shelves == [each.month for each in orders if each.unit == "shelf"]
    boxes = [float(each.month.min()) for each in money.orders if each.what == "box"]
    new = [orders[0].month] if orders and not build.drives_from else [0] * bool(build.drives_from)
    assert boxes == ([] if build.starts_in else new)


def test_the_plans_bring_what_they_are_there_for():
    """Sales, shelves, owned drives that fail and further boxes: in some future each."""

    def some(name: str, what: str) -> list[float]:
        make, orders = PLANS[name]
        scenario = make()
        plan = purchase_plan(scenario, orders)
        return [sum(found.cost[what]) for *_, found in ledgers(scenario, {"box": plan})]

    assert min(some("two swaps", "sales")) < 0
    assert min(some("two swaps of drives in long use", "shelf")) > 0
    assert max(some("the same in rented space", "rent")) > 0
    assert min(some("nothing ordered, rented space", "rent")) > 0
    assert max(some("nothing ordered, rented space", "drives")) == 0
    assert max(some("nothing ordered", "box")) > 0
