"""Needs in words: how much is asked, what an alternative gives, and by how much it misses."""

import pytest
from study.decision.crafted import crafted, lasts

from storagecalc import evaluate
from storagecalc.study.decision.needs import standings
from storagecalc.study.measures import NEEDS
from storagecalc.views.text.needs import (
    asked,
    close_table,
    close_title,
    given,
    needs_line,
    needs_table,
    short_by,
)

MISSED = [
    ("headroom_months", 60, "at least 5 years", " too short"),
    ("loss_probability", 1e-9, "at most 0.0001 in 100,000", " in 100,000, too likely"),
    ("streams", 11, "at least 11", " too few"),
    ("noise_dba", 30, "at most 30 dBA", " dB too loud"),
    ("depth_mm", 350, "at most 350 mm", "380 mm, 30 mm too deep"),
    ("upfront_cost", 5000, "at most EUR 5,000", " too much"),
    ("copies", 3, "at least three", "one, two too few"),
    ("cost_per_year", 6000, "at most EUR 6,000", " too much"),
]


@pytest.mark.parametrize(("need", "required", "wanted", "got"), MISSED)
def test_what_is_missed_says_by_how_much(demo, need, required, wanted, got):
    evaluation = evaluate(demo.varied({f"needs.{need}": required}))
    judged = next(each for each in standings(evaluation)[0].needs if each.need == need)
    assert not judged.met
    assert judged.shortfall == pytest.approx(abs(required - judged.value))
    assert asked(judged, evaluation) == wanted
    assert got in given(judged, evaluation)
    limit = wanted.replace("at most", "limit")
    assert short_by(judged, evaluation).endswith(f", {limit})")


def test_every_need_there_is_has_been_missed_in_words():
    assert {need for need, *_ in MISSED} == set(NEEDS)


def test_footage_that_fits_on_no_day_misses_by_all_that_is_asked(demo):
    changes = {"needs.headroom_months": 84, "work.stage.stored_today_tb": 200}
    evaluation = evaluate(demo.varied(changes))
    judged = standings(evaluation)[0].needs[0]
    assert asked(judged, evaluation) == "at least 7 years"
    assert given(judged, evaluation) == "0 months, 7 years too short"


def test_what_is_met_is_not_short(demo):
    evaluation = evaluate(demo)
    for need in standings(evaluation)[0].needs:
        assert need.shortfall == 0.0
        assert given(need, evaluation).endswith(", meets it")


def test_the_share_of_futures_stands_where_not_all_and_not_none_meet_it():
    needs = {"headroom_months": (24, {"a": lasts(86), "b": lasts(79), "c": lasts(100)})}
    table = needs_table(crafted({"a": 1, "b": 1, "c": 1}, needs))
    assert table.head == ("need", "asked", "a", "b", "c")
    assert table.rows == (
        (
            "lasts before a new box is needed", "at least 2 years",
            "not before January 2029, meets it (86 of 100)",
            "10 months, 1 year and 2 months too short (79 of 100)",
            "not before January 2029, meets it",
        ),
        (
            "all needs at once", "in 80 of 100 futures", "in 86 of 100 futures",
            "in 79 of 100 futures", "in all futures",
        ),
    )  # fmt: skip
    assert [mark[2:] for mark in table.marks] == [("good", "short", "good")] * 2


def test_without_draws_no_share_is_told():
    needs = {"noise_dba": (38, {"a": 41, "b": 35})}
    table = needs_table(crafted({"a": 1, "b": 1}, needs, draws=0))
    assert table.rows[0][2:] == ("41 dBA, 3 dB too loud", "35 dBA, meets it")
    assert table.rows[1][2:] == ("not met", "met")


def test_without_needs_there_is_no_row():
    assert needs_table(crafted({"a": 1})).rows == ()


SEVERAL = {
    "headroom_months": (24, {"a": lasts(86), "b": lasts(79), "c": lasts(100)}),
    "noise_dba": (38, {"a": 36, "b": 20, "c": 41}),
    "streams": (5, {"a": 9, "b": 9, "c": 9}),
}


def test_one_line_counts_the_needs_of_the_recommended_and_all_at_once():
    """A need counts where its own share reaches the confidence."""
    whole = crafted({"a": 300, "b": 100, "c": 200}, SEVERAL)
    assert needs_line(whole) == "3 of 3 needs met, all at once in 86 of 100 futures (80 asked)"
    alone = crafted({"b": 100}, {need: (asks, {"b": told["b"]}) for need, (asks, told) in
                                 SEVERAL.items()}, confidence=0.9)  # fmt: skip
    assert needs_line(alone) == "2 of 3 needs met, all at once in 79 of 100 futures (90 asked)"
    point = crafted({"a": 1}, {"noise_dba": (38, {"a": 36})}, draws=0)
    assert needs_line(point) == "1 of 1 needs met"
    assert needs_line(crafted({"a": 1})) == "No needs are stated in the file."


def test_close_calls_tell_shares_where_futures_differ_and_values_where_not():
    whole = crafted({"a": 300, "b": 100, "c": 200}, SEVERAL)
    table = close_table(whole)
    assert table.head == (
        "met in how many of 100 futures; 80 asked",
        "a",
        "b",
        "c",
    )
    assert table.rows == (
        ("lasts before a new box is needed, at least 2 years", "86", "79, missed",
         "not before January 2029"),
        ("noise at the nearest desk, at most 38 dBA", "36 dBA", "20 dBA", "41 dBA, missed"),
        ("all needs at once", "86", "79, missed", "0, missed"),
    )  # fmt: skip
    assert [mark[1:] for mark in table.marks] == [
        ("", "short", ""), ("", "", "short"), ("", "short", "short"),
    ]  # fmt: skip
    assert close_title(whole) == "Close calls: “b” and “c” miss needs too often."


def test_without_draws_close_calls_count_no_futures():
    noise = {"noise_dba": (38, {"a": 41, "b": 35})}
    table = close_table(crafted({"a": 1, "b": 1}, noise, draws=0))
    assert table.head[0] == "met in how many of 100 futures"
    assert table.rows[-1] == ("all needs at once", "missed", "met")


@pytest.mark.parametrize(
    ("noise", "title"),
    [
        (38, "Close calls: all meet the needs, these by no more than a tenth."),
        (20, "Close calls: none; every need is met by more than a tenth."),
    ],
)
def test_the_title_says_whether_anything_is_close(noise, title):
    whole = crafted({"a": 1, "b": 1}, {"noise_dba": (38, {"a": noise, "b": 20})})
    assert close_title(whole) == title
    assert bool(close_table(whole).rows) is (noise == 38)


def test_what_lasts_as_long_as_is_looked_ahead_ends_beyond_it():
    whole = crafted({"a": 1}, {"headroom_months": (12, {"a": 24})})
    assert given(standings(whole)[0].needs[0], whole) == "not before January 2029, meets it"


@pytest.mark.parametrize(
    ("most", "told"),
    [(1e-3, "fewer than 1 in 100,000, meets it"), (1e-9, "0.2 in 100,000, too likely")],
)
def test_a_rare_loss_is_told_in_parts_only_where_it_is_too_likely(most, told):
    whole = crafted({"a": 1}, {"loss_probability": (most, {"a": 2e-6})})
    assert given(standings(whole)[0].needs[0], whole) == told
