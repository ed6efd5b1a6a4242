"""What is said of lumps, a growing team and borrowed keep curves."""

from datetime import date

import pytest

from storagecalc import evaluate
from storagecalc.study.decision.cautions import Caution
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.cautions import assumed_sentences, caution_sentences

HOSTILE = "<b>\u202e=1+1</b>\n"


def told(scenario, words):
    return [said for said in caution_sentences(evaluate(scenario)) if words in said]


def test_lumps_are_told_in_words(demo):
    (said,) = told(demo.varied({"work.stage.jobs_per_month": 2.0}), "lumps")
    assert said.startswith("“stage” comes in lumps: with 2 jobs a month")
    assert "79 %" in said
    assert not told(demo, "lumps")


def test_people_without_streams_are_told_with_the_month(demo):
    change = {"from_date": date(2029, 3, 1), "editors": 40}
    said = told(demo.varied({"team.changes": [change]}), "more streams are played")
    assert len(said) == len(demo.builds)
    assert all("from March 2029 on, more streams are played than it carries" in s for s in said)
    assert all("40 people play" in s for s in said)
    assert (
        "from the start on" in told(demo.varied({"team.editors": 40}), "more streams are played")[0]
    )
    assert not told(demo, "more streams are played")


def test_a_borrowed_keep_curve_is_an_assumption(demo):
    raw = demo.varied({"keep.own_films": {"like": "archive after a year", "rest_goes_to": "vault"}})
    said = assumed_sentences(evaluate(raw))[0]
    assert said.startswith("keep rule “own_films” is like “archive after a year”: 5 % stay from 12")
    assert "(the rest to “vault”)" in said
    assert "invented example. To find out:" in said
    kept = assumed_sentences(evaluate(demo.varied({"keep.own_films": {"like": "everything kept"}})))
    assert "all stays; common practice, no source." in kept[0]


def test_hostile_names_are_inert(demo):
    raw = demo.as_written()
    raw["work"][HOSTILE] = {**raw["work"].pop("stage"), "jobs_per_month": 2}
    raw["keep"][HOSTILE] = {"like": "archive after a year", "rest_goes_to": HOSTILE}
    raw["elsewhere"][HOSTILE] = dict(raw["elsewhere"]["vault"])
    result = evaluate(scenario_from(raw, source="hostile"))
    for said in [*caution_sentences(result), *assumed_sentences(result)]:
        assert "\u202e" not in said
        assert "\n" not in said


FIGURES = {
    "full from the start": (
        {"held_tb": 40.0, "plannable_tb": 30.0},
        "40 TB held, 30 TB plannable",
    ),
    "worn-out drives": (
        {"age_years": 8, "life_years": 6},
        "are 8 years old and their class is replaced at 6:",
    ),
    "worn-out box": ({"age_years": 9, "life_years": 7}, "is 9 years old and is replaced at 7:"),
    "desk link": (
        {"desk_mb_s": 117, "stream_mb_s": 250},
        "carries 117 MB/s, less than one stream of 250 MB/s",
    ),
    "circuit": ({"over_w": 120}, "carry 120 W more than its steady limit"),
    "read error": (
        {"probability": 0.1, "rebuild_h": 40},
        "file is 1 in 10 by the data sheet's limit. It costs a file, not the box. A rebuild takes"
        " about 40 hours",
    ),
    "rule orders too late": (
        {"by_date": date(2027, 6, 1), "late_fraction": 0.6, "order_point_fraction": 0.7},
        "later than June 2027 in 60 of 100 futures. Write order_at_fraction = 0.70,",
    ),
    "circuit later": (
        {"from_date": date(2028, 3, 1), "doubt_fraction": 0.2},
        "from March 2028 on, in 20 of 100 futures. Ask",
    ),
    "too deep later": (
        {"from_date": date(2028, 3, 1), "doubt_fraction": None},
        "in March 2028 or before, at the middle of every range.",
    ),
    "too many boxes": (
        {"boxes": 20, "most_fraction": 0.1},
        "more than 20 further boxes in 10 of 100 futures;",
    ),
    "remedy": ({"cost": 900.0, "boxes": 1.0}, "EUR 900 of its mean cost"),
    "weight": ({"weight_kg": 27}, "about 27 kg"),
}


@pytest.mark.parametrize("kind", FIGURES)
def test_each_figure_stands_where_its_words_are(kind, monkeypatch, demo):
    facts, words = FIGURES[kind]
    told_once = (Caution(kind=kind, build="a", facts=facts),)
    monkeypatch.setattr("storagecalc.views.text.cautions.cautions", lambda _: told_once)
    (said,) = caution_sentences(evaluate(demo))
    assert said.startswith("“a”: ")
    assert words in said


def test_work_without_effect_is_told_in_words(demo):
    (said,) = told(demo.varied({"work.stage.start_date": "2060-05-01"}), "after the last month")
    assert said.startswith("“stage” starts in May 2060, after the last month looked at, so nothing")
