"""Space in words: which figure each sentence tells, on figures that all differ."""

import math

import pytest
from study.decision.crafted import crafted
from views.figures import five, with_figures

from storagecalc import evaluate
from storagecalc.study.capacity.safety_margins import SafetyMargins
from storagecalc.views.text.capacity import (
    ladder_table,
    lasting_sentence,
    lasting_words,
    margin_sentence,
)

FIRST, LAST = five(1, 2, 3, 4, 5), five(11, 12, 13, 14, math.inf)
BOTH = {"capacity.first_fill_months": FIRST, "capacity.headroom_months": LAST}


def lasting(figures):
    evaluation = with_figures(figures)
    return lasting_words(evaluation, evaluation.builds[0])


def test_how_long_it_lasts_as_bought_and_with_every_step():
    """The median month, and between when in 8 of 10 futures."""
    assert lasting(BOTH) == (
        "As bought it is full in May 2027 (April 2027 to June 2027 in 8 of 10 futures); with all"
        " its own steps it is full in March 2028 (February 2028 to January 2029 or later in 8 of 10"
        " futures)."
    )


def test_what_does_not_grow_has_no_steps_to_tell_of():
    assert lasting({**BOTH, "capacity.grows": False}).endswith("June 2027 in 8 of 10 futures).")


@pytest.mark.parametrize(("p10", "p50", "full"), [(-1, 0, True), (0, 1, False)])
def test_it_is_full_from_the_start_where_half_of_the_futures_are(p10, p50, full):
    words = lasting({"capacity.first_fill_months": five(0, 0, p10, p50, 5)})
    assert words.startswith("As bought it is full from the start;") is full


def test_each_kind_of_caution_has_its_own_terabytes():
    margins = SafetyMargins(free_space_tb=11, percentile_tb=22, trigger_tb=33)
    evaluation = with_figures({"capacity.safety_margins": margins})
    assert margin_sentence(evaluation, evaluation.builds[0]) == (
        "Caution in the space of “a” as bought: 11 TB kept free so that it stays fast, 22 TB for"
        " futures with more footage than the middle of every range, and 33 TB still free when the"
        " next step is ordered."
    )


def test_how_long_it_lasts_names_the_alternative_first():
    evaluation = with_figures(BOTH)
    told = lasting_sentence(evaluation, evaluation.builds[0])
    assert told.startswith("“a”: as bought it is full in May 2027 (April 2027 to June 2027 in")
    assert told.endswith("; with all its own steps it is full in March 2028 (February 2028 to"
                         " January 2029 or later in 8 of 10 futures).")  # fmt: skip


@pytest.mark.parametrize(
    ("p50", "draws", "words"),
    [
        (math.inf, 100, "is not full before January 2029 in at least 50 of 100 futures (April"),
        (math.inf, 0, "is not full before January 2029;"),
        (4, 0, "is full in May 2027;"),
    ],
)
def test_what_is_not_full_within_the_horizon(p50, draws, words):
    whole = crafted({"a": 100, "b": 300}, draws=draws)
    months = five(1, 2, 3, p50, math.inf)
    evaluation = with_figures({"capacity.first_fill_months": months}, evaluation=whole)
    assert f"As bought it {words}" in lasting_words(evaluation, evaluation.builds[0])


def test_each_rung_tells_what_is_lost_on_it(demo):
    build = evaluate(demo).builds[0]
    ladder = build.capacity.ladder
    table = ladder_table(evaluate(demo))
    assert table.rows[0][1] == "128 TB"
    lost = ladder.nominal_tb - ladder.usable_tb
    assert lost == pytest.approx(2 * 16)
    assert table.rows[1][1] == "96 TB, 32 TB less"
