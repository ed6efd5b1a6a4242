"""What others cost more: dots on their side of the zero, and bars that add up."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from study.decision.crafted import crafted, dearer_in
from views.drawings import elements, lane, places, texts

from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.categories import CATEGORIES, NOT_PAID
from storagecalc.views.charts.difference import (
    GapFrame,
    gap_dots,
    gap_fits,
    gap_frame,
    years_bars,
)
from storagecalc.views.charts.drawing import CHOSEN, LESS, MORE, SHADE
from storagecalc.views.page.nodes import markup
from storagecalc.views.text.difference import (
    dearer_words,
    gap_summary,
    gap_title,
    year_parts,
    years_key,
    years_title,
)

# At 552 px the axis goes from 24 to 524: 100 px for every 1,000.
FRAME = GapFrame(low_cost=-1000.0, high_cost=4000.0, step_cost=1000.0)
WIDE, ZERO = 552, 124.0


def costing(gap: Any) -> Evaluation:
    """Alternative b costs so much more than a, the recommended."""
    return crafted({"a": 10_000.0, "b": np.asarray(gap, dtype=float) + 10_000.0})


def dots_of(evaluation: Evaluation) -> list[tuple[float, float]]:
    rivals = evaluation.builds[1:]
    return places(lane(gap_dots(evaluation, WIDE, FRAME, rivals=rivals), "b"))


def test_dots_stand_over_the_middle_of_round_amounts_on_their_side_of_the_zero():
    # Five dots at −300, five at +1,200 and ten at +2,700; bins of 500.
    gaps = [-300.0] * 25 + [1_200.0] * 25 + [2_700.0] * 50
    found = sorted({round(x, 1) for x, _ in dots_of(costing(gaps))})
    assert found == [ZERO - 25, ZERO + 125, ZERO + 275 - 4.5, ZERO + 275 + 4.5]


@pytest.mark.parametrize("gap", [-3_000.0, 1.0, 0.0, 400.0, 90_000.0])
def test_twenty_dots_whatever_they_cost_and_none_on_another(gap):
    evaluation = costing(np.full(100, gap))
    frame = gap_frame([evaluation])
    tree = gap_dots(evaluation, WIDE, frame, rivals=evaluation.builds[1:])
    dots = {(round(x, 1), round(y, 1)) for x, y in places(tree)}
    assert len(dots) == 20
    assert all(0 < x < WIDE for x, _ in dots)


def test_one_that_costs_the_same_stands_on_the_zero():
    xs = [x for x, _ in dots_of(costing(np.zeros(100)))]
    assert sum(xs) / 20 == pytest.approx(ZERO, abs=0.1)


def test_dots_next_to_the_zero_stay_on_their_side():
    xs = [x for x, _ in dots_of(costing(np.full(100, 20.0)))]
    assert min(xs) > ZERO + 3


def test_no_dot_crosses_the_zero_where_the_cheaper_side_is_short():
    evaluation = crafted({"a": 100.0, "b": 80.0, "c": 90_000.0})
    found = verdict(evaluation)
    assert found.recommended.build.key == "b"
    rivals = [build for build in evaluation.builds if build.key != "b"]
    tree = gap_dots(evaluation, 358, gap_frame([evaluation]), rivals=rivals)
    zero = next(float(part[1]["x1"]) for part in elements(tree, "line") if part[1]["y1"] == "4")
    assert all(x > zero for x, _ in places(tree))


def test_several_rivals_have_a_lane_each_with_name_and_share():
    costs = {"a": 100.0, "b": dearer_in(93, by=300, usually=90), "c": 500.0}
    evaluation = crafted(costs)
    tree = gap_dots(evaluation, 1132, gap_frame([evaluation]), rivals=evaluation.builds[1:])
    assert len(places(lane(tree, "b"))) == len(places(lane(tree, "c"))) == 20
    assert {"b", "dearer in 93 of 100", "c", "dearer in all futures"} <= set(texts(tree))


def test_the_frame_is_round_holds_all_and_has_the_zero_inside():
    small, large = costing(np.linspace(200, 900, 100)), costing(np.linspace(-2_600, 4_100, 100))
    frame = gap_frame([small, large])
    assert (frame.low_cost, frame.high_cost, frame.step_cost) == (-3000.0, 4000.0, 1000.0)
    assert gap_fits(large, frame)
    assert not gap_fits(large, gap_frame([small]))
    assert gap_frame([small]).low_cost < 0 < gap_frame([small]).high_cost


@pytest.mark.parametrize(
    ("gap", "title"),
    [
        (dearer_in(95, by=300, usually=-50), "“b” costs more in 19 of 20 futures."),
        (np.full(100, 300.0), "“b” costs more in all twenty futures."),
        (np.zeros(100), "“b” costs the same in all twenty futures."),
    ],
)
def test_the_title_counts_the_dots(gap, title):
    evaluation = costing(gap)
    assert gap_title(evaluation) == title
    right = sum(x > ZERO + 3 for x, _ in dots_of(evaluation))
    assert title.find(f"{right} of") > 0 or right in (0, 20) or "same" in title


def test_dots_in_words():
    evaluation = costing(dearer_in(95, by=300, usually=-50))
    assert gap_summary(evaluation, *evaluation.builds[:1], evaluation.builds[1:]).endswith(
        f"“b”: −50, {', '.join(['+300'] * 19)}; dearer in 95 of 100."
    )
    same = costing(np.zeros(100))
    assert dearer_words(same, *same.builds) == "costs the same"


def by_year(
    years: Sequence[float], worth: float = 0.0, shared: Mapping[str, float] | None = None
) -> Evaluation:
    """Alternative a, recommended, and b, dearer by more than all that years make of it."""
    evaluation = crafted({"a": 100.0, "b": 90_000.0})
    builds = []
    for build, sign in zip(evaluation.builds, (1.0, 0.0), strict=True):
        costs = dict.fromkeys(CATEGORIES, 0.0) | dict(shared or {}) | {NOT_PAID: sign * worth}
        paid = sign * np.asarray(years) + 1000.0
        money = replace(build.money, present_cost_by_category=costs, present_cost_by_year=paid)
        builds.append(replace(build, money=money))
    return replace(evaluation, builds=tuple(builds))


SKETCH = by_year([1_462, -304, -1_570, -1_138], worth=62.0, shared={"archive": 4_840.0})


def test_bars_add_up_as_they_are_printed():
    parts = year_parts(SKETCH.scenario, verdict(SKETCH))
    assert parts is not None
    assert sum(parts.amounts[:-1]) == parts.amounts[-1] == -1_490
    assert parts.words == ("+1,460", "−300", "−1,570", "−1,140", "+60", "−1,490")


@pytest.mark.parametrize("width", [358, 561, 1132])
def test_bars_are_as_long_as_their_amounts_and_coloured_by_their_sign(width):
    tree = years_bars(SKETCH, width)
    bars = list(elements(tree, "rect"))
    along = "height" if width > 358 else "width"
    if width == 358:
        assert {bar[1]["height"] for bar in bars} == {"16"}
    lengths = [float(bar[1][along]) for bar in bars]
    unit = lengths[-1] / 1_490
    assert lengths == pytest.approx([1_460 * unit, 300 * unit, 1_570 * unit, 1_140 * unit,
                                     60 * unit, 1_490 * unit], abs=0.2)  # fmt: skip
    assert [bar[1]["fill"] for bar in bars] == [MORE, LESS, LESS, LESS, MORE, CHOSEN]
    assert {"2027", "2030", "in all", "+1,460"} <= set(texts(tree))


@pytest.mark.parametrize(
    ("years", "told"),
    [
        ([1_460, -300, -900], "1,460 more in 2027 and less in every later year"),
        ([-1_460, 300, 900], "1,460 less in 2027 and more in every later year"),
        ([100, 200, 300], "more in every year"),
        ([-100, 0, 0], "less in 2027 and the same in the others"),
        ([0, 0, 0], "the same in every year"),
        ([500, -200, 300], "up to 500 more in a year (2027) and 200 less in 2028"),
    ],
)
def test_the_title_of_the_bars(years, told):
    assert years_title(by_year(years)) == f"“a” costs {told}."


def test_what_is_the_same_for_both_is_told():
    assert years_key(SKETCH) == (
        "Against “b”; EUR, mean in today's money. The same for both: finished work in an archive"
        " (EUR 4,840)."
    )


def test_one_alone_is_compared_with_nothing():
    evaluation = crafted({"a": 100.0})
    assert years_bars(evaluation, 561) is None
    assert gap_title(evaluation) == "There is nothing to compare its cost with."


def test_hostile_names_are_only_text(hostile):
    tree = gap_dots(hostile, 742, gap_frame([hostile]), rivals=hostile.builds[1:])
    shown = markup(tree)
    assert "<script" not in shown
    assert "<i>" not in shown


@pytest.mark.parametrize(("width", "more"), [(561, ("y", -1)), (358, ("x", 1))])
def test_more_rises_or_goes_right_from_the_zero_and_less_the_other_way(width, more):
    """Standing bars rise against the count of px, lying ones go along with it."""
    along, way = more
    tree = years_bars(SKETCH, width)
    bars, zero_line = list(elements(tree, "rect")), list(elements(tree, "line"))[-1]
    zero = float(zero_line[1][f"{along}1"])
    for bar, amount in zip(bars, [1_460, -300, -1_570, -1_140, 60, -1_490], strict=True):
        start = float(bar[1][along])
        end = start + float(bar[1]["height" if along == "y" else "width"])
        grows = way if amount > 0 else -way
        assert (start if grows > 0 else end) == pytest.approx(zero, abs=0.11)


def test_the_cheaper_side_is_shaded_up_to_the_zero():
    evaluation = costing(np.full(100, 300.0))
    (shade,) = [
        part[1]
        for part in elements(
            gap_dots(evaluation, WIDE, FRAME, rivals=evaluation.builds[1:]), "rect"
        )
        if part[1].get("fill") == SHADE
    ]
    assert (float(shade["x"]), float(shade["width"])) == (24.0, ZERO - 24)


def test_the_title_names_the_nearest_other_where_no_other_meets_the_needs():
    needs = {"headroom_months": (24, {"cheap": 10, "dear": 30})}
    evaluation = crafted({"cheap": 100, "dear": np.full(100, 300.0)}, needs)
    assert gap_title(evaluation) == "“cheap” costs less in all twenty futures."


def test_as_many_dearer_as_cheaper_are_told_as_dearer():
    evaluation = costing(dearer_in(50, by=400, usually=-300))
    assert gap_title(evaluation) == "“b” costs more in 10 of 20 futures."


@pytest.mark.parametrize(
    ("years", "told"),
    [
        ([500, 0, -300], "500 more in 2027 and 300 less in 2029"),
        ([-200, 500, 700, -300],
         "up to 700 more in a year (2029) and up to 300 less in a year (2030)"),
    ],
)  # fmt: skip
def test_the_title_names_the_largest_and_no_year_that_is_the_same(years, told):
    assert years_title(by_year(years, worth=50.0)) == f"“a” costs {told}."


def test_of_many_that_are_the_same_the_largest_two_are_named():
    shared = {"archive": 10.0, "copies": 3_000.0, "power": 2_000.0}
    assert years_key(by_year([100, -50], shared=shared)).endswith(
        "The same for both: further copies (EUR 3,000), electricity (EUR 2,000) and 1 more of the"
        " causes."
    )


def test_what_is_worth_something_at_the_end_is_no_category_that_both_pay():
    assert "same for both" not in years_key(by_year([100, -50]))


def test_small_totals_are_never_told_finer_than_a_whole_unit():
    evaluation = by_year([30.4, -22.6])
    parts = year_parts(evaluation.scenario, verdict(evaluation))
    assert parts is not None
    assert parts.words == ("+31", "−23", "0", "+8")
