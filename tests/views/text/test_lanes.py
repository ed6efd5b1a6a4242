"""Room against footage in words: titles on the basis of the dots, and every dot told."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from study.decision.crafted import crafted, dearer_in
from views.figures import rows, with_figures

from storagecalc.study.decision.room import OrderMark
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text.lanes import (
    dots_words,
    isolated,
    lane_cost,
    lane_name,
    lane_needs,
    lanes_key,
    lanes_summary,
    lanes_title,
    mark_words,
    most_label,
)


def full_in(one: Any, other: Any = None, *, draws: int = 100) -> Evaluation:
    """Alternative a, cheaper, and b, if asked for: full after so many months in each future."""
    costs = {"a": 100, "b": 300} if other is not None else {"a": 100}
    whole = crafted(costs, draws=draws)
    for number, months in enumerate((one, other)[: len(costs)]):
        rows = np.broadcast_to(np.asarray(months, dtype=float), max(draws, 1))
        figures = {"capacity.headroom_months_by_draw": rows}
        whole = with_figures(figures, evaluation=whole, number=number)
    return whole


NEVER = np.inf
SOME = np.where(np.arange(100) < 20, 9.0, NEVER)
# The tenth of twenty dots is the 48th of a hundred futures: month 14, March 2028.
SPREAD = np.where(np.arange(100) < 30, 6.0, np.where(np.arange(100) < 60, 14.0, NEVER))


# A dot in each of the first twenty months; and ten dots of twenty in June.
EACH_MONTH = np.repeat(np.arange(20.0), 5)
HALF = np.where(np.arange(100) < 50, 5.0, NEVER)
LASTS = "lasts to 2029 in all twenty"


@pytest.mark.parametrize(
    ("one", "other", "title"),
    [
        (NEVER, SPREAD, f"“a” {LASTS} futures; “b” is full by March 2028 in ten."),
        (SOME, NEVER, f"“a” is full before 2029 in four of twenty futures; “b” {LASTS}."),
        (NEVER, NEVER, "“a” and “b” last to 2029 in all twenty futures."),
        (0, NEVER, f"“a” is full from the start in all twenty futures; “b” {LASTS}."),
        (NEVER, None, f"“a” {LASTS} futures."),
        (
            EACH_MONTH,
            HALF,
            "“a” is full by October 2027 in ten of twenty futures; “b” is full by"
            " June 2027 in ten.",
        ),
    ],
)
def test_the_title_says_what_the_dots_show(one, other, title):
    assert lanes_title(full_in(one, other)) == title


def test_without_draws_the_title_speaks_of_the_middle_and_the_key_of_one_dot():
    evaluation = full_in(14, NEVER, draws=0)
    assert lanes_title(evaluation) == (
        "“a” is full in March 2028 at the middle of every range; “b” lasts to 2029."
    )
    assert lanes_key(evaluation).startswith("The dot is the middle of every range:")


def test_the_key_says_what_a_full_box_means_here():
    assert "the rest is held elsewhere. ▲ is an order." in lanes_key(full_in(10))


def test_the_summary_tells_every_dot():
    told = lanes_summary(full_in(SOME, 0))
    assert "full: October 2027 (4 of 20), not before January 2029 (16 of 20)." in told
    assert "full: January 2027 (20 of 20)." in told


def test_costs_are_told_as_the_paired_difference():
    evaluation = crafted({"cheap": 26_800, "dear": 29_520, "same": 26_800})
    found = verdict(evaluation)
    told = {build.key: lane_cost(evaluation, found, build) for build in evaluation.builds}
    assert told == {"cheap": "EUR 26,800", "dear": "EUR 2,720 more", "same": "costs the same"}


def test_needs_are_told_in_futures_of_a_hundred():
    evaluation = crafted(
        {"a": 100}, {"headroom_months": (24, {"a": [30] * 86 + [10] * 14})}, confidence=0.8
    )
    (standing,) = verdict(evaluation).rivals
    assert lane_needs(evaluation, standing) == "needs met in 86 of 100"
    assert lane_needs(evaluation, verdict(crafted({"a": 1})).recommended) == "no needs stated"


def test_a_name_is_cut_at_thirty_and_keeps_its_direction():
    build = crafted({"a name that somebody wrote in a hurry": 1}).builds[0]
    assert lane_name(build) == "a name that somebody wrote in…"
    assert isolated("שם") == "\u2068שם\u2069"
    assert isolated("12 bays") == "12 bays"


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        ((0, {"box": 1, "drives": 6}, False), "6 drives now"),
        ((11, {"drives": 2}, True), "2 drives by Dec 2027"),
        ((20, {"shelf": 1, "drives": 1}, False), "1 shelf and 1 drive"),
        ((20, {"further box": 1}, False), "further box"),
        ((20, {"further box": 2}, True), "2 further boxes by Sep 2028"),
    ],
)
def test_orders_in_words(mark, words):
    scenario = crafted({"a": 1}).scenario
    month, counts, is_next = mark
    made = OrderMark(month=month, counts=counts, is_next=is_next)
    assert mark_words(scenario, made) == words


def test_only_drives_are_told_by_their_number_alone():
    scenario = crafted({"a": 1}).scenario
    drives = OrderMark(month=0, counts={"drives": 6}, is_next=False)
    larger = OrderMark(month=0, counts={"larger drives": 6}, is_next=False)
    assert mark_words(scenario, drives, brief=True) == "6 now"
    assert mark_words(scenario, larger, brief=True) == "6 larger drives now"


def test_builds_that_hold_as_much_go_by_the_words_they_share():
    names = ("8 bays, filled at once", "8 bays, grown in steps", "12 bays", "8 bays and a shelf")
    builds = crafted(dict.fromkeys(names, 100.0)).builds
    first, second, twelve, shelf = builds
    assert most_label([first, second], [twelve], above=False)[0] == "8 bays (both)"
    assert most_label([first, second], [shelf], above=False)[0] == (
        "8 bays, filled at once and one more"
    )
    assert most_label([twelve], [], above=True)[1].endswith(" TB, above this picture")


def test_how_many_are_full_from_the_start_are_counted_alone():
    half_at_once = np.where(np.arange(100) < 60, 0.0, 9.0)
    assert lanes_title(full_in(half_at_once)) == (
        "“a” is full from the start in twelve of twenty futures."
    )


@pytest.mark.parametrize(
    ("draws", "held"),
    [(100, "10 TB to 80 TB in 8 of 10 futures"), (0, "40 TB at the middle of every range")],
)
def test_the_summary_tells_footage_at_the_end_and_the_most_after_all_steps(draws, held):
    ends = rows((1, 61), (2, 62), (3, 10), (4, 40), (5, 80))
    ladder = replace(full_in(10).builds[0].capacity.full_ladder, plannable_tb=77.0)
    figures = {"capacity.held_tb_by_month": ends, "capacity.full_ladder": ladder}
    told = lanes_summary(with_figures(figures, evaluation=full_in(10, draws=draws)))
    assert f"Footage held by “a” in the last month: {held}." in told
    assert "“a” holds at most 77 TB;" in told


def test_the_recommended_is_told_by_its_mean_and_small_differences_by_their_sign():
    costs = {"a": 1_000, "more": 1_001, "less": dearer_in(80, by=1_500, usually=500)}
    evaluation = crafted(costs, points={"a": 700})
    found = verdict(evaluation)
    told = [lane_cost(evaluation, found, build) for build in evaluation.builds]
    assert told == ["EUR 1,000", "EUR 1 more", "EUR 300 more"]
    kept = replace(evaluation, advised="more")
    told = [lane_cost(kept, verdict(kept), build) for build in kept.builds]
    assert told == ["EUR 1 less", "EUR 1,000", "EUR 299 more"]


def test_the_title_names_the_nearest_other_where_no_other_meets_the_needs():
    """The cheaper one is full in the second half of the futures, from November on."""
    whole = crafted({"cheap": 100, "dear": 300}, {"headroom_months": (24, {"cheap": [30.0] * 50 +
                    [10.0] * 50, "dear": 30})})  # fmt: skip
    assert lanes_title(whole).startswith("“dear” ")
    assert "; “cheap” " in lanes_title(whole)


def test_the_dots_beyond_the_horizon_are_counted_and_not_the_others():
    assert [dots_words(*each) for each in ((3, 20), (0, 20), (1, 1))] == ["3 of 20", "0 of 20", ""]
