"""The live page: what it consists of, and what an answer brings while moving and at rest."""

import pytest
from study.decision.crafted import crafted
from views.page.walk import having, parts_of, words_in

from storagecalc.views.page.decision_panel import (
    ABREAST_PX,
    drawing_px,
    panel_answer,
    panel_layout,
    settled_answer,
)
from storagecalc.views.page.first_page import page_frames
from storagecalc.views.text.decision import reason, recommendation
from storagecalc.views.text.difference import gap_title
from storagecalc.views.text.lanes import lanes_title
from storagecalc.views.text.needs import needs_line
from storagecalc.views.text.page import WORDS

SPEC = {"words": WORDS, "controls": [{"key": "growth", "label": "Growth", "unit": "%"}]}
TABLES = ("builds", "years")


@pytest.fixture(scope="module")
def frames(drawn):
    return page_frames([drawn])


def test_a_settled_answer_fills_every_place(drawn, frames):
    answer = settled_answer(drawn, 1000, frames, TABLES)
    told = {**answer["texts"], **answer["tables"], **answer["drawings"]}
    places = parts_of(panel_layout(SPEC, TABLES))
    assert set(places) - {"track growth"} == set(told)
    assert len(places) == len(set(places))
    assert all(told.values())
    assert answer["texts"]["recommendation"] == recommendation(drawn)
    assert answer["texts"]["reason"] == reason(drawn)
    assert answer["texts"]["gap title"] == gap_title(drawn)
    assert answer["texts"]["lanes title"] == lanes_title(drawn)
    assert answer["texts"]["needs line"] == needs_line(drawn)


def test_while_a_slider_moves_only_the_pictures_follow(drawn, frames):
    moving = panel_answer(drawn, 1000, frames)
    assert moving == {"drawings": settled_answer(drawn, 1000, frames, TABLES)["drawings"]}


def test_verdict_and_pictures_stand_above_the_numbers_which_open():
    tree = panel_layout(SPEC, TABLES)
    body, numbers = tree[2]
    assert parts_of(body) == [
        "track growth", "recommendation", "reason", "needs line", "needs", "lanes title", "lanes",
        "gap title", "gap",
    ]  # fmt: skip
    assert (numbers[0], parts_of(numbers)) == ("details", list(TABLES))
    (needs,) = having(body, "details", class_="sc-needs")
    assert parts_of(needs[2][0]) == ["needs line"]
    assert having(body, aria_live="polite")[0][1]


@pytest.mark.parametrize(
    ("page", "picture"),
    [(1000, 684), (ABREAST_PX, 364), (ABREAST_PX - 1, 659), (390, 370), (200, 300)],
)
def test_a_picture_has_the_room_that_the_page_leaves_it(page, picture):
    assert drawing_px(page) == picture


def test_pictures_are_drawn_for_the_width(drawn, frames):
    for page in (1000, 390):
        for (drawing,) in panel_answer(drawn, page, frames)["drawings"].values():
            assert float(drawing[1]["viewBox"].split()[2]) == drawing_px(page)


def test_the_others_are_the_nearest_two_in_the_order_of_the_file():
    """Of those that cost 500, 120, 300 and 110 more, the last but one is too many."""
    costs = {"far": 600, "near": 220, "mine": 100, "third": 400, "nearest": 210}
    whole = crafted(costs)
    (dots,) = panel_answer(whole, 1000, page_frames([whole]))["drawings"]["gap"]
    told = words_in(dots)
    assert told.index("near") < told.index("nearest")
    assert "far" not in told
    assert "third" not in told


def test_alone_there_is_no_second_picture():
    alone = crafted({"a": 100})
    assert panel_answer(alone, 1000, page_frames([alone]))["drawings"]["gap"] == []
