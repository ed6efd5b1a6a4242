"""What is said of lumps, a growing team and borrowed keep curves."""

from datetime import date

import pytest

from storagecalc import evaluate
from storagecalc.study.decision.cautions import KINDS, Caution
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.cautions import (
    NAMED_WORDS,
    WORDS,
    assumed_sentences,
    caution_sentences,
)

HOSTILE = "<b>\u202e=1+1</b>\n"


def told(scenario, words):
    return [said for said in caution_sentences(evaluate(scenario)) if words in said]


def test_lumps_are_told_in_words(demo):
    (said,) = told(demo.varied({"work.stage.jobs_per_month": 2.0}), "lumps")
    assert said.endswith(": “stage” by 79 %, with 2 jobs a month.")
    assert not told(demo, "lumps")


def test_a_shortage_is_told_in_words(demo):
    flood = {"from_date": date(2028, 3, 10), "months": {"low": 6, "middle": 12, "high": 24},
             "price_factor": 1.5, "probability_fraction": 0.3}  # fmt: skip
    scenario = demo.varied({"shortages": {"next_flood": flood}})
    (said,) = [each for each in caution_sentences(evaluate(scenario, draws=10)) if "flood" in each]
    assert said == (
        "The costs reckon with “next_flood”: from March 2028 on drives cost 1.5 times as much for"
        " about 12 months, in 30 of 100 futures."
    )
    assert not told(scenario, "reckon with")
    (said,) = told(scenario.varied({"shortages.next_flood.probability_fraction": 1}), "reckon with")
    assert said.endswith("12 months, at the middle of every range.")


def test_people_without_streams_are_told_with_the_month(demo):
    change = {"from_date": date(2029, 3, 1), "editors": 40}
    (said,) = told(demo.varied({"team.changes": [change]}), "More streams are played")
    assert all(f"“{build.name}”" in said for build in evaluate(demo).builds) or "all three" in said
    assert "from March 2029 on, 40 streams by 40 people; it carries" in said
    (said,) = told(demo.varied({"team.editors": 40}), "More streams are played")
    assert "from the start on, 40 streams" in said
    assert not told(demo, "More streams are played")


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
    raw["shortages"] = {HOSTILE: {"from_date": "2028-01-01", "months": 3, "price_factor": 2}}
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
        "“a” 8 years old, their class is replaced at 6 years",
    ),
    "worn-out box": ({"age_years": 9, "life_years": 7}, "“a” 9 years old, replaced at 7 years."),
    "not kept": (
        {"age_years": 9, "life_years": 7},
        "“a” 9 years old, replaced at 7 years. Write keeps_months",
    ),
    "desk link": (
        {"desk_mb_s": 117, "stream_mb_s": 250},
        "less than one stream: “a” 117 MB/s of 250 MB/s.",
    ),
    "circuit": ({"over_w": 120}, "more than its steady limit: “a” 120 W more."),
    "read error": (
        {"probability": 0.1, "rebuild_h": 40},
        "“a” 10,000 in 100,000 (40 hours each). It costs a file, not the box.",
    ),
    "rule orders too late": (
        {"by_date": date(2027, 6, 1), "late_fraction": 0.6, "order_point_fraction": 0.7},
        "after June 2027 in 60 of 100 futures, in time with order_at_fraction = 0.70. Write",
    ),
    "circuit later": (
        {"from_date": date(2028, 3, 1), "doubt_fraction": 0.2},
        "from March 2028 on in 20 of 100 futures. Ask",
    ),
    "too deep later": (
        {"from_date": date(2028, 3, 1), "doubt_fraction": None},
        "in March 2028 or before at the middle of every range.",
    ),
    "too many boxes": (
        {"boxes": 20, "most_fraction": 0.1},
        "more than 20 further boxes in 10 of 100 futures. What",
    ),
    "remedy": (
        {"cost": 900.0, "boxes": 1.0},
        "same footage: “a” EUR 900, 1 further box on average.",
    ),
    "weight": ({"weight_kg": 27}, "(limit 23 kg): “a” 27 kg. Take them out"),
}


@pytest.mark.parametrize("kind", FIGURES)
def test_each_figure_stands_where_its_words_are(kind, monkeypatch, demo):
    facts, words = FIGURES[kind]
    told_once = (Caution(kind=kind, build="a", facts=facts),)
    monkeypatch.setattr("storagecalc.views.text.cautions.cautions", lambda _: told_once)
    (said,) = caution_sentences(evaluate(demo))
    assert words in said


def named(kind, monkeypatch, demo, *each):
    told_of = tuple(Caution(kind=kind, build=build, facts=facts) for build, facts in each)
    monkeypatch.setattr("storagecalc.views.text.cautions.cautions", lambda _: told_of)
    return caution_sentences(evaluate(demo))


def test_one_caution_for_all_alternatives_is_told_once(monkeypatch, demo):
    """The example has three builds."""
    full = {"held_tb": 40.0, "plannable_tb": 30.0}
    told_of = [(name, full) for name in "abc"]
    (said,) = named("full from the start", monkeypatch, demo, *told_of)
    assert said == "Full from the first month: all three 40 TB held, 30 TB plannable as bought."
    (said,) = named("order at once", monkeypatch, demo, ("a", {}), ("b", {}))
    assert said.endswith("before the start: “a” and “b”. Start with more drives.")


def test_figures_that_differ_are_told_by_name_and_the_advice_once(monkeypatch, demo):
    weights = [("a", 27.0), ("b", 31.0), ("c", 27.0)]
    told_of = [(name, {"weight_kg": weight}) for name, weight in weights]
    (said,) = named("weight", monkeypatch, demo, *told_of)
    assert "(limit 23 kg): “a” and “c” 27 kg; “b” 31 kg. Take" in said
    assert said.count("Take the") == 1


def test_every_kind_has_words():
    assert {*WORDS, *NAMED_WORDS} == set(KINDS)


def test_what_can_hurt_or_lose_most_comes_first(demo):
    sentences = caution_sentences(evaluate(demo.varied({"place.breaker_a": 3})))
    assert sentences[0].startswith("A box is one copy")
    assert sentences[1].startswith("With all bays full the circuit would carry more than")
    assert sentences[-1].startswith("Every range stands at its middle")


def test_work_without_effect_is_told_in_words(demo):
    (said,) = told(demo.varied({"work.stage.start_date": "2060-05-01"}), "after the last month")
    assert said.startswith("“stage” starts in May 2060, after the last month looked at, so nothing")
