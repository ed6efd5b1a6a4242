"""Builds that follow a plan: pools, drives and space by hand."""

from typing import Any

import numpy as np
import pytest
from study.capacity.followed import (
    GROWN,
    KEPT,
    MENU,
    MOVED,
    SHELF,
    SWAPS,
    TWENTY,
    by_month,
    followed,
    line,
    plan_of,
    plannable,
)
from study.small import with_tables

from storagecalc import evaluate
from storagecalc.models.layouts import layout, usable_tb
from storagecalc.study.capacity.purchase_plan import planned_build, planned_space
from storagecalc.study.capacity.space import Space


def stints(room: Space) -> list[tuple[Any, ...]]:
    """What each is called, its class, and by step what was bought, is there, was swapped out."""
    return [
        (
            each.what,
            each.drives,
            each.bought_drives_by_step.tolist(),
            each.count_by_step.tolist(),
            each.swapped_drives_by_step.tolist(),
        )
        for each in room.stints
    ]


def usable(drives: int, tb: float, *, spares: int = 0) -> float:
    made = layout(redundancy="single parity", drive_count=drives, hot_spares=spares)
    return float(usable_tb(layout=made, drive_tb=tb))


def test_a_new_box_takes_drives_and_a_shelf_of_another_class(small):
    """Steps in months 0, 5, 9 and 14."""
    found = followed(small, *GROWN, **{"builds.box.shelf": SHELF, "builds.box.hot_spares": 1})
    pools = found.space.pools
    assert pools.drives_by_step.tolist() == [[4, 6, 7, 7], [0, 0, 3, 5]]
    assert pools.stint_numbers_by_step.tolist() == [[0, 0, 0, 0], [1, 1, 1, 1]]
    assert pools.shelves_by_step.tolist() == [0, 0, 1, 1]
    assert pools.hot_spares == (1, 0)
    assert stints(found.space) == [
        ("drives", "ten", [4, 6, 7, 7], [4, 6, 7, 7], [0, 0, 0, 0]),
        ("drives", "twenty", [0, 0, 3, 5], [0, 0, 3, 5], [0, 0, 0, 0]),
    ]
    own = [usable(4, 10, spares=1), usable(6, 10, spares=1)] + [usable(7, 10, spares=1)] * 2
    shelf = [0, 0, usable(3, 20), usable(5, 20)]
    assert [each.tolist() for each in found.space.pool_usable_tb] == [[[own]], [[shelf]]]
    total = [one + other for one, other in zip(own, shelf, strict=True)]
    assert plannable(found) == [total[0]] * 5 + [total[1]] * 4 + [total[2]] * 5 + [total[3]] * 10
    assert found.space.ladder.nominal_tb.tolist() == [[[40, 60, 130, 170]]]


def test_space_of_a_plan_has_all_rungs(small):
    left = {"filling.formatting_fraction": 0.1, "filling.free_fraction": 0.2}
    found = followed(small, *GROWN, **{"builds.box.shelf": SHELF, **left})
    assert found.space.ladder.usable_tb[0, 0].tolist() == [30, 50, 100, 140]
    assert found.space.ladder.plannable_tb[0, 0] == pytest.approx(
        np.array([30, 50, 100, 140]) * 0.9 * 0.8
    )


def test_a_planned_build_is_what_its_plan_says(small):
    scenario = with_tables(small, {**MENU, **SWAPS, "builds.box.shelf": SHELF})
    build = scenario.builds["box"]
    grown = planned_build(scenario, build, plan_of([line(3, 0, "twenty", 5, "box"), *GROWN[2:]]))
    assert (grown.drives, grown.drives_at_first, grown.swap_to) == ("twenty", 5, None)
    assert grown.shelf is not None
    assert grown.shelf.shelves_at_most == 1
    assert grown.shelf.price == 300
    alone = planned_build(scenario, build, plan_of(GROWN[:2]))
    assert alone.shelf is None
    nothing = planned_build(scenario, build, plan_of([]))
    assert (nothing.drives, nothing.drives_at_first, nothing.shelf) == ("ten", 4, None)


def test_orders_stand_after_the_lead_time_but_the_first_begins_the_plan(small):
    found = followed(
        small, *GROWN, **{"builds.box.shelf": SHELF, "builds.box.lead_time_months": 2.5}
    )
    assert plannable(found) == [30.0] * 8 + [50.0] * 4 + [100.0] * 5 + [140.0] * 7
    ordered = by_month(found.grown.own.steps_ordered_by_month)
    assert ordered == [0] * 5 + [1] * 4 + [2] * 5 + [3] * 10
    assert by_month(found.grown.own.steps_in_place_by_month) == [0] * 3 + ordered[:-3]
    assert found.grown.stands_by_month is None


def test_what_is_ordered_is_dated_by_the_order(small):
    found = followed(
        small,
        *GROWN,
        **{
            "builds.box.shelf": SHELF,
            "builds.box.lead_time_months": 3,
            "builds.box.cold_spares": 1,
        },
    )
    own = found.brought.own
    assert np.flatnonzero(by_month(own.boxes_ordered_by_month)).tolist() == [0]
    assert np.flatnonzero(by_month(own.shelves_ordered_by_month)).tolist() == [9]
    assert np.flatnonzero(by_month(own.orders_by_month)).tolist() == [0, 5, 9, 14]
    ten = by_month(own.drives["drives"].bought_by_month)
    assert [(month, count) for month, count in enumerate(ten) if count] == [(0, 5), (5, 2), (9, 1)]
    assert by_month(own.shelf_count_by_month) == [0] * 12 + [1] * 12
    twenty = own.drives["drives 2"]
    assert (twenty.what, twenty.key) == ("drives", "twenty")
    assert by_month(twenty.count_by_month) == [0] * 12 + [3] * 5 + [5] * 7


SWAPPED = [line(0, 0, "ten", 4, "box"), line(4, 1, "ten", 3, "shelf"),
           line(6, 0, "twenty", 4, swap=True), line(15, 0, "forty", 4, swap=True)]  # fmt: skip


def test_drives_are_swapped_twice(small):
    found = followed(
        small, *SWAPPED, **SWAPS, **{"builds.box.shelf": SHELF, "builds.box.lead_time_months": 1}
    )
    assert found.space.pools.drives_by_step.tolist() == [[4] * 4, [0, 3, 3, 3]]
    assert found.space.pools.stint_numbers_by_step.tolist() == [[0, 0, 2, 3], [1, 1, 1, 1]]
    assert stints(found.space) == [
        ("drives", "ten", [4, 4, 4, 4], [4, 4, 0, 0], [0, 0, 4, 4]),
        ("drives", "ten", [0, 3, 3, 3], [0, 3, 3, 3], [0, 0, 0, 0]),
        ("larger drives", "twenty", [0, 0, 4, 4], [0, 0, 4, 0], [0, 0, 0, 4]),
        ("larger drives", "forty", [0, 0, 0, 4], [0, 0, 0, 4], [0, 0, 0, 0]),
    ]
    shelf = usable(3, 10)
    boxes = [usable(4, 10), usable(4, 10) + shelf, usable(4, 20) + shelf, usable(4, 40) + shelf]
    assert plannable(found) == (
        [boxes[0]] * 5 + [boxes[1]] * 2 + [boxes[2]] * 9 + [boxes[3]] * 8
    )  # fmt: skip
    assert found.space.ladder.nominal_tb.tolist() == [[[40, 70, 110, 190]]]
    own = found.brought.own.drives
    names = [(name, each.what, each.key) for name, each in own.items()]
    assert names == [
        ("drives", "drives", "ten"),
        ("drives 2", "drives", "ten"),
        ("larger drives", "larger drives", "twenty"),
        ("larger drives 4", "larger drives", "forty"),
    ]
    counts = {name: by_month(each.count_by_month) for name, each in own.items()}
    assert counts["drives"] == [4] * 7 + [0] * 17
    assert counts["larger drives"] == [0] * 7 + [4] * 9 + [0] * 8
    assert counts["larger drives 4"] == [0] * 16 + [4] * 8
    assert counts["drives 2"] == [0] * 5 + [3] * 19


def test_nobody_swaps_to_drives_that_turn_out_smaller(small):
    """At a middle of 20 TB the class is larger; where it has 8 TB, the pool still holds 30."""
    lines = [SWAPPED[0], line(6, 0, "twenty", 4, swap=True)]
    found = followed(small, *lines, **SWAPS, **{"drives.twenty": {**TWENTY, "size_tb": 12}})
    assert found.space.ladder.usable_tb[0, 0].tolist() == [30, 36]
    drawn = found.drawn.model_copy(
        update={
            "drives": {
                **found.drawn.drives,
                "twenty": found.drawn.drives["twenty"].model_copy(update={"size_tb": 8.0}),
            }
        }
    )
    room = planned_space(drawn, found.build, plan_of(lines))
    assert room.ladder.usable_tb[0, 0].tolist() == [30, 30]


def test_swapped_and_added_to_in_one_order(small):
    lines = [
        line(0, 0, "ten", 4, "box"),
        line(6, 0, "twenty", 4, swap=True),
        line(6, 0, "twenty", 2),
    ]
    found = followed(small, *lines, **SWAPS)
    assert stints(found.space) == [
        ("drives", "ten", [4, 4], [4, 0], [0, 4]),
        ("larger drives", "twenty", [0, 6], [0, 6], [0, 0]),
    ]
    assert plannable(found) == [30.0] * 6 + [100.0] * 18


def test_owned_drives_are_added_to(small):
    """Four stand today, step 0; what is ordered at once stands after the lead time."""
    lines = [line(0, 0, "ten", 1), line(7, 0, "ten", 2)]
    found = followed(small, *lines, **MOVED, **{"builds.box.lead_time_months": 2})
    assert found.space.pools.drives_by_step.tolist() == [[4, 5, 7]]
    assert stints(found.space) == [("drives", "ten", [0, 1, 3], [4, 5, 7], [0, 0, 0])]
    assert plannable(found) == [30.0] * 2 + [40.0] * 7 + [60.0] * 15
    assert found.grown.first_order_month == 0
    assert by_month(found.grown.own.steps_ordered_by_month) == [1] * 7 + [2] * 17
    own = found.brought.own.drives
    assert by_month(own["old drives"].count_by_month) == [4] * 24
    assert by_month(own["drives"].count_by_month) == [0] * 2 + [1] * 7 + [3] * 15
    assert np.flatnonzero(by_month(found.brought.own.orders_by_month)).tolist() == [0, 7]


def test_owned_drives_are_swapped(small):
    """Of the class that is owned, whatever the file says goes in at first."""
    tables = {**MOVED, **SWAPS, "builds.box.drives": "twenty", "builds.box.swap_to": "forty"}
    lines = [line(3, 0, "ten", 4, swap=False), line(10, 0, "forty", 8, swap=True)]
    found = followed(small, *lines, **tables)
    assert found.build.drives == "ten"
    assert stints(found.space) == [
        ("drives", "ten", [0, 4, 4], [4, 8, 0], [0, 0, 8]),
        ("larger drives", "forty", [0, 0, 8], [0, 0, 8], [0, 0, 0]),
    ]
    own = found.brought.own.drives
    assert by_month(own["old drives"].count_by_month) == [4] * 10 + [0] * 14
    assert by_month(own["drives"].count_by_month) == [0] * 3 + [4] * 7 + [0] * 14
    assert by_month(own["drives"].swapped_drives_by_month) == [0] * 10 + [4] * 14
    assert plannable(found) == [30.0] * 3 + [70.0] * 7 + [280.0] * 14


def test_owned_drives_without_any_order_stay_as_they_are(small):
    found = followed(small, **MOVED, **{"builds.box.starts_in": "old"})
    assert plannable(found) == [30.0] * 24
    assert stints(found.space) == [("drives", "ten", [0], [4], [0])]
    assert not any(by_month(found.brought.own.orders_by_month))
    assert found.grown.first_order_month == 0
    assert found.grown.rule_order_months.tolist() == [[[3]]]
    assert found.grown.order_by_months.tolist() == [[[3]]]


def test_a_first_order_may_come_later(small):
    """Beside 30 TB that are kept until month 8: nothing of its own before month 6 and 2 more."""
    lines = [line(6, 0, "ten", 6, "box"), line(6, 1, "ten", 3, "shelf"), line(9, 0, "ten", 2)]
    tables = {**KEPT, "builds.box.lead_time_months": 2, "builds.box.shelf": SHELF}
    found = followed(small, *lines, **tables, **{"builds.box.cold_spares": 1})
    grown, own = found.grown, found.brought.own
    assert grown.first_order_month == 6
    assert by_month(grown.stands_by_month) == [0] * 8 + [1] * 16
    assert plannable(found) == [0.0] * 8 + [70.0] * 3 + [90.0] * 13
    assert by_month(own.box_count_by_month) == [0] * 8 + [1] * 16
    assert by_month(own.shelf_count_by_month) == [0] * 8 + [1] * 16
    assert np.flatnonzero(by_month(own.boxes_ordered_by_month)).tolist() == [6]
    assert np.flatnonzero(by_month(own.shelves_ordered_by_month)).tolist() == [6]
    assert np.flatnonzero(by_month(own.orders_by_month)).tolist() == [6, 9]
    bought = by_month(own.drives["drives"].bought_by_month)
    assert [(month, count) for month, count in enumerate(bought) if count] == [(6, 7), (9, 2)]
    assert by_month(own.drives["drives"].count_by_month) == [0] * 8 + [6] * 3 + [8] * 13
    assert by_month(found.brought.plannable_tb_by_month)[:9] == [30.0] * 8 + [70.0]


def test_a_first_order_today_waits_beside_what_is_kept(small):
    tables = {**KEPT, "builds.box.lead_time_months": 2}
    found = followed(small, line(0, 0, "ten", 6, "box"), **tables)
    assert by_month(found.grown.stands_by_month) == [0] * 2 + [1] * 22
    assert plannable(found) == [0.0] * 2 + [50.0] * 22
    assert by_month(found.brought.plannable_tb_by_month)[:9] == [30.0] * 2 + [80.0] * 6 + [50.0]


def test_without_any_order_nothing_of_its_own_ever_stands(small):
    found = followed(small, **KEPT, **{"builds.box.cold_spares": 1})
    own = found.brought.own
    assert found.grown.first_order_month == 24
    assert plannable(found) == [0.0] * 24
    assert by_month(found.brought.plannable_tb_by_month) == [30.0] * 8 + [0.0] * 16
    ordered = (own.boxes_ordered_by_month, own.orders_by_month, own.box_count_by_month)
    drives = own.drives["drives"]
    for rows in (*ordered, drives.bought_by_month, drives.count_by_month):
        assert not any(by_month(rows))


def test_drives_that_are_swapped_twice_are_slow_twice(small):
    """Four of 20 TB for those of 10 TB, and later four of 40 TB for them."""
    scenario = with_tables(small, {**MENU, **SWAPS, "builds.box.plan": "best"})
    lines = [line(0, 0, "ten", 4, "box"), line(3, 0, "twenty", 4, swap=True),
             line(10, 0, "forty", 4, swap=True)]  # fmt: skip
    (found,) = evaluate(scenario, plans={"box": plan_of(lines)}).builds
    assert found.capacity.swap_slow_days == pytest.approx(8 * found.loss.rebuild_h / 24)
