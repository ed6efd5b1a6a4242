"""What stays advised while a slider moves, and who is told beside the recommended."""

from dataclasses import replace

from study.decision.crafted import crafted, lasts
from study.small import SMALL

from storagecalc import evaluate
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.scenario.load import scenario_from


def test_what_more_futures_advised_stays_recommended():
    """All else is judged as it is: the first, the outcome, the gap."""
    whole = crafted({"a": 100, "b": 300, "c": 500})
    kept = verdict(replace(whole, advised="b"))
    assert kept.recommended.build.key == "b"
    assert (kept.first.key, kept.outcome) == ("a", "clear")
    assert kept.gap_cost == verdict(whole).gap_cost
    assert kept.nearest_other.key == "a"
    assert whole.advised is None
    assert verdict(replace(whole, advised="gone")).recommended.build.key == "a"


def test_what_was_advised_stays_even_where_it_meets_the_needs_no_longer():
    needs = {"headroom_months": (24, {"a": lasts(90), "b": lasts(40)})}
    kept = verdict(replace(crafted({"a": 100, "b": 300}, needs), advised="b"))
    assert kept.recommended.build.key == "b"
    assert kept.recommended in kept.others
    assert kept.outcome == "only one meets the needs"


def test_an_evaluation_at_a_position_keeps_what_was_advised():
    gridded = evaluate(scenario_from(SMALL, source="by hand"), positions={"place.desk_m": [1, 2]})
    assert replace(gridded, advised="box").at(1).advised == "box"


def test_the_nearest_others_are_rivals_first_and_nearest_in_mean():
    """Of 100 recommended: rivals at 130 and 210, and at 90 and 400 what misses the needs."""
    needs = {"headroom_months": (24, {"a": 30, "near": 30, "far": 30, "cheap": 10, "dear": 10})}
    costs = {"dear": 400, "far": 210, "cheap": 90, "near": 130, "a": 100}
    found = verdict(crafted(costs, needs))
    assert [each.key for each in found.nearest_others(9)] == ["near", "far", "cheap", "dear"]
    assert [each.key for each in found.nearest_others(2)] == ["near", "far"]
    assert found.nearest_others(0) == []
    assert found.nearest_other.key == "near"


def test_nearest_counts_from_the_recommended_and_not_from_the_first():
    """The level one at 99.5 is recommended: 100.5 is nearer to it than the first at 98."""
    needs = {"headroom_months": (24, {"first": lasts(81), "level": lasts(95), "third": lasts(95)})}
    found = verdict(crafted({"first": 98, "level": 99.5, "third": 100.5}, needs))
    assert found.recommended.build.key == "level"
    assert [each.key for each in found.nearest_others(2)] == ["third", "first"]
