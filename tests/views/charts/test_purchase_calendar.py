"""The purchase calendar drawn: marks at their months, as full as their share, words kept clear."""

from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from study.decision.crafted import crafted
from views.drawings import elements, lane, texts
from views.figures import with_figures
from views.orders import NEVER, order

from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.drawing import CHOSEN, OTHER, TINT, text_px
from storagecalc.views.charts.purchase_calendar import MOST_ROWS, calendar_drawing
from storagecalc.views.page.nodes import markup
from storagecalc.views.text.purchase_calendar import calendar_summary

# At this width the axis goes from 266 to 1118: 24 months of 35.5 px. The first row is 28 px below
# the top, its middle 9.5 px further down.
WIDE, LEFT, MONTH, FIRST_ROW, ROW = 1132, 266.0, 35.5, 37.5, 19.0
WIDTHS = (358, 680, 742, 1132)
EIGHT, THREE = [*range(4, 12), NEVER, NEVER], [20, 21, 22] + [NEVER] * 7
NOW = order("box", 1, [0] * 10, [900] * 10)
LATER = replace(order("drives", 2, EIGHT, [100] * 10), drives="ten")
SELDOM = order("further box", 1, THREE, [1000] * 10)
LONG = "A build whose name goes on and on, Donaudampfschifffahrtsgesellschaftskapitänskajüte"


def ordering(*orders: Any) -> Evaluation:
    """Alternative a, the recommended, with its orders, and b without any."""
    whole = with_figures({"money.orders": orders}, evaluation=crafted({"a": 100, "b": 300}))
    return with_figures({"money.orders": ()}, evaluation=whole, number=1)


def points(part: Any) -> list[tuple[float, float]]:
    pairs = (pair.split(",") for pair in part[1]["points"].split())
    return [(float(x), float(y)) for x, y in pairs]


def marks(part: Any) -> list[tuple[str, float, float]]:
    """Each mark with where it stands."""
    found = [("steps", *points(each)[2]) for each in elements(part, "polygon")
             if "data-mark" in each[1]]  # fmt: skip
    found = [(what, x, y + 6) for what, x, y in found]
    boxes = (each[1] for each in elements(part, "rect") if "data-mark" in each[1])
    return [*found, *(("box", float(box["x"]) + 5, float(box["y"]) + 5) for box in boxes)]


def bars(part: Any) -> list[tuple[float, float, float]]:
    lines = (each[1] for each in elements(part, "line") if "data-bar" in each[1])
    return [(float(each["x1"]), float(each["x2"]), float(each["y1"])) for each in lines]


def test_a_mark_stands_at_its_month_in_a_row_of_its_own_and_a_further_box_is_a_square():
    part = lane(calendar_drawing(ordering(NOW, LATER, SELDOM), WIDE), "a")
    assert marks(part) == [
        ("steps", pytest.approx(LEFT), pytest.approx(FIRST_ROW)),
        ("steps", pytest.approx(LEFT + 7 * MONTH), pytest.approx(FIRST_ROW + ROW)),
        ("box", pytest.approx(LEFT + 21 * MONTH), pytest.approx(FIRST_ROW + 2 * ROW)),
    ]


def test_a_bar_goes_from_the_early_month_to_the_late_one_where_they_differ():
    part = lane(calendar_drawing(ordering(NOW, LATER, SELDOM), WIDE), "a")
    assert bars(part) == [
        pytest.approx((LEFT + 4 * MONTH, LEFT + 11 * MONTH, FIRST_ROW + ROW)),
        pytest.approx((LEFT + 20 * MONTH, LEFT + 22 * MONTH, FIRST_ROW + 2 * ROW)),
    ]


def test_what_fewer_than_half_order_has_a_dashed_bar():
    part = lane(calendar_drawing(ordering(LATER, SELDOM), WIDE), "a")
    drawn = [each[1] for each in elements(part, "line") if "data-bar" in each[1]]
    assert ["stroke-dasharray" in each for each in drawn] == [False, True]


def test_a_mark_is_filled_as_high_as_the_share_of_futures_that_place_it():
    part = lane(calendar_drawing(ordering(NOW, LATER, SELDOM), WIDE), "a")
    filled = [points(each) for each in elements(part, "polygon") if "data-level" in each[1]]
    # A triangle is 11 px high: all of it, then eight tenths; a square is 8.4 px high inside.
    heights = [each[0][1] - each[2][1] for each in filled]
    assert heights == [pytest.approx(11.0), pytest.approx(8.8, abs=0.11)]
    (level,) = [each for each in elements(part, "rect") if "data-level" in each[1]]
    assert float(level[1]["height"]) == pytest.approx(0.3 * 8.4, abs=0.06)


def test_words_say_what_when_and_in_how_many_futures():
    told = texts(lane(calendar_drawing(ordering(NOW, LATER, SELDOM), WIDE), "a"))
    assert {
        "1 box · now · in all futures",
        "2 drives of 10 TB · Aug 2027 · in 80 of 100",
        "further box · Oct 2028 · in 30 of 100",
    } <= set(told)
    assert "orders nothing" in texts(lane(calendar_drawing(ordering(NOW), WIDE), "b"))


def test_the_recommended_is_dark_on_a_tint_and_the_others_are_grey():
    tree = calendar_drawing(ordering(NOW), WIDE)
    assert [lane(tree, key)[1]["fill"] for key in "ab"] == [CHOSEN, OTHER]
    (tint,) = [each for each in elements(tree, "rect") if each[1].get("fill") == TINT]
    assert float(tint[1]["y"]) == 22.0


def test_the_last_of_many_orders_share_a_row_and_each_has_its_mark():
    many = [replace(order("drives", 1, [month] * 4, [9] * 4), drives="ten") for month in range(16)]
    part = lane(calendar_drawing(ordering(*many), WIDE), "a")
    rows = {y for _, _, y in marks(part)}
    assert len(marks(part)) == 16
    assert len(rows) == MOST_ROWS
    assert "7 more orders · Oct 2027 to Apr 2028" in texts(part)


def test_years_stand_at_their_januaries_above_and_below():
    april = ordering(NOW)
    april = replace(april, scenario=april.scenario.varied({"start_date": "2027-04-01"}))
    tree = calendar_drawing(april, WIDE)
    named = [(each[2][0], float(each[1]["x"])) for each in elements(tree, "text")]
    for year, months in (("2028", 9), ("2029", 21)):
        middle = LEFT + months * MONTH - text_px(year, 12) / 2
        places = [x for told, x in named if told == year]
        assert places == [pytest.approx(middle, abs=0.1)] * 2
    assert sum(told == "Apr 2027" for told, _ in named) == 2


def test_the_text_alternative_tells_every_order():
    whole = ordering(NOW, LATER)
    assert calendar_drawing(whole, 742)[1]["aria-label"] == calendar_summary(whole)


def some_orders(seed: int) -> Evaluation:
    """Up to eight orders in months and futures by chance, of things with long words too."""
    rng = np.random.default_rng(seed)
    made = []
    for _ in range(rng.integers(1, 9)):
        first, late = sorted(rng.integers(0, 24, 2))
        placed = rng.integers(2, 11)
        months = [*rng.integers(first, late + 1, placed), *[NEVER] * (10 - placed)]
        what = str(rng.choice(["drives", "shelf", "larger drives", "further box"]))
        made.append(order(what, int(rng.integers(1, 30)), months, [9] * 10))
        if what == "shelf":
            made += [
                replace(order("drives", 12, months, [9] * 10), drives=key) for key in ("ten", "big")
            ]
    whole = ordering(*made)
    table = whole.scenario.as_written()["drives"]["ten"]
    classes = {"drives": {"ten": table, "big": {**table, "size_tb": 20}}}
    named = replace(whole.builds[0].alternative, name=LONG)
    builds = (replace(whole.builds[0], alternative=named), whole.builds[1])
    return replace(whole, scenario=whole.scenario.varied(classes), builds=builds)


def boxes(tree: Any) -> list[tuple[float, float, float, float, str]]:
    """Left, top, right and bottom of all words."""
    found = []
    for each in elements(tree, "text"):
        told, look = each[2][0], each[1]
        x, y, size = float(look["x"]), float(look["y"]), float(look.get("font-size", 12))
        wide = text_px(told, size, bold="font-weight" in look)
        found.append((x, y - size + 2, x + wide, y + 2, told))
    return found


def apart(one: Any, other: Any) -> bool:
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


@pytest.mark.parametrize("width", WIDTHS)
def test_words_never_overlap_one_another_or_a_mark_and_stay_inside(width):
    for seed in range(40):
        tree = calendar_drawing(some_orders(seed), width)
        told, tall = boxes(tree), float(tree[1]["height"])
        for one, other in combinations(told, 2):
            assert apart(one, other), (seed, one, other)
        drawn = [(x - 6, y - 5, x + 6, y + 4) for _, x, y in marks(tree)]
        drawn += [(begin, y - 1, end, y + 1) for begin, end, y in bars(tree)]
        for word in told:
            assert all(apart(word, each) for each in drawn), (seed, word)
            assert word[0] >= -0.1, (seed, word)
            assert word[2] <= width + 0.1, (seed, word)
            assert word[3] <= tall, (seed, word)


def test_letters_are_never_smaller_than_twelve(drawn):
    for width in WIDTHS:
        sizes = [
            float(each[1].get("font-size", 12))
            for each in elements(calendar_drawing(drawn, width), "text")
        ]
        assert min(sizes) >= 12


@pytest.mark.parametrize("width", WIDTHS)
def test_hostile_names_are_only_text_and_are_cut_to_their_room(hostile, width):
    tree = calendar_drawing(hostile, width)
    shown = markup(tree)
    assert "<script" not in shown
    assert "<img" not in shown
    assert "\u202e" not in shown
    assert all(right <= width + 0.1 for _, _, right, _, _ in boxes(tree))
