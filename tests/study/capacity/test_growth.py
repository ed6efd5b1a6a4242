"""Which steps are ordered when: the build's own, then those of further boxes."""

import numpy as np
import pytest
from study.small import further, owned, with_tables

from storagecalc import evaluate
from storagecalc.study.capacity.space import pools_of
from storagecalc.study.decision.records import records

MORE = {"bays": 4, "price": 300, "drives_at_first": 4}


def test_drives_are_ordered_when_the_footage_passes_the_space(small):
    """30 TB hold three months; then one drive a month until eight are in: 70 TB for seven."""
    build = evaluate(small).builds[0]
    assert build.capacity.ladder.usable_tb == 30.0
    assert build.capacity.full_ladder.usable_tb == 70.0
    assert build.capacity.first_fill_months.point == 3
    assert build.capacity.headroom_months.point == 7
    drives = [(row.month, row.count) for row in build.money.purchases if row.what == "drives"]
    assert drives == [(0, 4), (3, 1), (4, 1), (5, 1), (6, 1)]
    np.testing.assert_allclose(
        build.capacity.plannable_tb_by_month, [30, 30, 30, 40, 50, 60] + [70] * 18, rtol=1e-12
    )


def test_a_shelf_is_a_pool_of_its_own(demo):
    build = demo.builds["twelve_and_shelf"]
    pools = pools_of(build)
    assert pools.drives_by_step.tolist() == [
        [6, 8, 10, 12, 12, 12, 12, 12, 12],
        [0, 0, 0, 0, 4, 6, 8, 10, 12],
    ]
    ladder = evaluate(demo).builds[2].capacity.full_ladder
    assert ladder.usable_tb == pytest.approx((10 + 10) * 16)


def test_hot_spares_take_bays_but_give_no_space(small):
    spare = small.varied({"builds.box.hot_spares": 1})
    record = records(evaluate(spare))[0]
    assert record["nominal_tb"] == 40
    assert record["usable_tb"] == 20
    assert record["rebuild_h"] < records(evaluate(small))[0]["rebuild_h"]


def rows_of(build, *kinds):
    return [(row.month, row.count) for row in build.money.purchases if row.what in kinds]


# ---------------------------------------------------------------- further boxes


def test_a_step_is_due_above_all_other_space_and_a_share_of_the_newest_box(small):
    """At 0.8: above 24, 32, 40 and 48 TB of the first box, then 56 for the next one.

    A further box comes to 30 to 70 TB: above 70 + 24, 32, 40, 48 for its drives, 70 + 56 for the
    box after it, 140 + 24 and so on. 10 TB a month: month t holds 10 (t + 1).
    """
    build = evaluate(further(small, {"builds.box.order_at_fraction": 0.8})).builds[0]
    assert rows_of(build, "further box") == [(5, 1), (12, 1), (19, 1)]
    own = [(0, 4), (2, 1), (3, 1), (4, 2)]
    second = [(5, 4), (9, 1), (10, 1), (11, 2)]
    third = [(12, 4), (16, 1), (17, 1), (18, 2)]
    fourth = [(19, 4), (23, 1)]
    assert sorted(rows_of(build, "drives")) == sorted([*own, *second, *third, *fourth])
    assert build.capacity.headroom_months.point == 7


def test_a_shelf_is_part_of_the_newest_box(small):
    """70 TB in the box and 30 on the shelf: at 0.8 the next box is due above 80 TB, in month 8."""
    shelved = with_tables(
        further(small, {"builds.box.order_at_fraction": 0.8}), {"builds.box.shelf": MORE}
    )
    build = evaluate(shelved).builds[0]
    assert rows_of(build, "shelf") == [(5, 1)]
    assert rows_of(build, "further box")[0] == (8, 1)


def test_a_further_box_is_bought_and_grown_as_its_own_entry_says(small):
    """The next box is another: two drives hold 20 TB, three 40, four 60; no shelf, no swap, no
    drives from before. It orders at half of its space, a month ahead.

    It comes above the 70 TB of the first box, in month 7. Its drives are due above 70 TB and half
    of 20 and 40, the box after it above 70 and half of 60: 80, 90 and 100 TB, in months 8 to 10.
    """
    raw = small.as_written()
    raw["drives"]["twenty"] = {"size_tb": 20, "price": 250}
    raw["builds"]["next"] = {
        "drives": "twenty", "bays": 4, "drives_at_first": 2, "redundancy": "single parity",
        "box_price": 700, "order_at_fraction": 0.5, "lead_time_months": 1, "shelf": MORE,
        "drives_from": "old", "starts_in": "old", "keeps": ["older"], "cold_spares": 1,
    }  # fmt: skip
    raw["owned"] = {"old": owned((2, 4), drives="twenty", bays=4), "older": owned((2, 4))}
    raw["remedy"] = {"kind": "next box", "next_build": "next"}
    build = evaluate(with_tables(small, raw)).builds[0]
    assert rows_of(build, "further box")[:2] == [(7, 1), (10, 1)]
    assert [pair for pair in rows_of(build, "drives") if 7 <= pair[0] <= 10] == [
        (7, 3), (8, 1), (9, 1), (10, 3),
    ]  # fmt: skip
    in_place = build.capacity.plannable_tb_by_month
    np.testing.assert_allclose(in_place[6:12], [70, 70, 90, 110, 130, 150])


def test_at_most_twenty_further_boxes_are_bought(small):
    """30 TB a box, 2,400 TB held in the end: the first box and twenty more hold 630."""
    lasting = further(small, {"builds.box.bays": 4, "horizon_months": 240})
    build = evaluate(lasting).builds[0]
    assert build.capacity.further_boxes.point == 20
    assert build.capacity.plannable_tb_by_month[-1] == pytest.approx(21 * 30)
    beyond = sum(max(0, 10 * month - 630) for month in range(1, 241))
    assert build.money.present_cost_by_category["rent"] == pytest.approx(5 * beyond)


def test_a_further_box_on_its_way_is_bridged_by_rent(small):
    """Every step stands three months later than without a lead time; what is short is rented."""
    build = evaluate(further(small, {"builds.box.lead_time_months": 3})).builds[0]
    soon = evaluate(further(small, {})).builds[0].capacity.plannable_tb_by_month
    late = build.capacity.plannable_tb_by_month
    np.testing.assert_allclose(late, [30] * 3 + soon[:-3].tolist())
    unmet = sum(max(0, 10 * (month + 1) - tb) for month, tb in enumerate(late))
    assert unmet > 300
    assert build.money.present_cost_by_category["rent"] == pytest.approx(5 * unmet)
    assert build.money.remedy_cost.point > 5 * unmet


def test_what_is_held_by_options_and_builds_has_its_own_further_boxes(small):
    """Moved off after four months, 40 TB are held: no further box; without it, three."""
    vault = {"vault": {"price_per_tb_month": 2}}
    off = {"off": {"build": "box", "to": "vault", "move_off_after_months": 4}}
    both = with_tables(further(small, {}), {"elsewhere": vault, "options": off})
    box, off = evaluate(both).builds
    assert (box.capacity.further_boxes.point, off.capacity.further_boxes.point) == (3, 0)


# ---------------------------------------------------------------- what is no longer sold


def swapping(small, until, **keys):
    """Drives of 10 TB are sold until a month, those of 20 TB for ever."""
    raw = small.as_written()
    raw["drives"]["ten"]["available_until_date"] = until
    raw["drives"]["twenty"] = {"size_tb": 20, "price": 250, "failures_per_drive_year": 0.024}
    raw["builds"]["box"] |= {"swap_to": "twenty", "shelf": MORE, **keys}
    return evaluate(with_tables(small, raw)).builds[0]


def test_a_swap_goes_on_when_the_old_class_is_no_longer_sold(small):
    """Eight drives are in by month 6, the last month of their class: 70 TB. The swap to 140 TB is
    due in month 7 all the same; the shelf, which takes the old class, never comes."""
    build = swapping(small, "2027-07-01")
    assert rows_of(build, "larger drives") == [(7, 8)]
    assert rows_of(build, "shelf") == []
    assert build.capacity.plannable_tb_by_month[-1] == 140
    assert build.capacity.headroom_months.point == 14


def test_a_box_that_only_swaps_needs_no_drive_of_its_class(small):
    """Sold in the first month only; four drives are swapped in month 3, to 60 TB."""
    build = swapping(small, "2027-01-01", grows_by="swapping", shelf=None, bays=4)
    assert rows_of(build, "larger drives") == [(3, 4)]
    assert build.capacity.headroom_months.point == 6


def test_where_its_class_ends_before_the_box_is_full_it_stays_as_it_is(small):
    """Steps come in order: sold until May, six drives are in, and no swap follows."""
    build = swapping(small, "2027-05-01")
    assert rows_of(build, "drives") == [(0, 4), (3, 1), (4, 1)]
    assert rows_of(build, "larger drives") == []
    assert build.capacity.headroom_months.point == 5


@pytest.mark.parametrize(("until", "month"), [("2026-12-01", 0), ("2027-01-01", 0),
                                              ("2027-02-01", 1)])  # fmt: skip
def test_no_drive_is_ordered_after_the_last_month_of_its_class(small, until, month):
    """25 TB a month: the 30 TB of the first four drives do for month 0 alone."""
    raw = {"drives.ten.available_until_date": until, "work.shoots.shoot_days_per_month": 25}
    build = evaluate(with_tables(small, raw)).builds[0]
    assert max(ordered for ordered, _ in rows_of(build, "drives")) == month
