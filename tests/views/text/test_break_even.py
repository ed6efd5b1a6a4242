"""What would change the decision, in words: values, sides and effects on crafted crossings."""

import pytest
from study.decision.crafted import crafted, lasts

from storagecalc.study.decision.break_even import BreakEven, Crossing
from storagecalc.study.scenario.quantity import entries
from storagecalc.views.text.break_even import (
    change_sentence,
    change_title,
    crossing_values,
    end_values,
    unchanged_sentence,
    unsettled_sentence,
)

RATE, PRICE = "discount_rate_per_year", "drives.ten.price"
NEEDS = {"headroom_months": (24, {"a": lasts(86), "b": lasts(92)}),
         "noise_dba": (38, {"a": 30, "b": 30})}  # fmt: skip


@pytest.fixture(scope="module")
def evaluation():
    """The first is recommended."""
    return crafted({"a": 100, "b": 300}, NEEDS)


def crossing(evaluation, value, side, *, chosen=0, meets=True, missed=(), met=()):
    return Crossing(value=value, side=side, recommended=evaluation.builds[chosen].alternative,
                    meets_needs=meets, missed_needs=missed, met_needs=met)  # fmt: skip


def moved(evaluation, key, ends, *crossings, unsettled=False):
    known = {entry.key: entry.quantity for entry in entries(evaluation.scenario)}
    low, today, high = ends
    return BreakEven(key=key, quantity=known[key], low=low, today=today, high=high,
                     crossings=crossings, unsettled=unsettled)  # fmt: skip


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ({"chosen": 1}, "we would recommend “b”"),
        ({"chosen": 1, "missed": ("noise_dba",)}, "we would recommend “b”"),
        ({"meets": False, "missed": ("noise_dba",)}, "“a” misses “noise at the nearest desk”"),
        (
            {"meets": False, "missed": ("noise_dba", "headroom_months")},
            "“a” misses “noise at the nearest desk” and “lasts before a new box is needed”",
        ),
        ({"met": ("headroom_months",)}, "“a” meets “lasts before a new box is needed”"),
        ({"meets": False}, "“a” meets all needs at once too seldom"),
        ({"meets": True}, "“a” meets all needs at once often enough"),
    ],
)
def test_what_happens_beyond_a_value(evaluation, what, words):
    found = moved(evaluation, PRICE, (70, 100, 130), crossing(evaluation, 123.4, "above", **what))
    assert change_sentence(found, evaluation) == f"Above 123 EUR {words}."


def test_the_nearest_is_told_with_its_side_and_shares_in_percent(evaluation):
    found = moved(
        evaluation,
        RATE,
        (0.02, 0.05, 0.09),
        crossing(evaluation, 0.0212, "below", chosen=1),
        crossing(evaluation, 0.0412, "below", meets=False),
        crossing(evaluation, 0.0612, "above", chosen=1),
    )
    assert change_sentence(found, evaluation) == (
        "Below 4.12 % “a” meets all needs at once too seldom."
    )
    assert crossing_values(found) == ["2.1", "4.1", "6.1"]
    assert end_values(found) == ["2", "9"]


def test_what_changes_nothing_says_between_which_values(evaluation):
    idle = moved(evaluation, RATE, (0.02, 0.05, 0.09))
    assert change_sentence(idle, evaluation) == "No value from 2 to 9 % changes it."


def test_the_title_names_what_changes_it_and_one_sentence_the_rest(evaluation):
    idle = moved(evaluation, RATE, (0.02, 0.05, 0.09))
    moves = moved(evaluation, PRICE, (70, 100, 130), crossing(evaluation, 80, "below", chosen=1))
    assert change_title([idle, moves]) == "What would change the decision"
    assert change_title([idle, idle]) == (
        "What would change the decision: none of the two that matter most"
    )
    assert unchanged_sentence([moves], evaluation) == ""
    assert unchanged_sentence([idle, moves], evaluation) == (
        "Nothing changes with Discount rate a year."
    )


def test_a_close_case_is_told_where_any_is_unsettled(evaluation):
    calm, close = (
        moved(evaluation, RATE, (0.02, 0.05, 0.09), unsettled=it) for it in (False, True)
    )
    assert unsettled_sentence([calm, calm]) == ""
    assert unsettled_sentence([calm, close]).startswith("It is a close case:")
