"""What is told of space: which step, which side of the futures, whose terabytes, by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from study.small import further, owned, with_tables

from storagecalc import evaluate

DRAWS = 50
DOUBT = {"low": 0.5, "middle": 1.5, "high": 4}
LOSSY = {"filling.formatting_fraction": 0.01, "filling.snapshot_fraction": 0.1,
         "filling.free_fraction": 0.2}  # fmt: skip


def built(scenario, draws=0):
    return evaluate(scenario, draws=draws).builds[0]


def test_cost_of_a_tb_with_all_bays_full_divides_by_the_space_of_all_bays(small):
    """1,000 and 800 for eight drives, 70 TB usable, 70 x 0.99 x 0.9 x 0.8 to plan with."""
    money = built(small.varied(LOSSY)).money
    assert money.full_cost.point == 1800
    assert money.full_cost_per_usable_tb.point == pytest.approx(1800 / 70)
    assert money.full_cost_per_plannable_tb.point == pytest.approx(1800 / (70 * 0.99 * 0.9 * 0.8))
    assert money.cost_per_plannable_tb.point == pytest.approx(1400 / (30 * 0.99 * 0.9 * 0.8))


def test_a_box_that_is_owned_is_no_cost_of_the_space(small):
    goes_on = with_tables(small, {"owned.old": owned((1, 1)), "builds.box.starts_in": "old"})
    assert built(goes_on).money.full_cost.point == 800
    assert built(goes_on).money.cost_per_usable_tb.point == pytest.approx(400 / 30)


def test_margins_are_those_of_the_space_as_bought(small):
    """Of 30 TB 26.73 can be written and a fifth of that stays free; a tenth of the rest is left
    when the next step goes out."""
    margins = built(small.varied({**LOSSY, "builds.box.order_at_fraction": 0.9})).capacity
    writable = 30 * 0.99 * 0.9
    assert margins.safety_margins.free_space_tb == pytest.approx(0.2 * writable)
    assert margins.safety_margins.trigger_tb == pytest.approx(0.1 * 0.8 * writable)


def test_the_margin_of_the_futures_is_that_of_the_month_in_which_it_fills(small):
    """30 TB are exceeded in month 3: there the cautious future against 40 TB at the middle."""
    doubtful = small.varied({"work.shoots.shoot_days_per_month": {"low": 8, "middle": 10,
                                                                  "high": 13}})  # fmt: skip
    whole = evaluate(doubtful, draws=DRAWS)
    build = whole.builds[0]
    later = build.capacity.held_tb_by_month
    assert build.capacity.first_fill_months.point == 3
    assert build.capacity.safety_margins.percentile_tb < later.p90[3] - 40
    assert build.capacity.safety_margins.percentile_tb > later.p50[3] - 40 > -5


@pytest.fixture
def seldom_full(small):
    return small.varied({"work.shoots.shoot_days_per_month": DOUBT})


def test_how_often_it_fills_is_told_of_the_space_as_bought(seldom_full):
    capacity = built(seldom_full, DRAWS).capacity
    fills = np.isfinite(capacity.first_fill_months_by_draw).mean()
    assert capacity.fills_fraction == fills > np.isfinite(capacity.headroom_months_by_draw).mean()


def test_space_in_place_is_that_of_half_of_the_futures(seldom_full):
    """Half of the futures stay at or below the step that 1.5 shoot days a month need: 36 TB."""
    capacity = built(seldom_full, DRAWS).capacity
    held = capacity.held_tb_by_month.p50[-1]
    assert capacity.plannable_tb_by_month[-1] == 10 * math.ceil(held / 10)
    assert capacity.plannable_tb_by_month[-1] < 10 * math.ceil(
        capacity.held_tb_by_month.p90[-1] / 10
    )


def test_copies_count_where_they_hold_everything_in_half_of_the_futures(seldom_full):
    """In a third of the futures 50 TB are enough to the end, in nearly all 500."""
    for capacity_tb, copies in ((15, 1), (500, 2)):
        copied = with_tables(
            seldom_full,
            {"copies": {"far": {"another_building": True, "capacity_tb": capacity_tb}}},
        )
        capacity = built(copied, DRAWS).capacity
        assert capacity.copies == copies
    assert {*capacity.copies_by_draw} == {2.0}


def test_the_order_point_counts_what_is_held_in_the_month_of_the_order(small):
    """Due in month 2 of 0, 1, 2: 30 TB are held then, all of the space as bought."""
    late = built(small.varied({"builds.box.lead_time_months": 1})).capacity
    assert late.first_order_months == 2
    assert late.order_point_fraction == pytest.approx(1.0)


def test_further_boxes_are_told_as_counted(small):
    capacity = built(further(small, {})).capacity
    assert capacity.further_boxes.point == 3
    assert capacity.unmet_tb_months > 0


@pytest.mark.parametrize(("whole", "copies"), [(5, 1), (6, 2)])
def test_copies_are_whole_where_half_of_the_futures_have_one_more(small, whole, copies):
    by_draw = np.array([2.0] * whole + [1.0] * (10 - whole))
    assert replace(built(small).capacity, copies_by_draw=by_draw).copies == copies
