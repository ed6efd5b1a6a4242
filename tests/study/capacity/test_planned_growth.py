"""Months of builds that follow a plan, by hand: how long they last, and what comes after it."""

import numpy as np
import pytest
from study.capacity.followed import (
    GROWN,
    KEPT,
    LOW,
    MENU,
    MOVED,
    SHELF,
    by_month,
    followed,
    line,
    plan_of,
)
from study.small import FURTHER, with_tables

from storagecalc import evaluate
from storagecalc.study.capacity.purchase_plan import planned_build, planned_growth, planned_space
from storagecalc.study.evaluate import outcomes
from storagecalc.study.outcome import Outcome
from storagecalc.study.sampling import sampler


@pytest.mark.parametrize(
    ("lines", "tables", "first_fill", "headroom", "order_by", "rule"),
    [
        # 30 TB stand and last three months, 140 TB fourteen; the next order is the plan's.
        (GROWN, {"builds.box.shelf": SHELF}, 3, 14, 5, 5),
        ([GROWN[0], line(1, 0, "ten", 4)], {}, 3, 7, 1, 1),
        # All that is bought is bought today: it is full after three months, and due by then.
        (GROWN[:1], {"builds.box.lead_time_months": 1.5}, 3, 3, 1, 3),
        (GROWN[:1], {"builds.box.order_at_fraction": 0.5}, 3, 3, 3, 1),
        # The order of month 0 is no next one where drives stand; that of month 7 is.
        ([line(0, 0, "ten", 1), line(7, 0, "ten", 2)], MOVED, 3, 6, 7, 7),
        # What is kept and the 70 TB of its first order, in month 6, hold all until that goes.
        ([line(6, 0, "ten", 8, "box")], KEPT, 8, 8, 6, 6),
        # Nothing is ever ordered: what is kept is full after three months.
        ([], KEPT, 3, 3, 1, 3),
    ],
)
def test_how_long_it_lasts_and_when_the_next_order_is(
    small, lines, tables, first_fill, headroom, order_by, rule
):
    if not lines:
        tables = {**tables, "builds.box.lead_time_months": 2}
    grown = followed(small, *lines, **tables).grown
    months = (
        grown.first_fill_months,
        grown.headroom_months,
        grown.order_by_months,
        grown.rule_order_months,
    )
    assert [each.tolist() for each in months] == [
        [[[each]]] for each in (first_fill, headroom, order_by, rule)
    ]


def test_the_most_it_can_hold_has_what_is_kept_as_long_as_that_stands(small):
    grown = followed(small, line(6, 0, "ten", 8, "box"), **KEPT).grown
    assert by_month(grown.most_tb_by_month) == [100.0] * 8 + [70.0] * 16
    assert by_month(grown.counted_tb_by_month) == [30.0] * 8 + [0.0] * 16
    nothing = followed(small, **KEPT).grown
    assert by_month(nothing.most_tb_by_month) == [30.0] * 8 + [0.0] * 16


def test_a_plan_orders_the_same_in_every_future(small):
    drawn = {
        "work.shoots.shoot_days_per_month": {"low": 5, "middle": 10, "high": 20},
        "builds.box.lead_time_months": {"low": 1, "middle": 2, "high": 6},
    }
    scenario = with_tables(small, {**MENU, "builds.box.plan": "best", **drawn})
    sample = sampler(scenario, draws=7)
    [found] = outcomes(sample.futures(0, 7), {"box": plan_of(GROWN[:2])})
    grown, lead = found.grown, np.ceil(found.build.lead_time_months)
    assert grown.own.steps_ordered_by_month.shape == (1, 1, 24)
    in_place = grown.own.steps_in_place_by_month
    assert (in_place == (np.arange(24) >= 5 + lead)).all()
    assert len(np.unique(grown.first_fill_months)) > 1


MORE = {**FURTHER, "builds.box.order_at_fraction": 0.8}


def boxes(found: Outcome) -> list[int]:
    """The months in which a further box is ordered."""
    if found.grown.further is None:
        return []
    each = found.box.space.ladder.plannable_tb.shape[-1]  # type: ignore[union-attr]
    ordered = by_month(found.grown.further.steps_ordered_by_month)
    firsts = [0, *(-(-int(step) // each) for step in ordered)]
    return [month for month in range(24) for _ in range(firsts[month + 1] - firsts[month])]


def test_further_boxes_come_once_a_plan_is_full(small):
    """70 TB last seven months; the line was kept, so a box comes when footage finds no room."""
    full = [line(0, 0, "ten", 8, "box")]
    assert boxes(followed(small, *full, **MORE))[0] == 7
    assert boxes(followed(small, *full, **MORE, tb_by_month=LOW))[0] == 5


def test_they_wait_for_the_last_delivery_of_the_plan(small):
    """40 TB are ordered in month 12 and stand in month 14; more than 110 TB come in month 11."""
    full = [line(0, 0, "ten", 8, "box"), line(12, 1, "ten", 5, "shelf")]
    tables = {**MORE, "builds.box.shelf": SHELF, "builds.box.lead_time_months": 1.5}
    found = followed(small, *full, **tables)
    assert boxes(found)[0] == 14
    rent = by_month(found.flow.cost_by_category["rent"])
    # What stands nowhere is bridged: the box of month 14 stands in month 16.
    unmet = [max(10 * (month + 1) - (70 if month < 14 else 110), 0) for month in range(16)]
    assert rent[:16] == pytest.approx([5 * tb for tb in unmet])
    assert boxes(followed(small, *full, **tables, tb_by_month=LOW))[0] == 14


def test_nothing_waits_for_a_plan_that_is_there_or_that_orders_nothing(small):
    two = {**MORE, "builds.box.lead_time_months": 2}
    today = [line(0, 0, "ten", 4, "box")]
    assert boxes(followed(small, *today, **two, tb_by_month=LOW))[0] == 2
    assert boxes(followed(small, **two))[0] == 0
    own = {**two, **MOVED, "work.shoots.shoot_days_per_month": 31}
    assert boxes(followed(small, **own))[0] == 0
    # What is ordered today beside drives that are owned stands after two months.
    assert boxes(followed(small, line(0, 0, "ten", 1), **own))[0] == 2
    kept = {**two, **KEPT, "work.shoots.shoot_days_per_month": 31}
    assert boxes(followed(small, *today, **kept))[0] == 2


def test_a_fuller_future_gets_its_further_box_at_the_order_point(small):
    """Above the line from month 3 on: 80 % of 70 TB are held in month 5."""
    full = [line(0, 0, "ten", 8, "box")]
    just = [10.0 * (month + 1) for month in range(24)]
    above = [*just[:3], 39.0, *just[4:]]
    assert boxes(followed(small, *full, **MORE, tb_by_month=just))[0] == 7
    assert boxes(followed(small, *full, **MORE, tb_by_month=above))[0] == 5


def test_what_is_kept_counts_until_a_further_box_would_stand(small):
    """70 TB and 30 TB until month 8 hold all of month 7; two months before, a box is ordered."""
    full = [line(0, 0, "ten", 8, "box")]
    tables = {**MORE, **KEPT, "builds.box.lead_time_months": 2}
    kept = followed(small, *full, **tables)
    assert boxes(kept)[0] == 7
    shorter = {**tables, "builds.box.keeps_months": 9, "work.shoots.shoot_days_per_month": 8}
    # 72 TB in month 8, 80 TB in month 9, when 30 TB are gone; from month 7 on they do not count.
    assert boxes(followed(small, *full, **shorter))[0] == 8


def test_growth_and_space_of_a_plan_are_told_by_evaluation(small):
    scenario = with_tables(small, {**MENU, "builds.box.plan": "best", "builds.box.shelf": SHELF})
    build = evaluate(scenario, draws=4, plans={"box": plan_of(GROWN)}).builds[0]
    assert build.capacity.ladder.usable_tb == 30
    assert build.capacity.full_ladder.usable_tb == 140
    assert build.capacity.first_fill_months.point == 3
    assert build.capacity.headroom_months.point == 14
    assert build.capacity.first_order_months == 5
    assert build.capacity.grows


def test_growth_of_a_plan_by_itself(small):
    scenario = with_tables(small, {**MENU, "builds.box.plan": "best"})
    drawn = sampler(scenario).middle()
    plan = plan_of(GROWN[:2])
    build = planned_build(drawn, drawn.builds["box"], plan)
    room = planned_space(drawn, build, plan)
    held = np.arange(1.0, 25.0)[None, None]
    grown = planned_growth(drawn, build, room, plan, held, None)
    assert grown.further is None
    assert grown.most_tb_by_month.tolist() == [[[50.0]]]
    assert not grown.counted_tb_by_month.any()
    assert grown.headroom_months.tolist() == [[[np.inf]]]
