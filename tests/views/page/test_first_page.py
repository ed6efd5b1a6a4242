"""The owner's page: every place is filled, every text has a place, pictures in all widths."""

from dataclasses import replace

import pytest
from study.decision.crafted import crafted
from views.page.walk import elements, having, parts_of, words_in

from storagecalc import evaluate
from storagecalc.study.decision.break_even import Crossing, break_evens
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.sliders import sliders
from storagecalc.views.charts.difference import GapFrame
from storagecalc.views.charts.lanes import LanesFrame
from storagecalc.views.page.first_page import (
    HALF_WIDTHS_PX,
    WIDTHS_PX,
    change_parts,
    fitting_frames,
    owners_answer,
    owners_layout,
    page_frames,
    plan_part,
)
from storagecalc.views.text.break_even import unchanged_sentence
from storagecalc.views.text.decision import reason, recommendation
from storagecalc.views.text.difference import gap_title, years_key, years_title
from storagecalc.views.text.first_page import small_lines, what_if
from storagecalc.views.text.lanes import lanes_key, lanes_title
from storagecalc.views.text.needs import close_title
from storagecalc.views.text.page import WORDS, control_words
from storagecalc.views.text.plan import plan_table, sureness_sentences

SLIDING, STILL, IDLE = "place.desk_m", "discount_rate_per_year", "running.care_h_per_month"
# What only a report has, which puts its own cells there.
SLOTS = {"plan", "causes"}


@pytest.fixture(scope="module")
def found(drawn):
    """One that slides and changes nothing, one with a bar, one that is told in a sentence."""
    sliding, still, idle = break_evens(drawn, [SLIDING, STILL, IDLE])
    there = Crossing(value=still.high, side="above", recommended=drawn.builds[0].alternative,
                     meets_needs=False, missed_needs=(), met_needs=())  # fmt: skip
    return (
        replace(sliding, crossings=()),
        replace(still, crossings=(there,)),
        replace(idle, crossings=()),
    )


@pytest.fixture(scope="module")
def layout(demo, found):
    (slider,) = sliders(demo, [SLIDING])
    return owners_layout({"words": WORDS, "controls": [control_words(slider, demo)]}, found)


@pytest.fixture(scope="module")
def answer(drawn):
    return owners_answer(drawn, page_frames([drawn]))


@pytest.fixture(scope="module")
def told(drawn, found, answer):
    """By part: all that a position of the report sends."""
    texts, bars = change_parts(drawn, found, [SLIDING])
    return {**answer["texts"], **texts, "what if": what_if(drawn, (), {}), **answer["drawings"],
            **bars, **answer["tables"]}  # fmt: skip


def test_every_place_is_filled_and_every_text_has_its_place(layout, told, found):
    places = parts_of(layout)
    assert len(places) == len(set(places))
    # What changes nothing and does not slide is told in the one sentence.
    in_one = {f"{part} {found[2].key}" for part in ("change", "label", "unit", "today")}
    assert set(places) - SLOTS == set(told) - in_one
    empty = [name for name in set(places) - SLOTS if not told[name]]
    assert set(empty) <= {"what if", "unsettled"}


def test_the_decision_is_read_first_and_signed_last_on_the_first_screen(layout):
    first = layout[2][0]
    assert first[1]["class"] == "sc-first"
    answers = [f"{name} {part}" for name in ("pay now", "over", "next order", "main risk")
               for part in ("label", "value", "note")]  # fmt: skip
    assert parts_of(first) == [
        "small", "basis", "what if", "recommendation", "reason", *answers, "lanes title",
        "lanes key", "lanes",
    ]  # fmt: skip
    assert first[2][-1][1]["class"] == "sc-sign"
    (heading,) = having(layout, "h1")
    assert heading[1]["data-part"] == "recommendation"


def test_a_row_slides_or_has_a_bar_of_its_own(layout, found):
    rows = having(layout, class_="sc-row")
    assert len(rows) == 2
    sliding, still = rows
    assert sliding[1]["data-control"] == SLIDING
    (slider,) = having(sliding, "input", type="range")
    (says,) = having(sliding, id=slider[1]["aria-describedby"])
    assert says[1]["data-part"] == f"change {SLIDING}"
    assert having(sliding, "label")[0][1]["for"] == slider[1]["id"]
    assert not having(still, "input")
    assert f"today {found[1].key}" in parts_of(still)


def test_without_sliders_there_is_nothing_to_put_back(found):
    still = owners_layout({"words": WORDS, "controls": []}, found)
    assert not having(still, "button")
    assert not having(still, "input")
    assert "slide" not in parts_of(still)


def test_the_words_of_what_would_change_it(drawn, found):
    texts, bars = change_parts(drawn, found, [SLIDING])
    assert texts["slide"]
    assert change_parts(drawn, found, [])[0]["slide"] == ""
    assert texts[f"label {STILL}"].startswith("Discount rate")
    assert texts[f"unit {STILL}"] == "%"
    assert texts[f"today {STILL}"] == "6 %"
    assert f"label {SLIDING}" not in texts
    assert set(bars) == {f"track {SLIDING}", f"track {STILL}"}
    # The slider's own thumb shows today.
    assert not having(["div", {}, bars[f"track {SLIDING}"]], class_="sc-today")
    assert having(["div", {}, bars[f"track {STILL}"]], class_="sc-today")


@pytest.mark.parametrize(
    ("part", "widths"), [("lanes", WIDTHS_PX), ("years", HALF_WIDTHS_PX), ("gap", HALF_WIDTHS_PX)]
)
def test_each_picture_is_drawn_for_a_phone_and_for_wider_pages(answer, part, widths):
    drawings = answer["drawings"][part]
    assert [each[1]["class"] for each in drawings] == [f"sc-w{width}" for width in widths]
    for each, width in zip(drawings, widths, strict=True):
        assert each[0] == "svg"
        assert float(each[1]["viewBox"].split()[2]) == width
        assert each[1]["role"] == "img"
        assert each[1].get("aria-label") or having(each, "title")


def test_where_there_is_no_other_nothing_is_compared():
    alone = crafted({"a": 100})
    answer = owners_answer(alone, page_frames([alone]))
    assert answer["drawings"]["years"] == answer["drawings"]["gap"] == []
    assert answer["drawings"]["lanes"]
    assert "nothing to compare" in answer["texts"]["gap title"]


def test_what_may_go_wrong_is_a_list_of_at_most_four(answer):
    told = answer["drawings"]["worries"]
    assert 1 <= len(told) <= 4
    assert {each[0] for each in told} == {"li"}
    assert all(words_in(each).endswith(".") for each in told)


def test_axes_stay_while_all_fits_them_and_are_made_anew_where_it_does_not(demo, drawn):
    frames = page_frames([drawn])
    assert fitting_frames(drawn, frames) == frames
    dear = evaluate(demo.varied({"drives.tb16.price": 4000}), draws=50)
    fitted = fitting_frames(dear, frames)
    assert fitted["gap"] == page_frames([dear])["gap"] != frames["gap"]
    # Frames for both hold either.
    both = page_frames([drawn, dear])
    assert fitting_frames(dear, both) == fitting_frames(drawn, both) == both


def test_names_stay_text(hostile):
    answer = owners_answer(hostile, page_frames([hostile]))
    names = {each[0] for drawn in answer["drawings"].values() for tree in drawn
             for each in elements(tree)}  # fmt: skip
    assert names.isdisjoint({"script", "img", "b", "i", "foreignObject", "a"})


def test_only_the_axis_that_does_not_fit_is_made_anew(drawn):
    """An axis far too short, and one far too long, beside one that fits."""
    own = page_frames([drawn])
    for top_tb in (1.0, 1e6):
        frames = {**own, "lanes": LanesFrame(top_tb=top_tb, step_tb=1.0)}
        assert fitting_frames(drawn, frames) == own
    gap = GapFrame(low_cost=-1.0, high_cost=1.0, step_cost=1.0)
    assert fitting_frames(drawn, {**own, "gap": gap}) == own


def test_each_place_says_what_it_is_called(drawn, answer):
    texts = answer["texts"]
    functions = {
        "recommendation": recommendation, "reason": reason, "lanes title": lanes_title,
        "lanes key": lanes_key, "years title": years_title, "years key": years_key,
        "gap title": gap_title, "close title": close_title,
    }  # fmt: skip
    assert {name: texts[name] for name in functions} == {
        name: words(drawn) for name, words in functions.items()
    }
    assert len({texts[name] for name in functions}) == len(functions)
    assert (texts["small"], texts["basis"]) == small_lines(drawn)


def test_only_the_nearest_other_has_dots_on_the_page(drawn, answer):
    nearest = verdict(drawn).nearest_other.key
    for each in answer["drawings"]["gap"]:
        lanes = [part[1]["data-lane"] for part in elements(each) if "data-lane" in part[1]]
        assert lanes == [nearest]


def test_a_bar_without_slider_shows_todays_value(drawn, found):
    there = replace(found[1], low=0.01, today=0.07, high=0.2)
    assert change_parts(drawn, [there], [])[0][f"today {STILL}"] == "7 %"


def test_what_slides_is_not_told_among_what_changes_nothing(drawn, found):
    texts, _ = change_parts(drawn, found, [SLIDING])
    assert texts["unchanged"] == unchanged_sentence([found[2]], drawn)


def test_a_plan_has_its_title_its_table_and_how_sure_it_is(demo):
    raw = demo.as_written()
    raw["builds"]["planned"] = {**raw["builds"]["eight_in_steps"], "plan": "best", "name": "plan"}
    evaluation = evaluate(scenario_from(raw, source="planned"), draws=50)
    (parts,) = plan_part(evaluation).values()
    table = plan_table(evaluation)
    words = [words_in(part) for part in parts]
    assert words[0] == table.title
    assert all(cell in words[1] for row in table.rows for cell in row)
    assert table.title not in words[1]
    assert words[2:] == sureness_sentences(evaluation)


def test_without_a_plan_its_place_stays_empty(drawn):
    assert plan_part(drawn) == {}
