"""What matters most, in words: how far the gap and the needs move, and whose number it is."""

from dataclasses import replace

import pytest
from study.decision.crafted import crafted, lasts
from study.small import SMALL

from storagecalc import evaluate
from storagecalc.study.decision.sensitivity import influences
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.scenario.changes import changed_keys
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.sensitivity import (
    CHANGED_HEADING,
    SHOWN,
    check_passages,
    matters_table,
    matters_words,
)

CARE, RATE, KEPT = (
    "running.care_h_per_month",
    "network.stream_mbit_s",
    "keep.commissions.steps.0.keep_fraction",
)


@pytest.fixture(scope="module")
def drawn(demo):
    return evaluate(demo, draws=1_000)


def row(drawn, key, **values):
    """The row of one quantity, with figures one can read off it."""
    found = next(each for each in influences(drawn) if each.key == key)
    figures = {"gap_shift_cost": 1_230.4, "needs_shift_fraction": -0.284} | values
    (cells,) = matters_table(drawn, [replace(found, **figures)]).rows
    return cells


def test_a_range_of_the_file(drawn):
    assert row(drawn, KEPT) == (
        "Share still on the box, “commissions”, entry 1", "0.2 to 0.5", "EUR 1,230",
        "-28 of 100 futures", "your range", KEPT,
    )  # fmt: skip


def test_a_default_that_is_a_guess_and_a_number_of_the_file(drawn):
    assert row(drawn, CARE)[:2] == ("Care of the first box a month", "2.1 to 3.9 h")
    assert row(drawn, CARE)[4] == "a guess"
    wage = row(drawn, "running.labour_price_per_h")
    assert (wage[1], wage[4]) == ("33.6 to 62.4 EUR per h", "your number")


def test_what_moves_nothing_says_so(drawn):
    assert row(drawn, CARE, gap_shift_cost=0.3)[2] == "nothing"
    assert row(drawn, CARE, gap_shift_cost=-1_230.0)[2] == "EUR -1,230"
    assert row(drawn, CARE, needs_shift_fraction=0.004)[3] == "nothing"
    assert row(drawn, CARE, needs_shift_fraction=0.3)[3] == "+30 of 100 futures"


def test_the_head_names_what_moves(drawn):
    table = matters_table(drawn, influences(drawn))
    assert table.head[2:4] == ("moves the gap by", "moves needs met by")
    assert verdict(drawn).recommended.build.name in table.title
    alone = replace(drawn, builds=drawn.builds[:1])
    assert matters_table(alone, influences(alone)).head[2] == "moves all costs by"
    assert "The gap is" not in matters_words(alone)


def test_ten_at_first_and_all_when_asked(drawn):
    every = influences(drawn)
    assert len(every) > SHOWN
    few, all_of_them = matters_words(drawn), matters_words(drawn, everything=True)
    for each in every[:SHOWN]:
        assert each.key in few
    for each in every[SHOWN:]:
        assert each.key not in few
        assert each.key in all_of_them
    assert f"{len(every) - SHOWN} more" in few
    assert "more matter less" not in all_of_them
    other = verdict(drawn).nearest_other.name
    assert f"The gap is what “{other}” costs more" in few


def test_nothing_is_said_where_nothing_was_drawn(demo):
    assert matters_words(evaluate(demo)) == ""


def test_hostile_names_are_harmless(hostile):
    for passage in check_passages(hostile):
        for words in (passage.heading, *passage.sentences):
            assert words.isprintable()
            assert len(words) < 600
    drawn = evaluate(hostile.scenario, draws=20)
    table = matters_table(drawn, influences(drawn))
    for words in (table.title, *(cell for cells in table.rows for cell in cells)):
        assert words.isprintable()
        assert len(words) < 300


def test_keys_that_changed_are_told_once_each_and_last():
    point = evaluate(scenario_from({**SMALL, "needs": {"streams": 2}}, source="by hand"))
    last = check_passages(point)[-1]
    assert "changed" in last.heading
    (said,) = last.sentences
    keys = [each.key for each in changed_keys(point.scenario)]
    assert [said.count(key) for key in keys] == [1] * len(keys)
    assert len(keys) > 3
    assert "storagecalc keys" in said


def test_a_file_that_knows_the_changed_keys_is_not_told_of_them(drawn):
    assert changed_keys(drawn.scenario) == ()
    assert all(found.heading != CHANGED_HEADING for found in check_passages(drawn))


def test_the_gap_is_spoken_of_where_the_only_other_misses_the_needs():
    needs = {"headroom_months": (24, {"cheap": lasts(79), "dear": lasts(93)})}
    table = matters_table(crafted({"cheap": 1000, "dear": 1500}, needs), [])
    assert table.head[2] == "moves the gap by"
