"""A scenario with some alternatives alone tells of them what the whole does."""

import pytest

from storagecalc import evaluate
from storagecalc.study.alternatives import alternatives
from storagecalc.study.decision.narrowed import with_only


@pytest.mark.parametrize("place", [0, 1, 2])
def test_what_is_left_costs_what_it_did(demo, place):
    whole = evaluate(demo, draws=5, seed=1)
    wanted = alternatives(demo)[place]
    few = evaluate(with_only(demo, [wanted]), draws=5, seed=1)
    assert {each.key for each in few.builds} == {wanted.key, demo.remedy.next_build}
    told = {each.key: each.money.net_present_cost.mean for each in whole.builds}
    for each in few.builds:
        assert each.money.net_present_cost.mean == told[each.key]


def test_drives_go_where_no_build_takes_them_but_stay_on_the_menu_of_a_plan(demo):
    tables = demo.as_written()
    larger = {**tables["drives"]["tb16"], "size_tb": 20}
    scenario = demo.varied({"drives": {**tables["drives"], "tb20": larger}})
    wanted = [each for each in alternatives(scenario) if each.key == "twelve_and_shelf"]
    assert list(with_only(scenario, wanted).drives) == ["tb16"]
    planned = scenario.varied({"builds.twelve_and_shelf.plan": "best"})
    assert list(with_only(planned, wanted).drives) == ["tb16", "tb20"]
