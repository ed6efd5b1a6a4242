"""The owner's page: its positions are evaluations, today's is the one that was given."""

import math

import pytest
from views.page.walk import parts_of, words_in

from storagecalc import evaluate
from storagecalc.study.decision.verdict import difference_by_year, verdict
from storagecalc.study.scenario.sliders import moved
from storagecalc.views.notebook import owners_page
from storagecalc.views.page.grid import grid_answer, grid_values
from storagecalc.views.page.passage import REPORT_VARIABLE
from storagecalc.views.text.answers import four_answers
from storagecalc.views.text.decision import reason, recommendation
from storagecalc.views.text.difference import year_parts

PLACES, DRAWS = 3, 60


@pytest.fixture(scope="module")
def whole(demo):
    return evaluate(demo, draws=250)


@pytest.fixture(scope="module")
def page(whole):
    return owners_page(whole, places=PLACES, draws=DRAWS)


def controls(page):
    return {each["key"]: each for each in page.spec["controls"]}


def at(page, **values):
    start = {key: each["value"] for key, each in controls(page).items()}
    return grid_answer(page.grid, {**start, **values})


def text(answer, part):
    return " ".join(words_in(each) for each in answer["parts"][part])


def test_two_sliders_go_from_end_to_end_with_today_between(page):
    assert len(page.grid["axes"]) == 2
    for axis in page.grid["axes"]:
        control = controls(page)[axis["key"]]
        assert len(axis["values"]) == PLACES
        assert (axis["values"][0], axis["values"][-1]) == (control["min"], control["max"])
        assert control["value"] in axis["values"]


def test_today_is_the_evaluation_itself_with_all_its_futures(page, whole):
    answer = at(page)
    assert text(answer, "recommendation") == recommendation(whole)
    assert text(answer, "reason") == reason(whole)
    for name, told in four_answers(whole).items():
        for part in ("label", "value", "note"):
            assert text(answer, f"{name} {part}") == getattr(told, part)
    assert text(answer, "what if") == ""
    assert "mean of 250 futures" in text(answer, "basis")


def test_every_position_is_what_a_slider_there_means(page, whole, demo):
    """Each end of each slider, the other as it is today: the futures of the report, fewer."""
    for axis in page.grid["axes"]:
        control = controls(page)[axis["key"]]
        for end in (axis["values"][0], axis["values"][-1]):
            answer = at(page, **{axis["key"]: end})
            value = end / 100 if control["unit"] == "%" else end
            alone = evaluate(moved(demo, {axis["key"]: value}), draws=DRAWS, seed=whole.seed)
            assert text(answer, "recommendation") == recommendation(alone)
            assert text(answer, "over value") == four_answers(alone)["over"].value
            assert text(answer, "what if").startswith(
                f"What if, not as planned: {control['label']}"
            )
            assert answer["readouts"][axis["key"]] in text(answer, "what if")


def test_what_would_change_it_is_that_of_today_wherever_a_slider_stands(page):
    fixed = [part for part in parts_of(page.spec["page"])
             if part.split()[0] in ("change", "track", "unchanged", "slide")]  # fmt: skip
    assert len(fixed) > 4
    today = at(page)
    for values in grid_values(page.grid["axes"]):
        answer = grid_answer(page.grid, values)
        for part in fixed:
            assert answer["parts"][part] == today["parts"][part]


def test_the_bars_of_the_years_add_up_to_the_mean_difference(whole):
    parts = year_parts(whole.scenario, verdict(whole))
    assert sum(parts.amounts[:-1]) == pytest.approx(parts.amounts[-1])
    found = verdict(whole)
    years, worth = difference_by_year(found.recommended.build, found.nearest_other)
    assert parts.amounts[-1] == pytest.approx(math.fsum([*years, worth]), rel=0.005)
    assert len(parts.amounts) == len(years) + 2
    for told, exact in zip(parts.amounts, [*years, worth], strict=False):
        assert told == pytest.approx(exact, abs=0.01 * abs(parts.amounts[-1]) + 1)


def test_in_a_report_it_stands_filled_before_any_script_runs(page, whole, monkeypatch):
    monkeypatch.setenv(REPORT_VARIABLE, "1")
    fragment = page._repr_mimebundle_()["text/html"]
    still = fragment.partition("<script")[0]
    assert recommendation(whole) in still
    assert still.count("<svg") == 3 + 2 + 2
    assert fragment.count("<script") == 1
