"""What a problem of buying storage refuses, and that every part of it has a say."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from models.expansion_cases import cost_of, drive, problem, unit

from storagecalc.models.expansion import Order, OwnedLot, OwnedPool, best_plan, cost_by_month

MONTHS = 8
KEPT = {"value_kept_per_year_fraction": 0.5}
SMALL = drive("small", 2.0, np.linspace(20.0, 30.0, MONTHS), 1.0, months=MONTHS, **KEPT)
LARGE = drive("large", 5.0, np.linspace(60.0, 40.0, MONTHS), 1.5, months=MONTHS, **KEPT)
BOX = unit(
    *("box", 4, 50.0, 3.0),
    months=MONTHS,
    redundancy="single parity",
    hot_spares=0,
    drives_at_first=2,
    **KEPT,
)
SHELF = unit(*("shelf", 2, 20.0, 1.0), months=MONTHS, at_most=1, needs_one_of=("box",), **KEPT)
OWNED = OwnedPool(
    unit="box", drive="small", lots=(OwnedLot(count=2, age_months=20, price_paid=25.0),)
)
BASE = problem(
    [1.0, 3.0, 4.0, 9.0, 12.0, 17.0, 23.0, 26.0],
    [SMALL, LARGE],
    [BOX, SHELF],
    order_cost=2.0,
    swap_cost=3.0,
    unmet=9.0,
    owned=(OWNED,),
    lead_time_months=1,
    discount_rate_per_year=0.1,
    allow_swap=True,
    swap_sale_fraction=0.9,
    sell_at_end=True,
)


def with_drive(number, **fields_of):
    drives = list(BASE.drive_options)
    drives[number] = replace(drives[number], **fields_of)
    return replace(BASE, drive_options=tuple(drives))


def with_unit(number, base=BASE, **fields_of):
    units = list(base.unit_options)
    units[number] = replace(units[number], **fields_of)
    return replace(base, unit_options=tuple(units))


def with_lot(**fields_of):
    lot = replace(OWNED.lots[0], **fields_of)
    return replace(BASE, owned=(replace(OWNED, lots=(lot,)),))


FRESH = replace(BASE, owned=())
TWO = replace(FRESH, allow_swap=False, unit_options=(BOX, SHELF, replace(BOX, key="again")))
DEAR = replace(BOX, key="again", price_by_month=np.full(MONTHS, 900.0))
SHORT = replace(BASE, required_tb_by_month=np.full(MONTHS, 40.0))
# What differs in each: the problem with another value of the field, and the one that has the base.
VARIED = {
    "Problem": {
        "required_tb_by_month": (replace(BASE, required_tb_by_month=np.full(MONTHS, 4.0)), BASE),
        "drive_options": (replace(BASE, drive_options=(SMALL,)), BASE),
        "unit_options": (replace(BASE, unit_options=(BOX,)), BASE),
        "owned": (FRESH, BASE),
        "boxes_at_most": (replace(TWO, boxes_at_most=2), TWO),
        "order_cost_by_month": (replace(BASE, order_cost_by_month=np.full(MONTHS, 3.0)), BASE),
        "swap_cost_by_month": (replace(BASE, swap_cost_by_month=np.full(MONTHS, 4.0)), BASE),
        "unmet_price_by_month": (replace(BASE, unmet_price_by_month=np.full(MONTHS, 8.0)), BASE),
        "later_unmet_price_by_month": (
            replace(SHORT, later_unmet_price_by_month=np.full(MONTHS, 1.0)),
            SHORT,
        ),
        "plannable_fraction": (replace(BASE, plannable_fraction=0.8), BASE),
        "lead_time_months": (replace(BASE, lead_time_months=2), BASE),
        "first_order_waits": (replace(FRESH, first_order_waits=True), FRESH),
        "discount_rate_per_year": (replace(BASE, discount_rate_per_year=0.2), BASE),
        "allow_swap": (replace(BASE, allow_swap=False), BASE),
        "swap_sale_fraction": (replace(BASE, swap_sale_fraction=0.5), BASE),
        "sell_at_end": (replace(BASE, sell_at_end=False), BASE),
    },
    "DriveOption": {
        "size_tb": (with_drive(1, size_tb=6.0), BASE),
        "price_by_month": (with_drive(1, price_by_month=np.full(MONTHS, 50.0)), BASE),
        "running_cost_by_month": (with_drive(1, running_cost_by_month=np.full(MONTHS, 2.0)), BASE),
        "first_order_month": (with_drive(1, first_order_month=6), BASE),
        "last_order_month": (with_drive(1, last_order_month=1), BASE),
        "value_kept_per_year_fraction": (with_drive(1, value_kept_per_year_fraction=0.9), BASE),
    },
    "UnitOption": {
        "bays": (with_unit(1, bays=4), BASE),
        "redundancy": (with_unit(0, redundancy="none"), BASE),
        "hot_spares": (with_unit(1, bays=3, hot_spares=1, drives_at_first=2), BASE),
        "drives_at_first": (
            with_unit(0, FRESH, drives_at_first=4),
            FRESH,
        ),
        "drives_per_step": (with_unit(0, drives_per_step=5), BASE),
        "price_by_month": (with_unit(1, price_by_month=np.full(MONTHS, 1.0)), BASE),
        "running_cost_by_month": (with_unit(0, running_cost_by_month=np.zeros(MONTHS)), BASE),
        "value_kept_per_year_fraction": (
            with_unit(0, FRESH, value_kept_per_year_fraction=0.9),
            FRESH,
        ),
        "at_most": (with_unit(1, at_most=0), BASE),
        "needs_one_of": (
            replace(TWO, unit_options=(BOX, replace(SHELF, needs_one_of=("again",)), DEAR)),
            replace(TWO, unit_options=(BOX, SHELF, DEAR)),
        ),
    },
    "OwnedLot": {
        "count": (with_lot(count=3), BASE),
        "age_months": (with_lot(age_months=40), BASE),
        "price_paid": (with_lot(price_paid=5.0), BASE),
    },
}
KINDS = {"Problem": BASE, "DriveOption": SMALL, "UnitOption": BOX, "OwnedLot": OWNED.lots[0]}


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_has_a_say_in_the_cost(kind):
    names = {field.name for field in fields(KINDS[kind])} - {"key"}
    assert set(VARIED[kind]) == names
    same = [name for name, (other, base) in VARIED[kind].items() if cost_of(other) == cost_of(base)]
    assert not same


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: replace(SMALL, size_tb=0.0), "size_tb"),
        (lambda: replace(SMALL, size_tb=math.nan), "size_tb"),
        (lambda: replace(SMALL, price_by_month=[-1.0]), "price_by_month"),
        (lambda: replace(SMALL, price_by_month=[[1.0], [2.0]]), "price_by_month"),
        (lambda: replace(SMALL, running_cost_by_month=3.0), "running_cost_by_month"),
        (lambda: replace(SMALL, first_order_month=-1), "first_order_month"),
        (lambda: replace(SMALL, last_order_month=-2), "last_order_month"),
        (lambda: replace(SMALL, value_kept_per_year_fraction=1.1), "value_kept_per_year"),
        (lambda: replace(BOX, redundancy="seven"), "redundancy must be one of"),
        (lambda: replace(BOX, bays=0), "bays"),
        (lambda: replace(BOX, hot_spares=-1), "hot_spares"),
        (lambda: replace(BOX, drives_at_first=1), "drive_count must be a whole number from 2"),
        (lambda: replace(BOX, drives_at_first=5), "drives_at_first"),
        (lambda: replace(BOX, drives_per_step=0), "drives_per_step"),
        (lambda: replace(BOX, redundancy="striped mirrors"), "even number"),
        (lambda: replace(BOX, at_most=-1), "at_most"),
        (lambda: OwnedLot(count=0, age_months=0, price_paid=0), "count"),
        (lambda: OwnedLot(count=1, age_months=-1, price_paid=0), "age_months"),
        (lambda: OwnedLot(count=1, age_months=0, price_paid=-1), "price_paid"),
        (lambda: replace(BASE, required_tb_by_month=[]), "required_tb_by_month"),
        (lambda: replace(BASE, required_tb_by_month=[1.0] * 9), "as many months as required_tb"),
        (lambda: replace(BASE, order_cost_by_month=[1.0]), "order_cost_by_month must have as"),
        (lambda: replace(BASE, unmet_price_by_month=[1.0]), "unmet_price_by_month must have"),
        (lambda: replace(BASE, swap_cost_by_month=[math.inf] * MONTHS), "swap_cost_by_month"),
        (lambda: with_drive(0, price_by_month=[1.0]), 'price_by_month of "small"'),
        (lambda: with_drive(0, key="large"), "drive_options must have different keys"),
        (lambda: with_drive(0, size_tb=5.0), "drive_options must have different sizes"),
        (lambda: with_unit(0, key="shelf"), "unit_options must have different keys"),
        (lambda: replace(BASE, drive_options=()), "drive_options must have at least one"),
        (lambda: replace(BASE, unit_options=()), "unit_options must have at least one"),
        (lambda: with_unit(1, needs_one_of=("none",)), "needs_one_of must be one of"),
        (lambda: with_unit(1, needs_one_of=("shelf",)), "needs_one_of must be one of"),
        (lambda: replace(BASE, boxes_at_most=0), "boxes_at_most"),
        (lambda: replace(BASE, boxes_at_most=2), "boxes_at_most must be 1 where allow_swap"),
        (lambda: replace(BASE, lead_time_months=8), "lead_time_months"),
        (lambda: replace(BASE, lead_time_months=0.5), "lead_time_months"),
        (lambda: replace(BASE, discount_rate_per_year=-0.1), "discount_rate_per_year"),
        (lambda: replace(BASE, plannable_fraction=0.0), "plannable_fraction"),
        (lambda: replace(BASE, swap_sale_fraction=2.0), "swap_sale_fraction"),
        (lambda: with_lot(count=1), "owned drives in"),
        (lambda: replace(BASE, owned=(replace(OWNED, unit="none"),)), "unit must be one of"),
        (lambda: replace(BASE, owned=(replace(OWNED, drive="none"),)), "drive must be one of"),
        (lambda: replace(BASE, owned=(OWNED, OWNED)), 'at_most of "box"'),
        (lambda: replace(BASE, owned=(replace(OWNED, unit="shelf"),)), "owned must have a box"),
        (
            lambda: replace(with_unit(0, at_most=2), owned=(OWNED, OWNED)),
            "boxes_at_most must be at",
        ),
    ],
)
def test_bad_input_is_refused_by_name(make, said):
    with pytest.raises(ValueError, match=said):
        make()


def order(month=0, pool=0, unit=None, drive="small", drives=1, swap=False):
    return Order(month=month, pool=pool, unit=unit, drive=drive, drives=drives, swap=swap)


@pytest.mark.parametrize(
    ("orders", "said"),
    [
        ([order(month=7)], "out of its month"),
        ([order(month=-1)], "out of its month"),
        ([order(month=2), order(month=1)], "out of its month"),
        ([order(drives=0)], "no drives"),
        ([order(pool=1)], "not there"),
        ([order(pool=2, unit="shelf")], "out of turn"),
        ([order(pool=1, unit="box", drives=2)], "more than at_most"),
        ([order(pool=1, unit="shelf", swap=True)], "new pool"),
        ([order(drive="large")], "mixes sizes"),
        ([order(drives=3)], "a pool of 5 drives"),
        ([order(drive="large", drives=3, swap=True)], "another number"),
        ([order(drive="small", drives=2, swap=True)], "no larger"),
        ([order(), order(drive="large", drives=3, swap=True)], "the same month"),
        ([order(pool=1, unit="shelf"), order(1, 1, None, "large", 1, True)], "none may be"),
        ([order(drive="none")], "drive must be one of"),
        ([order(pool=1, unit="none")], "unit must be one of"),
    ],
)
def test_orders_against_the_rules_are_refused(orders, said):
    with pytest.raises(ValueError, match=said):
        cost_by_month(BASE, orders)


def test_further_rules_of_orders():
    gone = with_drive(0, last_order_month=0)
    with pytest.raises(ValueError, match="not for sale"):
        cost_by_month(gone, [order(month=1)])
    with pytest.raises(ValueError, match="more than boxes_at_most"):
        cost_by_month(TWO, [order(unit="box", drives=2), order(0, 1, "again", "small", 2)])
    with pytest.raises(ValueError, match="without a box"):
        cost_by_month(FRESH, [order(unit="shelf")])
    barred = replace(BASE, allow_swap=False)
    with pytest.raises(ValueError, match="none may be swapped"):
        cost_by_month(barred, [order(drive="large", drives=2, swap=True)])
    with pytest.raises(ValueError, match="got 1 TB short in month 1"):
        cost_by_month(replace(BASE, unmet_price_by_month=None), [])


def test_too_many_states_are_refused_with_their_number():
    many = replace(BASE, unit_options=(BOX, replace(SHELF, at_most=12)), allow_swap=False, owned=())
    with pytest.raises(ValueError, match=r"at most 1,000,000,000 states times months, got \d"):
        best_plan(many)


def test_lists_and_whole_floats_are_taken():
    plain = replace(
        BASE,
        required_tb_by_month=BASE.required_tb_by_month.tolist(),
        unit_options=(replace(BOX, bays=4.0, drives_at_first=2.0), SHELF),
        lead_time_months=1.0,
    )
    assert cost_of(plain) == cost_of(BASE)
