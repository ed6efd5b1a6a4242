"""What a page is built of: names and labels of controls, heads and sides of tables."""

import pytest
from views.page.walk import elements, having, parts_of, words_in

from storagecalc.views.page.layout import (
    buttons,
    control_box,
    place,
    plain_page,
    settings,
    slider_track,
    table_node,
)
from storagecalc.views.page.page import with_layout

GROWTH = {"key": "growth", "label": "Growth", "unit": "% a year", "status": "a guess:",
          "ends": ["2", "40"], "help": "Ask around.",
          "wrong": "Growth: write one number"}  # fmt: skip
LEAD = {"key": "lead_time", "label": "Lead time", "unit": "months"}
WORDS = {"settings": "What if", "undo": "Undo", "put_back": "Put back", "help": "how to find out"}


@pytest.fixture(scope="module")
def box():
    return control_box(GROWTH, WORDS)


def test_a_slider_is_named_by_its_label_and_told_how_to_find_out(box):
    (slider,) = having(box, "input", type="range")
    (label,) = having(box, "label")
    assert label[1]["for"] == slider[1]["id"]
    assert words_in(label).split() == ["Growth", "%", "a", "year"]
    (told,) = having(box, id=slider[1]["aria-describedby"])
    assert words_in(told) == "Ask around."
    assert words_in(having(box, "summary")[0]).split() == [
        "a",
        "guess:",
        "how",
        "to",
        "find",
        "out",
    ]
    assert [words_in(end) for end in having(box, class_="sc-ends")[0][2]] == ["2", "40"]


def test_a_field_has_the_name_of_the_label_and_the_words_for_what_is_wrong(box):
    (field,) = having(box, "input", type="text")
    (label,) = having(box, "label")
    assert field[1]["aria-labelledby"] == label[1]["id"]
    assert field[1]["inputmode"] == "decimal"
    assert field[1]["data-wrong"] == "Growth: write one number"
    assert len(having(box, data_readout="growth")) == 1
    assert len(having(box, role="alert")) == 1
    assert box[1]["data-control"] == "growth"


def test_no_two_elements_share_an_id_and_all_that_is_named_is_there():
    tree = settings({"words": WORDS, "controls": [GROWTH, LEAD]})
    ids = [each[1]["id"] for each in elements(tree) if "id" in each[1]]
    assert len(ids) == len(set(ids))
    for each in elements(tree):
        for name in ("aria-describedby", "aria-labelledby", "for"):
            assert each[1].get(name, ids[0]) in ids


def test_marks_lie_under_the_slider_in_a_place_of_their_own():
    track = slider_track(GROWTH, labelled="a", described="b")
    assert parts_of(track) == ["track growth"]
    assert [each[0] for each in track[2]] == ["div", "input", "div"]
    without = slider_track(LEAD, labelled="a", described="b")
    assert [each[0] for each in without[2]] == ["div", "input"]


def test_sliders_stand_in_their_groups_and_what_comes_after_stands_last():
    groups = [{"title": "Prices", "keys": ["lead_time", "gone"]}, {"title": "Work",
              "keys": ["growth"]}]  # fmt: skip
    spec = {"words": WORDS, "controls": [GROWTH, LEAD], "groups": groups}
    tree = settings(spec, place("after"))
    assert (tree[1]["role"], tree[1]["aria-label"]) == ("group", "What if")
    fields = having(tree, "fieldset")
    told = [(words_in(having(each, "legend")[0]),
             [one[1]["data-control"] for one in having(each, class_="sc-control")])
            for each in fields]  # fmt: skip
    assert told == [("Prices", ["lead_time"]), ("Work", ["growth"])]
    assert tree[2][-1][1]["data-part"] == "after"


def test_a_button_shows_where_there_is_a_word_for_it():
    shown = {each[1]["data-act"]: "hidden" not in each[1] for each in having(
        ["div", {}, buttons({"undo": "Undo", "put_back": ""})], "button")}  # fmt: skip
    assert shown == {"undo": True, "put_back": False, "save": False}
    assert len(having(["div", {}, buttons(WORDS)], role="status")) == 1


TABLE = {
    "title": "Side by side",
    "head": ["what", "one", "two"],
    "rows": [["cost", "1", "20"], ["noise", "30", "4"]],
    "marks": [["", "good", "else"], ["", "short", "guess"]],
    "align": "lrl",
}


def test_a_cell_has_its_columns_head_its_side_and_its_mark():
    table = table_node(TABLE)
    assert words_in(having(table, "caption")[0]) == "Side by side"
    heads = [(words_in(each), each[1]["class"]) for each in having(table, "th", scope="col")]
    assert heads == [("what", "sc-left"), ("one", "sc-right"), ("two", "sc-left")]
    told = [
        (words_in(each), each[1]["data-head"], each[1]["class"]) for each in having(table, "td")
    ]
    assert told == [
        ("1", "one", "sc-right sc-good"),
        ("20", "two", "sc-left"),
        ("30", "one", "sc-right sc-short"),
        ("4", "two", "sc-left sc-guess"),
    ]
    rows = [(words_in(each), each[1]["class"]) for each in having(table, "th", scope="row")]
    assert rows == [("cost", "sc-left"), ("noise", "sc-left")]


def test_a_table_without_sides_and_marks_is_left_as_it_is():
    table = table_node({"head": TABLE["head"], "rows": TABLE["rows"]})
    assert {each[1]["class"] for each in having(table, "td")} == {"sc-left"}


def test_a_plain_page_has_a_place_for_everything_in_the_order_of_reading():
    spec = {
        "texts": ["headline", "loss"],
        "tables": [{"id": "later", "title": "Later"}, {"id": "soon", "first": True}],
        "figures": [{"id": "chart", "summary_label": "In words:"}],
        "words": WORDS,
        "controls": [GROWTH],
    }
    tree = plain_page(spec)
    assert parts_of(tree) == ["headline", "track growth", "soon", "loss", "later"]
    (plot,) = having(tree, class_="sc-plot")
    assert plot[1]["role"] == "img"
    assert having(tree, id=plot[1]["aria-labelledby"])
    for table in having(tree, class_="sc-table"):
        assert table[1]["tabindex"] == "0"
    assert [each[1]["aria-label"] for each in having(tree, class_="sc-table")] == ["soon", "Later"]
    assert having(tree, aria_live="polite")[0][1]["class"] == "sc-head"
    assert not having(plain_page({"figures": []}), class_="sc-settings")


def test_a_page_that_brings_its_own_elements_keeps_them():
    own = ["div", {}, ["mine"]]
    assert with_layout({"page": own})["page"] is own
    assert parts_of(with_layout({"texts": ["headline"]})["page"]) == ["headline"]
