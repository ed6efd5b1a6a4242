"""Room against footage: dots and marks where they belong, whatever names and months there are."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from study.decision.crafted import crafted
from views.drawings import elements, lane, places, texts
from views.figures import rows, with_figures

from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.orders import Order
from storagecalc.views.charts.drawing import (
    CHOSEN,
    FOOTAGE,
    OTHER,
    TINT,
    Labels,
    cut,
    round_step,
    stacks,
    text_px,
)
from storagecalc.views.charts.lanes import LanesFrame, fits, lanes, lanes_frame
from storagecalc.views.page.nodes import markup

# At this width the axis goes from 266 to 1014, 24 months of 31 1/6 px; lanes begin at 146.
WIDE, LEFT, RIGHT, LANES_TOP, LANE = 1132, 266.0, 1014.0, 146.0, 82.0
MONTH = (RIGHT - LEFT) / 24
WIDTHS = (358, 690, 742, 1132)


def filling(*months: Any) -> Evaluation:
    """Alternatives a, b, … of which each is full after so many months, or in each future."""
    names = [chr(ord("a") + number) for number in range(len(months))]
    whole = crafted({name: 100 * (number + 1) for number, name in enumerate(names)})
    for number, given in enumerate(months):
        rows = np.broadcast_to(np.asarray(given, dtype=float), 100)
        whole = with_figures(
            {"capacity.headroom_months_by_draw": rows}, evaluation=whole, number=number
        )
    return whole


def drawn_at(evaluation: Evaluation, width: float = WIDE) -> Any:
    return lanes(evaluation, width, lanes_frame([evaluation]))


def test_dots_of_one_quarter_stand_over_its_middle_in_five_columns_of_four():
    dots = places(lane(drawn_at(filling(10, 10)), "a"))
    # Months 9 to 12; the line is 20 px above the lane's end, the lowest dot 11.25 px above it.
    middle, lowest = LEFT + 10.5 * MONTH, LANES_TOP + LANE - 20 - 11.25
    expected = {
        (middle + column * 10.5, lowest - row * 10.5) for column in range(-2, 3) for row in range(4)
    }
    assert len(dots) == 20
    for x, y in expected:
        assert any(abs(x - dot[0]) < 0.06 and abs(y - dot[1]) < 0.06 for dot in dots)


def test_what_is_not_full_within_the_horizon_stands_right_of_the_axis_and_is_counted():
    half = np.where(np.arange(100) < 50, 4.0, np.inf)
    part = lane(drawn_at(filling(half, 10)), "a")
    beyond = [x for x, _ in places(part) if x > RIGHT]
    assert len(beyond) == 10
    assert min(beyond) == pytest.approx(RIGHT + 8 + 10.5 / 2, abs=0.06)
    assert "10 of 20" in texts(part)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(
    "months", [0, 24, np.inf, np.linspace(0, 24, 100), np.linspace(12, 40, 100)]
)
def test_every_lane_has_twenty_dots_inside_the_drawing(width, months):
    months = np.where(np.asarray(months) > 24, np.inf, months)
    tree = drawn_at(filling(months, 5), width)
    for key in "ab":
        dots = places(lane(tree, key))
        assert len(dots) == 20
        assert len({(round(x), round(y)) for x, y in dots}) == 20
        assert all(0 < x < width and 0 < y < float(tree[1]["height"]) for x, y in dots)


def test_without_draws_one_dot_stands_for_the_middle():
    tree = drawn_at(crafted({"a": 100, "b": 300}, draws=0))
    assert [len(places(lane(tree, key))) for key in "ab"] == [1, 1]
    assert not any("of 20" in told for told in texts(tree))


def test_the_dark_lane_is_the_recommended():
    evaluation = crafted({"dear": 300, "cheap": 100, "middling": 200})
    tree = drawn_at(evaluation)
    recommended = verdict(evaluation).recommended.build.key
    fills = {key: lane(tree, key)[1]["fill"] for key in ("dear", "cheap", "middling")}
    assert recommended == "cheap"
    assert fills == {"dear": OTHER, "cheap": CHOSEN, "middling": OTHER}


def ordering(*orders: tuple[str, int, float], due: float = np.inf) -> Evaluation:
    """Two alternatives; the first orders what, how many and when, in every future."""
    made = tuple(
        Order(what=what, count=count, month=np.full((1, 1, 1), month), cost=np.zeros((1, 1, 1)))
        for what, count, month in orders
    )
    figures = {"money.orders": made, "capacity.first_order_months": due}
    return with_figures(figures, evaluation=filling(20, 20))


def marks_at(part: Any) -> list[tuple[str, float]]:
    """Each mark with where its middle stands."""
    found = []
    for mark in [*elements(part, "polygon"), *elements(part, "rect")]:
        if mark[1]["data-mark"] == "box":
            found.append(("box", float(mark[1]["x"]) + 4.5))
        else:
            found.append(("steps", float(mark[1]["points"].split()[-1].split(",")[0])))
    return found


def test_marks_stand_at_their_months_and_tell_a_further_box_by_shape():
    evaluation = ordering(("drives", 4, 0), ("drives", 2, 9), ("further box", 1, 18), due=7)
    part = lane(drawn_at(evaluation), "a")
    assert marks_at(part) == [
        ("steps", pytest.approx(LEFT, abs=0.06)),
        ("steps", pytest.approx(LEFT + 7 * MONTH, abs=0.06)),
        ("box", pytest.approx(LEFT + 18 * MONTH, abs=0.06)),
    ]
    assert {"4 drives now", "2 drives by Aug 2027", "further box"} <= set(texts(part))


def test_crowded_marks_keep_the_words_of_the_first_and_the_next_and_none_overlap():
    orders = [("drives", 4, 0), *(("drives", 2, month) for month in (2, 3, 4, 5, 6))]
    part = lane(drawn_at(ordering(*orders, due=2)), "a")
    words = [told for told in elements(part, "text") if told[1]["y"] == f"{146 + 82 - 5}"]
    spans = sorted(
        (float(told[1]["x"]), float(told[1]["x"]) + text_px(told[2][0], 12)) for told in words
    )
    assert any("Mar 2027" in told[2][0] for told in words)
    assert all(end < begin for (_, end), (begin, _) in pairwise(spans))


def test_a_narrow_drawing_names_its_marks_once():
    tree = drawn_at(ordering(("drives", 4, 0), ("drives", 2, 9)), 358)
    assert not any("drives" in told for told in texts(tree))
    assert "order" in texts(tree)


def test_builds_that_hold_as_much_share_a_line_and_others_have_their_own():
    evaluation = filling(10, 10, 10)
    most = evaluation.builds[0].capacity.full_ladder
    larger = {"capacity.full_ladder": replace(most, plannable_tb=most.plannable_tb * 1.2)}
    evaluation = with_figures(larger, evaluation=evaluation, number=2)
    dashed = [
        part for part in elements(drawn_at(evaluation), "line")
        if part[1].get("stroke-dasharray") == "7 4"
    ]  # fmt: skip
    assert len(dashed) == 2


def test_a_build_that_holds_far_more_is_named_above_the_picture_without_a_line():
    evaluation = filling(10, 10)
    most = evaluation.builds[0].capacity.full_ladder
    larger = {"capacity.full_ladder": replace(most, plannable_tb=90_000.0)}
    tree = drawn_at(with_figures(larger, evaluation=evaluation, number=1))
    assert any(told == "b: 90,000 TB, above this picture" for told in texts(tree))


def test_a_frame_holds_several_and_says_what_it_does_not_hold():
    small = filling(10, 10)
    held = small.builds[0].capacity.held_tb_by_month
    larger = {"capacity.held_tb_by_month": replace(held, p90=held.p90 * 4)}
    large = with_figures(larger, evaluation=with_figures(larger, evaluation=small), number=1)
    frame = lanes_frame([small, large])
    assert frame.top_tb >= float(held.p90.max()) * 4
    assert fits(large, frame)
    assert not fits(large, lanes_frame([small]))
    assert frame.top_tb % (frame.step_tb / 2) == pytest.approx(0)


@pytest.mark.parametrize("width", WIDTHS)
def test_hostile_names_are_only_text(hostile, width):
    shown = markup(drawn_at(hostile, width))
    assert "<script" not in shown
    assert "<img" not in shown
    assert "\u202e" not in shown


def test_letters_are_never_smaller_than_twelve(drawn):
    for width in WIDTHS:
        sizes = [
            float(part[1].get("font-size", 12)) for part in elements(drawn_at(drawn, width), "text")
        ]
        assert min(sizes) >= 12


def test_labels_never_overlap():
    labels = Labels(left=0, right=400, top=0, bottom=120)
    found = [labels.place(f"build number {number}: 80 TB", 60 + number) for number in range(12)]
    boxes = labels.taken
    assert len(boxes) == sum(place is not None for place in found) >= 4
    for number, one in enumerate(boxes):
        for other in boxes[:number]:
            apart = one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]
            assert apart


def test_a_label_keeps_clear_of_curves_where_it_can():
    # The curve fills the left half just above the line.
    labels = Labels(left=0, right=400, top=0, bottom=120, curves=[[50.0] * 10 + [0.0] * 10])
    start, baseline = labels.place("76 TB", 56) or (0, 0)
    assert baseline == 52
    assert start >= 200


def test_stacks_make_room_for_one_another_and_stay_on_the_axis():
    found = stacks([55.0] * 9 + [65.0] * 9, left=0, right=100, bin_px=10, pitch=8, rows=3)
    columns = sorted({round(x, 6) for x, _ in found})
    assert len(found) == 18
    assert all(b - a >= 8 - 1e-6 for a, b in pairwise(columns))
    assert min(columns) >= 4
    assert max(columns) <= 96


def test_stacks_without_room_leave_the_axis_at_its_far_end():
    found = stacks([2.0] * 20, left=0, right=30, bin_px=10, pitch=9, rows=4)
    assert min(x for x, _ in found) == 4.5
    assert max(x for x, _ in found) == 40.5


def test_words_are_cut_to_their_room():
    assert cut("short", 200, 12) == "short"
    shown = cut("a name that is far too long for this", 100, 12)
    assert shown.endswith("…")
    assert text_px(shown, 12) <= 100


def test_the_ground_and_the_count_of_the_recommended_stand_out_wherever_it_stands():
    whole = crafted({"dear": 300, "cheap": 100})
    full = {"capacity.headroom_months_by_draw": np.full(100, 10.0)}
    for number in (0, 1):
        whole = with_figures(full, evaluation=whole, number=number)
    tree = drawn_at(whole)
    (tint,) = [part for part in elements(tree, "rect") if part[1].get("fill") == TINT]
    assert float(tint[1]["y"]) == LANES_TOP + LANE
    for key, weight in (("dear", None), ("cheap", "bold")):
        (count,) = [part for part in elements(lane(tree, key), "text") if "of 20" in part[2][0]]
        assert count[1].get("font-weight") == weight


# At the end of 24 months: at the middle, on average, in 1 of 10, the median, in 9 of 10.
FOOTAGE_TB = rows((0, 61), (0, 62), (0, 10), (0, 40), (0, 80))


def holding(draws: int = 100, most_tb: float = 90.0) -> Evaluation:
    """Two alternatives that hold so much and can hold no more than ``most_tb``."""
    whole = crafted({"a": 100, "b": 300}, draws=draws)
    for number, most in enumerate((most_tb, 100.0)):
        ladder = replace(whole.builds[0].capacity.full_ladder, plannable_tb=most)
        figures = {"capacity.held_tb_by_month": FOOTAGE_TB, "capacity.full_ladder": ladder}
        whole = with_figures(figures, evaluation=whole, number=number)
    return whole


def height(tb: float, top_tb: float) -> float:
    """The picture of footage goes from 146 px, nothing held, up to 14 px."""
    return 146 - tb / top_tb * (146 - 14)


def ends_of(tree: Any, color: str) -> list[float]:
    """The last height of each curve in a colour."""
    curves = [part for part in elements(tree, "polyline") if part[1]["stroke"] == color]
    return [float(curve[1]["points"].split(",")[-1]) for curve in curves]


@pytest.mark.parametrize(("draws", "held_tb"), [(100, [80, 10]), (0, [40])])
def test_the_band_lies_between_one_and_nine_in_ten(draws, held_tb):
    whole = holding(draws)
    expected = [height(tb, lanes_frame([whole]).top_tb) for tb in held_tb]
    assert ends_of(drawn_at(whole), FOOTAGE) == pytest.approx(expected, abs=0.06)


def test_the_most_of_the_recommended_is_the_dark_line():
    whole = holding()
    dashed = {
        part[1]["stroke"]: float(part[1]["y1"])
        for part in elements(drawn_at(whole), "line")
        if part[1].get("stroke-dasharray") == "7 4"
    }
    top = lanes_frame([whole]).top_tb
    assert dashed == pytest.approx({CHOSEN: height(90, top), OTHER: height(100, top)}, abs=0.06)


def test_an_option_that_holds_less_has_a_dotted_line_at_its_median():
    """Builds hold what the recommended holds: they have none."""
    whole = holding()
    assert ends_of(drawn_at(whole), OTHER) == []
    option = replace(whole.builds[1].alternative, habit="less")
    optional = replace(
        whole, builds=(whole.builds[0], replace(whole.builds[1], alternative=option))
    )
    expected = height(40, lanes_frame([whole]).top_tb)
    assert ends_of(drawn_at(optional), OTHER) == [pytest.approx(expected, abs=0.06)]


def test_years_begin_in_january_whenever_the_picture_begins():
    whole = filling(10, 10)
    april = replace(whole, scenario=whole.scenario.varied({"start_date": "2027-04-01"}))
    tree = drawn_at(april)
    named = {part[2][0]: float(part[1]["x"]) for part in elements(tree, "text")}
    assert named["2028"] == pytest.approx(LEFT + 9 * MONTH, abs=0.06)
    assert named["2029"] == pytest.approx(LEFT + 21 * MONTH, abs=0.06)
    assert "2027" not in named
    lines = {float(part[1]["x1"]) for part in elements(tree, "line") if part[1]["y1"] == "8"}
    assert sorted(lines) == pytest.approx([named["2028"], named["2029"]], abs=0.06)


def test_a_frame_three_times_too_high_is_made_anew():
    whole = holding(most_tb=100.0)
    assert fits(whole, LanesFrame(top_tb=300.0, step_tb=50.0))
    assert not fits(whole, LanesFrame(top_tb=301.0, step_tb=50.0))
    assert fits(whole, LanesFrame(top_tb=100.0, step_tb=50.0))


def test_a_column_fills_from_below_before_the_next_begins():
    """Five dots of the bin from 50 to 60: three in a column, two in the next, over its middle."""
    found = stacks([52.0] * 5, left=0, right=100, bin_px=10, pitch=8, rows=3)
    assert found == [(51, 0), (51, 1), (51, 2), (59, 0), (59, 1)]


@pytest.mark.parametrize(
    ("least", "step"), [(1, 1), (1.1, 2), (2, 2), (2.1, 5), (5, 5), (5.1, 10), (0.03, 0.05)]
)
def test_steps_are_one_two_or_five_with_zeros(least, step):
    assert round_step(least) == pytest.approx(step)


def test_a_label_goes_below_its_line_where_another_line_runs_close_above():
    labels = Labels(left=0, right=400, top=0, bottom=120, lines=[60.0, 50.0])
    assert labels.place("76 TB", 60) == (8, 73)
