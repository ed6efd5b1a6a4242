"""The bar of a quantity: where its marks stand and what is hatched, by hand."""

from types import SimpleNamespace

import pytest
from study.decision.crafted import crafted
from views.page.walk import having, words_in

from storagecalc.study.decision.break_even import BreakEven, Crossing
from storagecalc.study.decision.verdict import verdict
from storagecalc.views.charts.break_even import bar

FOUND = verdict(crafted({"a": 100, "b": 300}))
QUANTITY = SimpleNamespace(unit="TB")


def across(value, side, key="b", *, meets=True):
    other = next(each.build.alternative for each in (*FOUND.rivals, *FOUND.others)
                 if each.build.key == key)  # fmt: skip
    return Crossing(value=value, side=side, recommended=other, meets_needs=meets, missed_needs=(),
                    met_needs=())  # fmt: skip


def drawn(*crossings, slides=False, low=10.0, today=20.0, high=30.0):
    each = BreakEven(key="", quantity=QUANTITY, low=low, today=today, high=high,
                     crossings=crossings, unsettled=False)  # fmt: skip
    return ["div", {}, bar(each, FOUND, slides=slides)]


def hatched(tree):
    return [each[1]["style"] for each in having(tree, class_="sc-beyond")]


def test_above_the_only_crossing_it_is_hatched_to_the_end():
    tree = drawn(across(25, "above"))
    assert hatched(tree) == ["left:75.0%;width:25.0%"]
    (mark,) = having(tree, class_="sc-at")
    assert (words_in(mark), mark[1]["style"]) == ("25", "left:75.0%")
    (today,) = having(tree, class_="sc-today")
    assert today[1]["style"] == "left:50.0%"
    ends = [words_in(having(tree, class_=f"sc-{end}")[0]) for end in ("low", "high")]
    assert ends == ["10", "30"]


def test_below_the_only_crossing_it_is_hatched_from_the_start():
    assert hatched(drawn(across(14, "below"))) == ["left:0.0%;width:20.0%"]


def test_both_sides_of_today_and_never_today_itself():
    tree = drawn(across(12, "below"), across(28, "above"))
    assert hatched(tree) == ["left:0.0%;width:10.0%", "left:90.0%;width:10.0%"]


def test_beyond_a_second_crossing_the_decision_may_be_todays_again():
    """The other from 22 on, today's again from 26 on."""
    tree = drawn(across(22, "above"), across(26, "above", "a"))
    assert hatched(tree) == ["left:60.0%;width:20.0%"]
    assert [words_in(each) for each in having(tree, class_="sc-at")] == ["22", "26"]
    tree = drawn(across(12, "below", "a"), across(18, "below"))
    assert hatched(tree) == ["left:10.0%;width:30.0%"]


def test_the_same_build_that_meets_the_needs_no_longer_is_hatched_too():
    assert hatched(drawn(across(25, "above", "a", meets=False))) == ["left:75.0%;width:25.0%"]
    assert hatched(drawn(across(25, "above", "a"))) == []


@pytest.mark.parametrize(("second", "told"), [(26.9, ["25"]), (27.1, ["25", "27"])])
def test_values_that_would_touch_are_told_once(second, told):
    tree = drawn(across(25, "above"), across(second, "above", "a"))
    assert [words_in(each) for each in having(tree, class_="sc-at")] == told


def test_a_slider_shows_today_by_itself():
    assert not having(drawn(across(25, "above"), slides=True), class_="sc-today")
    assert hatched(drawn(across(25, "above"), slides=True)) == ["left:75.0%;width:25.0%"]


def test_a_bar_without_width_divides_nothing():
    tree = drawn(low=20.0, high=20.0)
    assert having(tree, class_="sc-today")[0][1]["style"] == "left:0.0%"
