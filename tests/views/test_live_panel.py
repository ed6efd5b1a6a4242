"""The live panel of the decision: which sliders, what follows while one moves, what is judged."""

import re

import pytest
from views.page.walk import having, words_in

from storagecalc import evaluate, panel
from storagecalc.study.decision.sensitivity import deciding_sliders
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.sliders import moved
from storagecalc.views import notebook
from storagecalc.views.page import live as live_page
from storagecalc.views.text.decision import reason, recommendation

DRAWS = 150
DAYS, RATE = "work.stage.shoot_days_per_month", "discount_rate_per_year"
SHARE = "filling.free_fraction"
KEYS = [DAYS, RATE, SHARE]


@pytest.fixture
def counted(monkeypatch):
    """What has been evaluated, call by call."""
    calls = []

    def counting(scenario, **keys):
        calls.append(keys["draws"])
        return evaluate(scenario, **keys)

    for room in (notebook, live_page):
        monkeypatch.setattr(room, "evaluate", counting)
    return calls


@pytest.fixture
def live(demo):
    return panel(demo, quantities=KEYS, draws=DRAWS)


def starts(live):
    return {control["key"]: control["value"] for control in live.spec["controls"]}


def asked(live, *, settled=True, width=1000, **values):
    named = {key: values[key.rpartition(".")[2]] for key in starts(live)
             if key.rpartition(".")[2] in values}  # fmt: skip
    question = {"id": 1, "values": {**starts(live), **named}, "settled": settled, "width": width}
    return live.answer(question)


def text(answer, part):
    return " ".join(words_in(each) for each in answer["parts"][part])


def test_the_sliders_offered_are_those_that_decide_most(demo):
    live = panel(demo, draws=DRAWS)
    found = deciding_sliders(evaluate(demo, draws=DRAWS), notebook.PANEL_SLIDERS)
    assert list(starts(live)) == [each.key for each in found]
    assert 1 <= len(found) <= 6


def test_a_share_is_shown_and_typed_in_percent(demo, live):
    assert starts(live)[SHARE] == 15
    control = next(each for each in live.spec["controls"] if each["key"] == SHARE)
    assert control["unit"] == "%"
    answer = asked(live, free_fraction=20)
    assert answer["readouts"][SHARE] == "20 %"
    there = evaluate(moved(demo, {SHARE: 0.2}), draws=DRAWS)
    assert text(answer, "recommendation") == recommendation(there)
    assert text(answer, "reason") == reason(there)


def test_what_is_out_of_reach_is_told_at_its_field_in_the_words_of_its_label(live):
    answer = asked(live, free_fraction=140, discount_rate_per_year=6)
    assert set(answer["faults"]) == {SHARE}
    label = next(each["label"] for each in live.spec["controls"] if each["key"] == SHARE)
    assert answer["faults"][SHARE] == f"{label} must be from 0 % to 50 %, got 140 %."
    assert answer["error"] == answer["faults"][SHARE]
    assert "parts" not in answer


def test_a_settled_answer_is_the_evaluation_itself(demo, live):
    answer = asked(live)
    whole = evaluate(demo, draws=DRAWS)
    assert text(answer, "recommendation") == recommendation(whole)
    assert answer["moving"] is False
    assert {"builds", "years", "ladder", "needs", "lanes", "gap"} <= set(answer["parts"])


def test_while_a_slider_moves_the_pictures_follow_and_sentences_wait(demo, counted, live):
    moving = asked(live, settled=False, shoot_days_per_month=6)
    assert set(moving["parts"]) == {"lanes", "gap"}
    assert moving["moving"] is True
    assert moving["readouts"][DAYS] == "6 days"
    assert counted == [DRAWS, live_page.DRAWS_WHILE_MOVING]
    few = panel(demo, quantities=KEYS, draws=40)
    asked(few, settled=False, shoot_days_per_month=6)
    assert counted[-2:] == [40, 40]


def test_letting_go_judges_anew_and_asking_again_evaluates_nothing(counted, live):
    first, again = asked(live), asked(live)
    assert first["parts"] == again["parts"]
    assert counted == [DRAWS]
    there = asked(live, shoot_days_per_month=9)
    assert counted == [DRAWS, DRAWS]
    asked(live, width=400, shoot_days_per_month=9)
    assert counted == [DRAWS, DRAWS]
    assert there["parts"]["needs line"] != first["parts"]["needs line"]
    back = asked(live)
    assert counted == [DRAWS] * 3
    assert back["parts"]["recommendation"] == first["parts"]["recommendation"]


def test_what_was_recommended_stays_while_a_slider_moves(demo, monkeypatch):
    """A hundred futures would advise the other; the last settled verdict stays until let go."""
    live = panel(demo, quantities=KEYS, draws=DRAWS)
    first = verdict(evaluate(demo, draws=DRAWS)).recommended.build.key
    seen = []
    taken = live_page.panel_answer
    monkeypatch.setattr(
        live_page,
        "panel_answer",
        lambda shown, *more: (
            seen.append(verdict(shown).recommended.build.key) or taken(shown, *more)
        ),
    )
    changes = next(
        days for days in (12, 14, 16, 18, 2, 1)
        if verdict(evaluate(moved(demo, {DAYS: days}), draws=DRAWS)).recommended.build.key != first
    )  # fmt: skip
    asked(live, settled=False, shoot_days_per_month=changes)
    assert seen == [first]
    answer = asked(live, shoot_days_per_month=changes)
    there = evaluate(moved(demo, {DAYS: changes}), draws=DRAWS)
    assert text(answer, "recommendation") == recommendation(there)
    asked(live, settled=False, shoot_days_per_month=starts(live)[DAYS])
    assert seen[-1] == verdict(there).recommended.build.key != first


def test_axes_stay_where_a_move_fits_them_and_follow_where_it_does_not(live):
    knows = live._answer_for.__self__
    before = knows._frames
    asked(live, settled=False, discount_rate_per_year=starts(live)[RATE] + 0.5)
    assert knows._frames == before
    asked(live, settled=False, shoot_days_per_month=20)
    assert knows._frames != before


def test_the_pictures_are_as_wide_as_the_page_leaves_them(live):
    wide, narrow, usual = (asked(live, width=width) for width in (1300, 390, 0))
    widths = [float(having(answer["parts"]["lanes"][0], "svg")[0][1]["viewBox"].split()[2])
              for answer in (wide, narrow, usual)]  # fmt: skip
    assert widths == [984, 370, 734]


def test_what_stands_in_for_it_is_the_verdict_and_one_picture_that_runs_nothing(demo):
    whole = evaluate(demo, draws=DRAWS)
    told = notebook.still(whole)
    assert re.findall(r"<(\w+)", told) == ["div", "p", "b", "p", "b", "img"]
    (alt,) = re.findall(r'alt="([^"]+)"', told)
    assert len(alt) > 40
    assert re.findall(r'src="([^"]{26})', told) == ["data:image/svg+xml;base64,"]
    assert recommendation(whole) in told
    assert "http" not in told.replace("http://www.w3.org/2000/svg", "")


def test_names_in_what_stands_in_for_it_stay_text(hostile):
    told = notebook.still(hostile)
    assert set(re.findall(r"<(\w+)", told)) == {"div", "p", "b", "img"}


@pytest.mark.parametrize("share", [0, 50])
def test_the_ends_of_what_is_plausible_are_within_reach(live, share):
    answer = asked(live, settled=False, free_fraction=share)
    assert answer["error"] is None
    assert answer["readouts"][SHARE] == f"{share} %"


def test_a_best_plan_stays_while_a_slider_moves_and_follows_when_it_is_let_go(demo, monkeypatch):
    raw = demo.as_written()
    raw["builds"]["planned"] = {**raw["builds"]["eight_in_steps"], "plan": "best", "name": "plan"}
    live = panel(scenario_from(raw, source="planned"), quantities=[DAYS], draws=DRAWS)
    plans = []

    def kept(scenario, **keys):
        plans.append(keys.get("plans"))
        found = evaluate(scenario, **keys)
        plans.append(found.plans["planned"])
        return found

    monkeypatch.setattr(live_page, "evaluate", kept)
    asked(live, settled=False, shoot_days_per_month=9)
    asked(live, settled=True, shoot_days_per_month=9)
    (given, moving), (anew, settled) = plans[:2], plans[2:]
    assert given is not None
    assert moving == given["planned"]
    assert anew is None
    assert settled.line_tb_by_month > moving.line_tb_by_month
