"""The positions of the owner's page, one by one: which evaluation, which axes, in which order."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from study.decision.crafted import crafted
from study.small import SMALL

from storagecalc import evaluate
from storagecalc.study.decision.break_even import BreakEven, Crossing
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.sliders import sliders
from storagecalc.views.page import owner_grid
from storagecalc.views.page.first_page import page_frames

POINT, DAYS = "builds.box.order_at_fraction", "work.shoots.shoot_days_per_month"


@pytest.fixture(scope="module")
def whole():
    return evaluate(scenario_from(SMALL, source="by hand"), draws=40, seed=3)


def test_each_position_is_its_own_evaluation_with_its_own_scenario(whole):
    found = sliders(whole.scenario, [POINT, DAYS])
    start = {each.key: each.start for each in found}
    positions = [start, {**start, POINT: 0.5}, {**start, DAYS: 5}]
    told = owner_grid._at_positions(whole, found, positions, draws=20)
    assert [values for values, _ in told] == positions
    today, earlier, half = (here for _, here in told)
    assert today is whole
    assert [here.draws for here in (earlier, half)] == [20, 20]
    assert earlier.scenario.builds["box"].order_at_fraction == 0.5
    assert earlier.held_tb_by_month.mean[-1] == pytest.approx(240)
    assert half.scenario.builds["box"].order_at_fraction == 1.0
    assert half.held_tb_by_month.mean[-1] == pytest.approx(120)


def test_positions_draw_the_same_futures_as_the_whole(whole):
    spread = whole.scenario.varied({DAYS: {"low": 8, "middle": 10, "high": 13}})
    ranged = evaluate(spread, draws=40, seed=3)
    found = sliders(spread, [POINT])
    ((_, here),) = owner_grid._at_positions(ranged, found, [{POINT: 0.5}], draws=40)
    assert here.held_tb_by_month.p10[-1] == pytest.approx(ranged.held_tb_by_month.p10[-1])
    assert here.held_tb_by_month.p10[-1] != pytest.approx(
        evaluate(spread, draws=40, seed=0).held_tb_by_month.p10[-1], rel=1e-6
    )


def test_axes_are_todays_where_they_fit_and_else_those_of_all_positions():
    small, large = crafted({"a": 100, "b": 300}), crafted({"a": 100, "b": 90_000})
    today, all_of_them = page_frames([small]), page_frames([small, large])
    assert owner_grid._frames(small, today, all_of_them) == today
    wide = owner_grid._frames(large, today, all_of_them)
    assert wide == {"lanes": today["lanes"], "gap": all_of_them["gap"]} != today


def test_what_changes_the_decision_comes_first_and_slides_from_its_low_to_its_high(
    whole, monkeypatch
):
    known = {each.key: each for each in sliders(whole.scenario, [POINT, DAYS])}
    there = Crossing(value=6, side="below", recommended=whole.builds[0].alternative,
                     meets_needs=False, missed_needs=(), met_needs=())  # fmt: skip
    idle, moving = (
        BreakEven(key=key, quantity=known[key].quantity, low=low, today=today, high=high,
                  crossings=crossings, unsettled=False)
        for key, low, today, high, crossings in ((POINT, 0.7, 1.0, 1.0, ()),
                                                 (DAYS, 4.0, 10.0, 12.0, (there,)))
    )  # fmt: skip
    monkeypatch.setattr(
        owner_grid, "influences", lambda _: [SimpleNamespace(key=key) for key in "abcdefg"]
    )
    looked_at = []
    monkeypatch.setattr(
        owner_grid, "break_evens", lambda _, keys: looked_at.extend(keys) or (idle, moving)
    )
    found = owner_grid._ranked(whole)
    assert looked_at == list("abcde")
    assert [each.key for each in found] == [DAYS, POINT]
    told = owner_grid._sliders(whole.scenario, found)
    assert [(each.key, each.lowest, each.start, each.highest) for each in told] == [
        (DAYS, 4, 10, 12),
        (POINT, 0.7, 1, 1),
    ]
    assert owner_grid._places(told[0], 5) == [4, 7, 10, 11, 12]
    shifted = replace(told[0], start=8.0)
    assert owner_grid._places(shifted, 3) == [4, 8, 12]
