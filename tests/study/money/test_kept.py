"""What a box costs that is kept beside a build, by hand: the same build with it less without."""

from pathlib import Path
from typing import Any

import pytest
from study.small import owned, with_tables

from storagecalc import Scenario, evaluate, load_scenario

# A month: a quarter of an hour's care, 60 W and three drives of 10 W, 0.001 of each drive fails.
CARE, POWER, FAILED = 2.5, 0.73 * (60 + 30), 3 * 100 * 0.001
STILL = {"work.shoots.shoot_days_per_month": 1, "running.further_box_care_fraction": 0.25}
DEMO = Path(__file__).parents[3] / "data_examples" / "twelve_people.toml"


def more_by_category(
    small: Scenario, months: int, age_years: float = 1, **changes: Any
) -> dict[str, float]:
    """What keeping three drives of ten years' life adds, by category."""
    figures = {key: changes.pop(key) for key in list(changes) if key.startswith("box_")}
    still = with_tables(small, {**STILL, **changes})
    box = owned((3, age_years), redundancy="single parity", **figures)
    kept = {"owned.old": box, "builds.box.keeps": ["old"], "builds.box.keeps_months": months}
    beside, alone = (
        evaluate(each).builds[0].money.present_cost_by_category
        for each in (with_tables(still, kept), still)
    )
    more = {name: float(beside[name] - alone[name]) for name in beside}
    return {name: cost for name, cost in more.items() if abs(cost) > 1e-9}


def test_a_box_that_stays_costs_care_power_and_failures(small):
    """Six months; the drives are out of their year's warranty, the box never fails."""
    assert more_by_category(small, 6) == pytest.approx(
        {"labour": 6 * CARE, "power": 6 * POWER, "failures": 6 * FAILED}
    )


def test_its_own_failures_are_paid_for_out_of_warranty(small):
    """Three years' warranty, two and a half years old: 4 of 10 months at 0.12 a year of 1,000."""
    more = more_by_category(small, 10, box_age_years=2.5, box_failures_per_year=0.12)
    assert more["failures"] == pytest.approx(10 * FAILED + 4 * 0.01 * 1000)


def test_worn_out_drives_are_replaced_and_their_successors_worth_something(small):
    """In month 6 three for 300, under warranty until month 18; 18 months old at the end."""
    kept = {"prices.drive_value_kept_per_year_fraction": 0.7}
    more = more_by_category(small, 24, 9.5, **kept)
    assert more == pytest.approx(
        {"drives": 300, "labour": 24 * CARE, "power": 24 * POWER, "failures": (6 + 6) * FAILED,
         "worth at the end": -300 * 0.7**1.5}
    )  # fmt: skip


def test_successors_are_sold_when_the_box_goes(small):
    """Bought in month 6 and sold in month 12, at half of what seven months leave."""
    kept = {"prices.drive_value_kept_per_year_fraction": 0.7, "prices.drive_sale_fraction": 0.5}
    more = more_by_category(small, 12, 9.5, **kept)
    assert more == pytest.approx(
        {"drives": 300, "labour": 12 * CARE, "power": 12 * POWER, "failures": 6 * FAILED,
         "sales": -150 * 0.7 ** (7 / 12)}
    )  # fmt: skip


def test_no_drive_is_bought_for_a_box_that_goes_before(small):
    more = more_by_category(small, 6, 9.5)
    assert set(more) == {"labour", "power", "failures"}


def test_a_box_kept_beyond_its_life_has_a_successor(small):
    """Nine of ten years old: 1,000 in month 12; 0.7 of it is left at the end if it still stands."""
    to_the_end = more_by_category(small, 24, box_age_years=9)
    assert to_the_end["box"] == pytest.approx(1000)
    assert to_the_end["worth at the end"] == pytest.approx(-1000 * 0.7)
    shorter = more_by_category(small, 20, box_age_years=9)
    assert shorter["box"] == pytest.approx(1000)
    assert "worth at the end" not in shorter
    assert "box" not in more_by_category(small, 12, box_age_years=9)


def test_it_is_none_of_the_remedy_and_nothing_is_paid_for_it_at_first(small):
    box = owned((3, 1), redundancy="single parity")
    changes = {**STILL, "owned.old": box, "builds.box.keeps": ["old"],
               "remedy": {"kind": "next box", "next_build": "box"}}  # fmt: skip
    money = evaluate(with_tables(small, changes)).builds[0].money
    assert money.remedy_cost.point == 0
    assert money.upfront_cost.point == 1400 + 20
    assert money.cost_per_usable_tb.point == pytest.approx(1400 / 30)


def test_what_the_demo_owns_is_bought_anew_when_it_is_worn_out():
    """Five of eight years old: box and drives after three years, boxes 2 in 100 dearer each year;
    one spare drive is all that the box which goes on orders at first."""
    keep_and_swap, moved, *_ = evaluate(load_scenario(DEMO)).builds
    rows = {(row.what, row.month): row for row in keep_and_swap.money.purchases}
    assert rows["box", 36].cost == pytest.approx(2900 * 1.02**3)
    assert [key for key in rows if key[0] == "box"] == [("box", 36)]
    assert keep_and_swap.money.upfront_cost.point == pytest.approx(190 + 4 * 52)
    drives = {row.month: row.count for row in moved.money.purchases if row.what == "drives"}
    assert drives[0] == 4 + 1
    assert drives[36] == 12
