"""The panel without a browser: every question gets an answer the page can show."""

import json

import numpy as np
import pytest

from storagecalc.views.page.panel import Panel

SPEC = {
    "words": {"undo": "Undo"},
    "controls": [
        {"key": "growth", "label": "Growth", "unit": "per year", "value": 0.2},
        {"key": "lead_time", "label": "Lead time", "unit": "months", "value": 2},
    ],
    "texts": ["headline"],
}


def answer_for(values, settled):
    if values["growth"] > 1:
        raise ValueError(f"growth must be at most 1, got {values['growth']}")
    if values["growth"] < 0:
        raise ZeroDivisionError("a fault of ours")
    return {
        "texts": {"headline": f"{values['growth']} {'settled' if settled else 'moving'}"},
        "figures": {"held": {"data": [{"y": np.array([1.0, np.nan])}], "layout": {}}},
    }


@pytest.fixture
def panel():
    return Panel(spec=SPEC, answer_for=answer_for, save_values=lambda v: f"kept {v['growth']}")


def shown(panel):
    return json.loads(panel.answered)


def question(identity, growth, **more):
    return {"id": identity, "values": {"growth": growth, "lead_time": 2}, "settled": True, **more}


def test_it_starts_with_the_answer_for_the_values_of_the_spec(panel):
    assert shown(panel)["asked"] == 0
    assert shown(panel)["parts"]["headline"][0] == "0.2 settled"
    assert shown(panel)["values"] == {"growth": 0.2, "lead_time": 2}


def test_an_answer_is_plain_and_says_what_it_answers(panel):
    answer = panel.answer(question(7, 0.5, settled=False))
    assert answer["asked"] == 7
    assert answer["error"] is None
    assert answer["moving"] is True
    assert answer["parts"]["headline"][0] == "0.5 moving"
    assert answer["figures"]["held"]["data"][0]["y"] == [1.0, None]


def test_a_refused_value_becomes_its_message_and_nothing_else(panel):
    assert panel.answer(question(8, 2)) == {
        "asked": 8,
        "error": "growth must be at most 1, got 2",
    }


def test_a_question_from_the_page_is_answered_at_once(panel):
    panel.question = question(1, 0.4)
    assert shown(panel)["asked"] == 1
    panel.question = question(2, 3)
    assert shown(panel)["error"].startswith("growth must be at most 1")
    panel.question = question(3, 0.4)
    assert shown(panel)["error"] is None


def test_a_fault_of_ours_is_told_to_the_page_and_raised(panel):
    with pytest.raises(ZeroDivisionError):
        panel.question = question(4, -1)
    assert shown(panel)["asked"] == 4
    assert "a fault of ours" in shown(panel)["error"]


def test_saving_says_what_was_saved(panel):
    saved = panel.answer(question(5, 0.6, save=True))
    assert saved["status"] == "kept 0.6"
    assert "texts" not in saved
    without = Panel(spec=SPEC, answer_for=answer_for)
    assert without.answer(question(6, 0.6, save=True))["error"] == (
        "these settings cannot be saved from here"
    )


def test_what_a_notebook_stores_of_it_is_short_and_steady(panel):
    bundle = panel._repr_mimebundle_()[0]
    assert bundle["text/plain"] == "Panel(live page: run this cell to see it)"
    assert "application/vnd.jupyter.widget-view+json" in bundle
