"""A grid of ranges: each position is the scenario with that range, value by value."""

import math

import numpy as np
import pytest
from study.small import SMALL

from storagecalc import ScenarioError, evaluate
from storagecalc.study.decision.records import records
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.quantity import Range, entries
from storagecalc.study.scenario.sliders import moved, moved_value

DRAWS = 20
PRICE, DAYS = "drives.tb16.price", "work.stage.shoot_days_per_month"
RATE, LEAD = "drives.tb16.failures_per_drive_year", "builds.eight_in_steps.lead_time_months"


def same(here, there, where):
    """Whether two records are alike to the last digits, name by name."""
    if isinstance(here, dict):
        assert here.keys() == there.keys(), where
        for name in here:
            same(here[name], there[name], f"{where}.{name}")
    elif isinstance(here, list):
        for one, other in zip(here, there, strict=True):
            same(one, other, where)
    elif isinstance(here, float):
        assert math.isclose(here, there, rel_tol=1e-9, abs_tol=1e-12), where
    else:
        assert here == there, where


def judged(evaluation):
    return [{key: value for key, value in row.items() if key != "purchases"}
            for row in records(evaluation)]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "axis"),
    [
        (PRICE, [Range(300, 320, 350), Range(380, 460, 560), Range(500, 700, 1200)]),
        (DAYS, [Range(1, 2, 4), Range(3, 5, 8)]),
        (RATE, [Range(0.002, 0.005, 0.01), Range(0.01, 0.03, 0.09)]),
        (LEAD, [Range(0.2, 1, 2), Range(3, 6, 11)]),
        ("discount_rate_per_year", [Range(0.01, 0.02, 0.04), Range(0.05, 0.08, 0.12)]),
        ("filling.free_fraction", [Range(0.05, 0.1, 0.2), Range(0.1, 0.2, 0.3)]),
        # Numbers and ranges on one axis.
        (PRICE, [300.0, Range(380, 460, 560), 700.0]),
        (RATE, [0.005, Range(0.01, 0.03, 0.09), 0.02]),
        (DAYS, [Range(3, 5, 8), 5.0]),
    ],
)
def test_each_position_is_the_scenario_with_that_range(demo, key, axis):
    grid = evaluate(demo, draws=DRAWS, positions={key: axis})
    for place, value in enumerate(axis):
        alone = evaluate(demo.varied({key: value}), draws=DRAWS)
        same(judged(grid.at(place)), judged(alone), f"{key} {value}")


@pytest.mark.parametrize("key", [PRICE, RATE])
def test_it_makes_no_difference_whether_the_file_has_a_number_or_a_range(demo, key):
    """What stands on the grid takes the place of what the file says, whatever that is."""
    axis = [Range(0.01, 0.03, 0.09), 0.02] if key == RATE else [Range(380, 460, 560), 500.0]
    plain = demo.varied({key: 0.011 if key == RATE else 411.0})
    grid = evaluate(plain, draws=DRAWS, positions={key: axis})
    for place, value in enumerate(axis):
        alone = evaluate(demo.varied({key: value}), draws=DRAWS)
        same(judged(grid.at(place)), judged(alone), f"{key} {value}")


def test_two_axes_move_together(demo):
    axes = {PRICE: [Range(300, 320, 350), 500.0], RATE: [0.02, Range(0.01, 0.03, 0.09)]}
    grid = evaluate(demo, draws=DRAWS, positions=axes)
    for place in range(2):
        changes = {key: axis[place] for key, axis in axes.items()}
        same(judged(grid.at(place)), judged(evaluate(demo.varied(changes), draws=DRAWS)), place)


def test_without_draws_a_range_stands_at_its_middle(demo):
    ranges = evaluate(demo, positions={PRICE: [Range(300, 320, 350), Range(500, 700, 1200)]})
    numbers = evaluate(demo, positions={PRICE: [320.0, 700.0]})
    for place in range(2):
        one, other = judged(ranges.at(place)), judged(numbers.at(place))
        same(one, other, place)


def test_the_point_stands_at_the_middle_with_draws_too(demo):
    grid = evaluate(demo, draws=DRAWS, positions={PRICE: [Range(500, 700, 1200), 700.0]})
    for build in grid.builds:
        point = build.money.net_present_cost.point
        assert point[0] == point[1]


def test_the_loss_is_averaged_over_the_moved_range_and_not_at_its_middle(demo):
    wide, narrow = Range(0.002, 0.014, 0.09), Range(0.0139, 0.014, 0.0141)
    grid = evaluate(demo, draws=DRAWS, positions={RATE: [wide, narrow, 0.014]})
    chances = grid.builds[0].loss.box_loss_probability
    assert chances[0] > 3 * chances[1]
    assert chances[1] == pytest.approx(chances[2], rel=1e-3)
    low, high = (getattr(grid.builds[0].loss, f"box_loss_probability_{end}") for end in
                 ("low", "high"))  # fmt: skip
    assert low[0] < low[1] < high[1] < high[0]
    assert low[2] == pytest.approx(high[2])


def test_grids_of_ranges_in_parts_equal_the_whole(demo, monkeypatch):
    axis = [Range(300, 320, 350), 400.0, Range(380, 460, 560), Range(500, 700, 1200)]
    whole = evaluate(demo, draws=10, positions={PRICE: axis})
    monkeypatch.setattr("storagecalc.study.evaluate.CELLS_AT_ONCE", 3 * 10 * 84)
    parts = evaluate(demo, draws=10, positions={PRICE: axis})
    for one, other in zip(whole.builds, parts.builds, strict=True):
        costs = [each.money.net_present_cost.p90 for each in (one, other)]
        np.testing.assert_allclose(*costs, rtol=1e-12)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        (PRICE, {"low": 400, "middle": 300, "high": 500}, "no curve fits"),
        (PRICE, {"low": -5, "middle": 300, "high": 500}, "must be from"),
        (PRICE, {"low": 200, "middle": 300}, "or a range"),
        (PRICE, {"low": 200, "middle": 300, "high": math.inf}, "finite"),
        ("needs.headroom_months", {"low": 20, "middle": 30, "high": 40}, "not a range"),
        ("needs.confidence_fraction", 0.9, "count or a choice"),
        (PRICE, "dear", "must be a number"),
        (PRICE, None, "must be a number"),
    ],
)
def test_a_wrong_range_is_refused(demo, key, value, words):
    with pytest.raises(ScenarioError, match=words) as refused:
        evaluate(demo, positions={key: [value]})
    assert key in str(refused.value)


def test_a_moved_slider_and_a_position_are_one(demo):
    """A range goes along with its middle, its odds kept."""
    entry = next(each for each in entries(demo) if each.key == DAYS)
    assert isinstance(entry.value, Range)
    grid = evaluate(demo, draws=DRAWS, positions={DAYS: [moved_value(entry, 8.0)]})
    same(judged(grid.at(0)), judged(evaluate(moved(demo, {DAYS: 8.0}), draws=DRAWS)), DAYS)


def test_by_hand_a_range_of_a_price_is_paid_as_it_is_drawn():
    """Four drives in every future: their price is the only unknown, and in no other cause."""
    small = scenario_from(SMALL, source="by hand")
    spread = Range(80, 100, 150)
    (entry,) = [each for each in entries(small) if each.key == "drives.ten.price"]
    grid = evaluate(small, draws=101, positions={entry.key: [spread, 100.0]})
    cost = grid.builds[0].money.upfront_cost
    assert cost.p50[0] == pytest.approx(1000 + 4 * 100 + 20, abs=2)
    assert cost.p10[0] == pytest.approx(1000 + 4 * 80 + 20, abs=3)
    assert cost.p90[0] == pytest.approx(1000 + 4 * 150 + 20, abs=15)
    assert cost.p10[1] == cost.p90[1] == 1420
