"""The panel without a browser: every question gets an answer the page can show."""

import json

import numpy as np
import pytest
from views.page.walk import parts_of

from storagecalc.views.page.panel import Panel, WrongValueError

SPEC = {
    "words": {"undo": "Undo"},
    "controls": [
        {"key": "growth", "label": "Growth", "unit": "per year", "value": 0.2},
        {"key": "lead_time", "label": "Lead time", "unit": "months", "value": 2},
    ],
    "texts": ["headline"],
}


def answer_for(values, settled, width_px):
    if values["growth"] > 1 and values["lead_time"] > 1:
        raise WrongValueError({"growth": "Growth must be at most 1.", "lead_time": "Too long."})
    if values["growth"] > 1:
        raise ValueError(f"growth must be at most 1, got {values['growth']}")
    if values["growth"] < 0:
        raise ZeroDivisionError("a fault of ours")
    return {
        "texts": {
            "headline": f"{values['growth']} {'settled' if settled else 'moving'}",
            "width": f"{width_px:g}",
        },
        "figures": {"held": {"data": [{"y": np.array([1.0, np.nan])}], "layout": {}}},
    }


@pytest.fixture
def panel():
    return Panel(spec=SPEC, answer_for=answer_for, save_values=lambda v: f"kept {v['growth']}")


def shown(panel):
    return json.loads(panel.answered)


def question(identity, growth, *, lead_time=2, **more):
    values = {"growth": growth, "lead_time": lead_time}
    return {"id": identity, "values": values, "settled": True, **more}


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
    assert panel.answer(question(8, 2, lead_time=1)) == {
        "asked": 8,
        "error": "growth must be at most 1, got 2",
    }


def test_wrong_values_are_told_by_the_field_they_stand_in(panel):
    assert panel.answer(question(9, 2)) == {
        "asked": 9,
        "error": "Growth must be at most 1.\nToo long.",
        "faults": {"growth": "Growth must be at most 1.", "lead_time": "Too long."},
    }


def test_the_width_of_the_page_is_handed_on(panel):
    assert panel.answer(question(10, 0.5, width=812.5))["parts"]["width"] == ["812.5"]
    assert panel.answer(question(11, 0.5))["parts"]["width"] == ["0"]


def test_the_page_brings_its_elements_along(panel):
    assert parts_of(panel.spec["page"]) == ["headline", "track growth", "track lead_time"]


@pytest.mark.parametrize("still", ["<p>still</p>", ""])
def test_what_stands_in_for_it_is_shown_first(monkeypatch, still):
    shown = []
    monkeypatch.setattr("IPython.display.display", lambda data, **more: shown.append((data, more)))
    panel = Panel(spec=SPEC, answer_for=answer_for, still=still)
    panel._ipython_display_()
    *first, (live, told) = shown
    assert "application/vnd.jupyter.widget-view+json" in live
    assert told["raw"] is True
    assert [data["text/html"] for data, _ in first] == ([still] if still else [])
    assert all(data["text/plain"] == repr(panel) for data, _ in first)


def test_a_question_from_the_page_is_answered_at_once(panel):
    panel.question = question(1, 0.4)
    assert shown(panel)["asked"] == 1
    panel.question = question(2, 3, lead_time=1)
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
