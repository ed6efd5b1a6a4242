"""What decides, in words: the share, from where to where, and whether anybody said so."""

import math
from dataclasses import replace

import pytest
from study.small import SMALL

from storagecalc import evaluate
from storagecalc.study.decision.sensitivity import Effect, effects
from storagecalc.study.scenario.changes import changed_keys
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.sensitivity import (
    BEYOND,
    CHANGED_HEADING,
    SHOWN,
    check_passages,
    effect_sentence,
)


@pytest.fixture(scope="module")
def point(demo):
    return evaluate(demo)


def made_up(point, key, **values) -> Effect:
    """An effect of the demo with figures one can read off the sentence."""
    found = next(effect for effect in effects(point) if effect.key == key)
    figures = {
        "cost_from": 20_000.0, "cost_to": 26_000.0, "cost_share_fraction": 0.12,
        "headroom_months_from": 42.0, "headroom_months_to": 30.0, "headroom_share_fraction": 0.4,
    }  # fmt: skip
    return replace(found, **figures | values)


def test_a_range_of_the_file(point):
    effect = made_up(point, "keep.own_films.steps.0.keep_fraction")
    assert effect_sentence(effect, point) == (
        "Share still on the box, “own films”, entry 1 [keep.own_films.steps.0.keep_fraction]"
        ": 40 % of the spread in headroom (3 years and 6 months to 2 years and 6 months)"
        " and 12 % of the spread in all costs (EUR 20,000 to EUR 26,000); you gave it as 0.35 to"
        " 0.7."
    )


def test_a_default_that_is_a_guess(point):
    sentence = effect_sentence(made_up(point, "running.care_h_per_month"), point)
    assert sentence.startswith("Care of the first box a month [running.care_h_per_month]: ")
    assert sentence.endswith("not in your file; the default is a guess, tried from 2.1 to 3.9 h.")


def test_what_decides_nothing_is_not_mentioned(point):
    effect = made_up(point, "running.care_h_per_month", headroom_share_fraction=0.0)
    assert "headroom" not in effect_sentence(effect, point)


def test_headroom_without_an_end(point):
    effect = made_up(point, "running.care_h_per_month", headroom_months_from=math.inf)
    assert "(beyond the horizon to 2 years and 6 months)" in effect_sentence(effect, point)


def test_five_at_most_and_what_was_left_out(point):
    passage = check_passages(point)[0]
    assert 1 <= len(passage.sentences) <= SHOWN
    assert "Counts, dates and your own choices are left out" in passage.closing
    fills = any(math.isfinite(months) for e in effects(point) for months in e.headroom_ends)
    assert passage.closing.startswith(BEYOND) is not fills


def test_hostile_names_are_harmless(hostile):
    for passage in check_passages(hostile):
        for words in (passage.heading, *passage.sentences, passage.closing):
            assert words.isprintable()
            assert len(words) < 600


def test_keys_that_changed_are_told_once_each_and_last():
    point = evaluate(scenario_from({**SMALL, "needs": {"streams": 2}}, source="by hand"))
    last = check_passages(point)[-1]
    assert "changed" in last.heading
    (said,) = last.sentences
    keys = [each.key for each in changed_keys(point.scenario)]
    assert [said.count(key) for key in keys] == [1] * len(keys)
    assert len(keys) > 3
    assert "storagecalc keys" in said


def test_a_file_that_knows_the_changed_keys_is_not_told_of_them(point):
    assert changed_keys(point.scenario) == ()
    assert all(found.heading != CHANGED_HEADING for found in check_passages(point))
