"""The verdict by hand: every rule on figures small enough to count out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from study.decision.crafted import crafted, dearer_in, lasts, met_in

from storagecalc import evaluate
from storagecalc.study.decision.records import verdict_record
from storagecalc.study.decision.verdict import (
    cheaper_fraction,
    difference_by_category,
    is_clear_of,
    mean_cost,
    paired_gap,
    verdict,
)

COSTS = st.lists(st.integers(80, 130).map(float), min_size=10, max_size=10)
MONTHS = st.lists(st.sampled_from([10.0, 30.0]), min_size=10, max_size=10)

COSTS_OF_THREE = {"best": 300, "near": 200, "far": 100}


def keys(builds):
    return [build.key for build in builds]


def rivals(found):
    return keys(each.build for each in found.rivals)


def shares(**counts):
    """A need for headroom that each alternative meets in so many of a hundred futures."""
    return {"headroom_months": (24, {key: lasts(count) for key, count in counts.items()})}


# ---------------------------------------------------------------- outcomes


def test_an_only_alternative_is_recommended_and_has_nobody_beside_it():
    found = verdict(crafted({"a": 100}))
    assert found.outcome == "only alternative"
    assert (found.first.key, found.recommended.build.key) == ("a", "a")
    assert (found.second, found.gap_cost, found.nearest_other) == (None, None, None)
    assert (found.clear, found.cheaper_fraction) == (True, 1.0)
    assert (found.level_with, found.cheaper_at_times, found.others) == ((), (), ())


def test_an_only_alternative_may_miss_the_needs():
    found = verdict(crafted({"a": 100}, shares(a=79)))
    assert found.outcome == "none meets the needs"
    assert found.unmet_needs == {"headroom_months"}


def test_the_only_one_that_meets_the_needs_wins_at_any_price():
    found = verdict(crafted({"cheap": 100, "dear": 900}, shares(cheap=79, dear=80)))
    assert found.outcome == "only one meets the needs"
    assert found.recommended.build.key == "dear"
    assert (found.second, found.gap_cost, found.clear) == (None, None, True)
    assert keys(each.build for each in found.others) == ["cheap"]
    assert found.nearest_other.key == "cheap"
    assert found.unmet_needs == frozenset()


def test_a_clear_first():
    found = verdict(crafted({"dear": 200, "cheap": 100}))
    assert found.outcome == "clear"
    assert (found.first.key, found.second.key) == ("cheap", "dear")
    assert found.recommended.build.key == "cheap"
    assert (found.clear, found.cheaper_fraction) == (True, 1.0)
    assert found.level_with == found.cheaper_at_times == ()


def test_a_level_pair_leaves_the_recommendation_with_the_first():
    found = verdict(crafted({"a": dearer_in(40, by=140, usually=90), "b": 115}))
    assert mean_cost(found.first) == pytest.approx(110)
    assert found.outcome == "level"
    assert (found.first.key, keys(found.level_with), found.clear) == ("a", ["b"], False)
    assert found.recommended.build.key == "a"
    assert found.cheaper_fraction == 0.6


def test_none_meets_and_the_cheapest_of_the_nearest_is_recommended():
    """0.70 is the best; 0.65 is within five in a hundred of it, 0.64 is not."""
    needs = {
        "headroom_months": (
            24,
            {key: met_in((15, 100), good=30, bad=10) for key in COSTS_OF_THREE},
        ),
        "streams": (
            5,
            {
                "best": met_in((0, 15), (30, 100), good=6, bad=4),
                "near": met_in((0, 15), (35, 100), good=6, bad=4),
                "far": met_in((0, 15), (36, 100), good=6, bad=4),
            },
        ),
    }
    found = verdict(crafted(COSTS_OF_THREE, needs))
    assert found.outcome == "none meets the needs"
    assert found.unmet_needs == frozenset()
    assert rivals(found) == ["near", "best"]
    assert found.recommended.build.key == "near"
    assert keys(each.build for each in found.others) == ["far"]


def test_where_nobody_meets_the_only_need_all_are_rivals_and_the_cheapest_is_first():
    found = verdict(crafted(COSTS_OF_THREE, shares(best=79, near=65, far=10)))
    assert found.unmet_needs == {"headroom_months"}
    assert found.nearest_to("headroom_months").build.key == "best"
    assert rivals(found) == ["far", "near", "best"]
    assert found.outcome == "none meets the needs"


def test_a_need_nobody_meets_decides_nothing():
    """All are too loud. Without the noise one is met in 0.9 and the other in 0.5 of the futures."""
    needs = shares(short=50, long=90) | {"noise_dba": (38, {"short": 41, "long": 44})}
    found = verdict(crafted({"short": 100, "long": 200}, needs))
    assert found.outcome == "none meets the needs"
    assert found.unmet_needs == {"noise_dba"}
    assert found.nearest_to("noise_dba").build.key == "short"
    assert rivals(found) == ["long"]
    assert found.recommended.needs_met_fraction == 0.0
    assert found.nearest_other.key == "short"


def test_a_need_that_one_meets_is_no_need_that_nobody_meets():
    needs = shares(short=50, long=90) | {"noise_dba": (38, {"short": 35, "long": 44})}
    found = verdict(crafted({"short": 100, "long": 200}, needs))
    assert found.unmet_needs == frozenset()
    assert rivals(found) == ["short"]


def test_needs_met_one_by_one_but_not_together_are_no_needs_nobody_meets():
    needs = {
        "headroom_months": (24, {"a": met_in((15, 100), good=30, bad=10)}),
        "streams": (5, {"a": met_in((0, 10), (25, 100), good=6, bad=4)}),
    }
    found = verdict(crafted({"a": 100}, needs))
    assert (found.outcome, found.unmet_needs) == ("none meets the needs", frozenset())


def test_who_misses_the_loss_need_is_no_rival():
    needs = {"loss_probability": (0.001, {"risky": 0.0011, "safe": 0.001})}
    found = verdict(crafted({"risky": 100, "safe": 101}, needs))
    assert (found.outcome, found.first.key) == ("only one meets the needs", "safe")


# ---------------------------------------------------------------- first, clear, level


def test_the_mean_decides_and_not_who_is_cheapest_most_often():
    """Cheapest in 33, 34 and 33 of a hundred futures: the middle one would win by one point."""
    a, b, c = np.full(100, 100.0), np.full(100, 106.0), np.full(100, 107.0)
    b[33:67], c[67:] = 99.0, 99.0
    found = verdict(crafted({"a": a, "b": b, "c": c}))
    often = np.argmin([a, b, c], axis=0)
    assert np.bincount(often).tolist() == [33, 34, 33]
    assert rivals(found) == ["a", "b", "c"]
    assert found.recommended.build.key == "a"


def test_the_mean_decides_and_not_the_point():
    costs = {"a": dearer_in(50, by=150, usually=90), "b": 110, "c": 115}
    found = verdict(crafted(costs, points={"a": 90, "b": 110, "c": 115}))
    assert found.first.key == "b"
    assert found.gap_cost.mean == pytest.approx(5)


def test_three_times_the_mean_is_told_apart_and_is_not_level():
    """Cheaper in 20 of a hundred futures, but 300 in the mean against 100."""
    costs = dearer_in(80, by=355, usually=80)
    found = verdict(crafted({"steady": 100, "wild": costs}))
    assert mean_cost(found.second) == pytest.approx(300)
    assert found.clear is False
    assert found.level_with == ()
    assert keys(found.cheaper_at_times) == ["wild"]
    assert cheaper_fraction(found.second, found.first) == 0.2
    assert (found.outcome, found.recommended.build.key) == ("clear", "steady")


def test_what_is_told_apart_never_takes_the_recommendation_over():
    costs = {"steady": 100, "wild": dearer_in(80, by=355, usually=80)}
    assert verdict(crafted(costs, shares(steady=80, wild=100))).recommended.build.key == "steady"


def test_a_euro_less_in_95_of_100_futures_is_not_clear():
    one = dearer_in(5, by=1010, usually=1000)
    found = verdict(crafted({"one": one, "other": 1001}))
    assert found.cheaper_fraction == 0.95
    assert (found.outcome, found.clear, keys(found.level_with)) == ("level", False, ["other"])


@pytest.mark.parametrize(("count", "clear"), [(9, True), (10, True), (11, False)])
def test_clear_is_dearer_in_at_most_one_of_ten_futures(count, clear):
    one = dearer_in(count, by=130, usually=100)
    found = verdict(crafted({"one": one, "other": 120}))
    assert found.clear is clear
    assert keys(found.cheaper_at_times) == ([] if clear else ["other"])
    assert is_clear_of(found.first, found.second) is clear


def test_one_of_ten_holds_for_any_number_of_futures():
    for draws in (10, 30, 70, 110, 2000):
        costs = np.full(draws, 100.0)
        costs[: draws // 10] = 130
        assert verdict(crafted({"one": costs, "other": 120}, draws=draws)).clear is True


@pytest.mark.parametrize(("cost", "clear"), [(97.9, True), (98, True), (98.01, False)])
def test_clear_is_at_least_two_in_a_hundred_lower(cost, clear):
    found = verdict(crafted({"one": cost, "other": 100}))
    assert (found.clear, found.outcome) == (clear, "clear" if clear else "level")
    assert found.cheaper_fraction == 1.0


@pytest.mark.parametrize(("other", "level"), [(1090, True), (1100, True), (1101, False)])
def test_level_is_at_most_ten_in_a_hundred_higher(other, level):
    """The first has a mean of 1000 and is dearer in 20 of a hundred futures."""
    found = verdict(crafted({"one": dearer_in(20, by=1400, usually=900), "other": other}))
    assert mean_cost(found.first) == 1000
    assert found.clear is False
    assert keys(found.level_with) == (["other"] if level else [])
    assert keys(found.cheaper_at_times) == ([] if level else ["other"])
    assert found.outcome == ("level" if level else "clear")


def test_futures_are_compared_pair_by_pair():
    """Costs stray by half, but in every future the same one is 5 dearer."""
    costs = np.linspace(60, 140, 100)
    found = verdict(crafted({"one": costs, "other": costs + 5}))
    assert found.clear is True
    assert (found.gap_cost.p10, found.gap_cost.p90) == (pytest.approx(5), pytest.approx(5))
    shuffled = verdict(crafted({"one": costs, "other": costs[::-1] + 5}))
    assert shuffled.clear is False


def test_clear_asks_for_all_other_rivals():
    costs = {"a": 100, "near": 101, "far": 200}
    found = verdict(crafted(costs))
    assert (found.clear, keys(found.level_with)) == (False, ["near"])
    needs = shares(a=100, near=50, far=100)
    assert verdict(crafted(costs, needs)).clear is True


def test_all_alike_are_level_and_the_first_of_the_file_stays():
    found = verdict(crafted({"b": 100, "a": 100, "c": 100}))
    assert found.outcome == "level"
    assert rivals(found) == ["b", "a", "c"]
    assert (found.recommended.build.key, keys(found.level_with)) == ("b", ["a", "c"])
    assert (found.gap_cost.mean, found.cheaper_fraction, found.clear) == (0.0, 0.0, False)


@pytest.mark.parametrize("costs", [{"a": 100}, {"a": 100, "b": 200}, {"a": 100, "b": 101}])
def test_without_draws_nothing_is_called_clear(costs):
    found = verdict(crafted(costs, draws=0))
    assert found.clear is None
    assert found.first.key == "a"


# ---------------------------------------------------------------- who is recommended


@pytest.mark.parametrize(
    ("counts", "recommended"),
    [
        ((85, 89), "a"),  # four more
        ((85, 90), "b"),  # five more
        ((80, 85, 89), "b"),  # nine more than the first, four more than the one before
        ((80, 85, 90), "c"),
        ((80, 84, 86), "a"),  # six more than the first, but two more than the one before
        ((80, 84, 89), "c"),
        ((80, 90, 94, 95), "b"),  # five more than the second, but one more than the third
        ((80, 90, 94, 99), "d"),
        ((90, 80, 94), "a"),
        ((95, 80, 100), "c"),
    ],
)
def test_a_level_one_takes_over_with_five_in_a_hundred_more_than_all_before(counts, recommended):
    names = "abcd"[: len(counts)]
    costs = {name: 100 + place / 2 for place, name in enumerate(names)}
    needs = shares(**dict(zip(names, counts, strict=True)))
    found = verdict(crafted(costs, needs))
    assert found.outcome == "level"
    assert found.first.key == "a"
    assert found.recommended.build.key == recommended


def test_one_that_is_clearly_dearer_does_not_take_over():
    found = verdict(crafted({"a": 100, "b": 103}, shares(a=80, b=100)))
    assert (found.clear, found.recommended.build.key) == (True, "a")


def test_one_that_is_no_rival_does_not_stand_in_the_way():
    """The middle one misses a need, so the last has to beat the first alone."""
    needs = shares(a=80, b=84, c=86) | {"noise_dba": (38, {"a": 30, "b": 40, "c": 30})}
    found = verdict(crafted({"a": 100, "b": 100.5, "c": 101}, needs))
    assert found.recommended.build.key == "c"


def test_where_none_meets_a_level_one_may_take_over_too():
    found = verdict(crafted({"a": 100, "b": 101}, shares(a=65, b=70)))
    assert found.outcome == "none meets the needs"
    assert (found.first.key, found.recommended.build.key) == ("a", "b")


def test_the_nearest_other_is_nearest_to_the_recommended():
    costs = {"a": 100, "b": 103, "c": 101}
    found = verdict(crafted(costs, shares(a=80, b=81, c=90)))
    assert (found.recommended.build.key, found.nearest_other.key) == ("c", "a")
    found = verdict(crafted(costs | {"b": 101.5}, shares(a=80, b=81, c=90)))
    assert (found.recommended.build.key, found.nearest_other.key) == ("c", "b")


def test_the_nearest_other_is_a_rival_where_there_is_one():
    found = verdict(crafted({"a": 100, "misses": 101, "b": 150}, shares(a=80, misses=0, b=80)))
    assert found.nearest_other.key == "b"


# ---------------------------------------------------------------- gaps and records


def test_the_gap_is_told_future_by_future():
    """0, 1, ... 99 dearer: nine at p10 (ten of a hundred at or below it), 49 and 89, mean 49.5."""
    gap = verdict(crafted({"a": 1000, "b": 1000 + np.arange(100.0)})).gap_cost
    assert (gap.p10, gap.p50, gap.p90, gap.mean) == (9, 49, 89, 49.5)


def test_the_causes_of_a_difference_add_up_to_it(demo):
    one, other, _ = evaluate(demo, draws=40).builds
    parts = difference_by_category(one, other)
    assert sum(parts.values()) == pytest.approx(paired_gap(other, one).mean, rel=1e-9)
    sizes = [abs(part) for part in parts.values()]
    assert sizes == sorted(sizes, reverse=True)


def test_the_record_has_names_and_nothing_that_json_cannot_hold():
    evaluation = crafted({"a": 100, "b": 101}, shares(a=85, b=90))
    assert verdict_record(evaluation) == {
        "outcome": "level",
        "first": "a",
        "second": "b",
        "recommended": "b",
        "level_with": ["b"],
        "clear": False,
        "gap_cost": {"mean": 1.0, "p10": 1.0, "p50": 1.0, "p90": 1.0},
        "cheaper_fraction": 1.0,
    }
    alone = verdict_record(crafted({"a": 100}, draws=0))
    assert (alone["second"], alone["gap_cost"], alone["clear"]) == (None, None, None)


def test_a_grid_is_refused(demo):
    with pytest.raises(ValueError, match="grid"):
        verdict(evaluate(demo, positions={"place.desk_m": [1, 2]}))


@given(costs=st.lists(COSTS, min_size=1, max_size=4), months=st.lists(MONTHS, min_size=4))
def test_rules_that_hold_for_any_figures(costs, months):
    names = [str(number) for number in range(len(costs))]
    needs = {"headroom_months": (24, dict(zip(names, months[:4], strict=False)))}
    found = verdict(crafted(dict(zip(names, costs, strict=True)), needs, draws=10))
    others = [each.build for each in found.rivals[1:]]
    means = [mean_cost(each.build) for each in found.rivals]
    assert means == sorted(means)
    assert len(found.rivals) + len(found.others) == len(costs)
    unclear = [*found.level_with, *found.cheaper_at_times]
    assert found.clear is not bool(unclear)
    for other in others:
        dearer = cheaper_fraction(other, found.first)
        if other not in unclear:
            assert dearer <= 0.1  # what is called cheaper is not dearer in half the futures
            assert means[0] <= 0.98 * mean_cost(other)
    recommended = found.recommended
    if recommended is not found.rivals[0]:
        assert recommended.build in found.level_with
        assert recommended.needs_met_fraction >= found.rivals[0].needs_met_fraction + 0.05 - 1e-9
    if any(each.meets_needs for each in (*found.rivals, *found.others)):
        assert all(each.meets_needs for each in found.rivals)
    if others:
        second = mean_cost(others[0]) - means[0]
        assert found.gap_cost.mean == pytest.approx(second, abs=1e-9)


@given(costs=st.lists(COSTS, min_size=2, max_size=3), further=COSTS)
def test_another_alternative_changes_no_pair(costs, further):
    names = [str(number) for number in range(len(costs))]
    before = verdict(crafted(dict(zip(names, costs, strict=True)), draws=10))
    after = verdict(crafted(dict(zip([*names, "new"], [*costs, further], strict=True)), draws=10))
    if after.first.key == before.first.key:
        kept = [key for key in keys(after.level_with) if key != "new"]
        assert kept == keys(before.level_with)
    else:
        assert after.first.key == "new"
    order = [key for key in rivals(after) if key != "new"]
    assert order == rivals(before)
