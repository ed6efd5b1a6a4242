"""What is told of a file whose best plan cannot be made."""

import pytest
from study.small import owned, with_tables

from storagecalc.study.scenario.faults import ScenarioError


def refused(small, **tables):
    """The faults of the small studio with a best plan and an old box of five drives."""
    best = {"builds.box.plan": "best", "owned.old": owned((4, 1), (1, 2))}
    with pytest.raises(ScenarioError) as told:
        with_tables(small, {**best, **tables})
    return [(fault.key, fault.value, fault.rule) for fault in told.value.faults]


def test_a_best_plan_needs_a_price_for_what_finds_no_room(small):
    ((key, value, rule),) = refused(small, **{"remedy.kind": "early cull"})
    assert (key, value) == ("builds.box.plan", "best")
    assert rule.endswith("month by month; choose another remedy")


def test_a_best_plan_has_no_whole_pools(small):
    ((key, _, rule),) = refused(small, **{"builds.box.grows_by": "whole pools"})
    assert key == "builds.box"
    assert rule.startswith('plan = "best" cannot plan whole pools: choose another grows_by')


@pytest.mark.parametrize("first", [6, 8])
def test_a_best_plan_begins_with_the_drives_it_takes_over(small, first):
    taking = {"builds.box.drives_from": "old", "builds.box.drives_at_first": first}
    assert refused(small, **taking) == [
        (
            "builds.box.drives_at_first",
            first,
            "must be at most 5, the drives of [owned.old]: a best plan begins with those and orders"
            " the others itself",
        )
    ]


@pytest.mark.parametrize("first", [3, 5])
def test_fewer_than_there_are_may_go_in(small, first):
    with_tables(small, {
        "builds.box.plan": "best", "owned.old": owned((4, 1), (1, 2)),
        "builds.box.drives_from": "old", "builds.box.drives_at_first": first,
    })  # fmt: skip


def test_a_rule_may_have_bought_the_others(small):
    with_tables(small, {
        "owned.old": owned((4, 1), (1, 2)), "builds.box.drives_from": "old",
        "builds.box.drives_at_first": 8,
    })  # fmt: skip


@pytest.mark.parametrize("count", ["many", 0])
def test_a_wrong_count_is_told_as_itself(small, count):
    box = {**owned((4, 1)), "lots": [{"count": count, "age_years": 1}]}
    taking = {"builds.box.drives_from": "old", "builds.box.drives_at_first": 6, "owned.old": box}
    assert "owned.old.lots.0.count" in [key for key, _, _ in refused(small, **taking)]
