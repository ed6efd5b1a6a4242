"""The purchase calendar in words: what is ordered when, by how many futures, at what price."""

from dataclasses import replace
from typing import Any

import pytest
from study.decision.crafted import crafted
from views.figures import with_figures
from views.orders import NEVER, order

from storagecalc.study.decision.purchase_calendar import purchase_calendar
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text.purchase_calendar import (
    DRAWN_KEY,
    calendar_key,
    calendar_summary,
    calendar_table,
    calendar_title,
    mark_words,
    more_words,
)

# Of ten futures eight order from May to December 2027, and three from September 2028.
EIGHT, THREE = [*range(4, 12), NEVER, NEVER], [20, 21, 22] + [NEVER] * 7


def drives(count: int, months: Any, costs: Any) -> Any:
    return replace(order("drives", count, months, costs), drives="ten")


NOW = (order("box", 1, [0] * 10, [900] * 10), drives(4, [0] * 10, [400] * 10))
LATER = drives(1, EIGHT, [100] * 8 + [0] * 2)
SELDOM = order("further box", 1, THREE, [1000] * 3 + [0] * 7)


def ordering(one: Any, other: Any = None, *, draws: int = 100) -> Evaluation:
    """Alternative a, the recommended, and b, if asked for, with their orders."""
    whole = crafted({"a": 100, "b": 300} if other is not None else {"a": 100}, draws=draws)
    for number, orders in enumerate([one, other][: len(whole.builds)]):
        whole = with_figures({"money.orders": tuple(orders)}, evaluation=whole, number=number)
    return whole


@pytest.mark.parametrize(
    ("one", "other", "title"),
    [
        (NOW, None, "“a” orders once, in January 2027."),
        (
            (*NOW, LATER),
            (*NOW, SELDOM),
            "“a” orders twice, last in August 2027; “b” orders once, in January 2027.",
        ),
        (
            (*NOW, LATER, drives(2, [13] * 10, [1] * 10)),
            (),
            "“a” orders three times, last in February 2028; “b” orders nothing.",
        ),
        (NOW, NOW, "“a” and “b” both order once, in January 2027."),
        ((SELDOM,), None, "“a” orders nothing that half of the futures need."),
    ],
)
def test_the_title_counts_what_at_least_half_of_the_futures_order(one, other, title):
    assert calendar_title(ordering(one, other)) == title


def test_a_row_has_month_name_things_share_range_and_price():
    table = calendar_table(ordering((*NOW, LATER), (*NOW[:1], SELDOM)))
    assert table.head == (
        "month", "alternative", "what", "ordered in", "8 in 10 of these in", "mean price then",
    )  # fmt: skip
    assert table.rows == (
        ("January 2027", "a", "1 box and 4 drives of 10 TB", "all futures", "that month",
         "EUR 1,300"),
        ("January 2027", "b", "1 box", "all futures", "that month", "EUR 900"),
        ("August 2027", "a", "1 drive of 10 TB", "80 of 100 futures",
         "May 2027 to December 2027", "EUR 100"),
        ("October 2028", "b", "1 further box with its drives", "30 of 100 futures",
         "September 2028 to November 2028", "EUR 1,000"),
    )  # fmt: skip
    assert table.align == "lllllr"


def test_without_draws_there_is_neither_share_nor_range():
    whole = ordering((order("box", 1, [0], [900]),), draws=0)
    table = calendar_table(whole)
    assert table.head == ("month", "alternative", "what", "mean price then")
    assert table.rows == (("January 2027", "a", "1 box", "EUR 900"),)
    assert table.align == "lllr"
    assert calendar_summary(whole) == (
        "Orders from January 2027 on. “a”, the recommended: January 2027: 1 box."
    )
    assert "futures" not in calendar_key(whole)
    assert mark_words(whole, purchase_calendar(whole).lanes[0].orders[0]) == ("1 box", "now")


def test_who_orders_nothing_has_a_row_that_says_so():
    assert calendar_table(ordering(NOW, ())).rows[-1] == (
        "never", "b", "orders nothing", "", "", "",
    )  # fmt: skip


def test_the_picture_is_told_order_by_order():
    assert calendar_summary(ordering((*NOW, LATER), ())) == (
        "Orders from January 2027 on. “a”, the recommended: January 2027: 1 box and 4 drives of"
        " 10 TB in all futures; August 2027: 1 drive of 10 TB in 80 of 100 futures (May 2027 to"
        " December 2027 in 8 of 10 of them). “b”: orders nothing."
    )


def test_the_key_says_what_lies_outside_the_bar():
    assert calendar_key(ordering(NOW)) == DRAWN_KEY
    assert "8 of 10 of them: 1 in 10 order sooner, 1 in 10 later" in DRAWN_KEY


def test_a_mark_is_told_in_few_words():
    whole = ordering((*NOW, LATER, SELDOM))
    orders = purchase_calendar(whole).lanes[0].orders
    assert [mark_words(whole, each) for each in orders] == [
        ("1 box and 4 drives of 10 TB", "now · in all futures"),
        ("1 drive of 10 TB", "Aug 2027 · in 80 of 100"),
        ("further box", "Oct 2028 · in 30 of 100"),
    ]
    assert more_words(whole.scenario, orders[1:]) == ("2 more orders", "Aug 2027 to Oct 2028")


def test_two_further_boxes_at_once_are_counted():
    whole = ordering((SELDOM, SELDOM))
    (both,) = purchase_calendar(whole).lanes[0].orders
    assert mark_words(whole, both)[0] == "2 further boxes"


def test_hostile_names_are_only_text(hostile):
    told = f"{calendar_title(hostile)} {calendar_summary(hostile)}"
    assert "\u202e" not in told
    assert "\n" not in told


def test_what_is_ordered_in_the_second_month_is_not_ordered_now():
    whole = ordering((drives(1, [1] * 10, [100] * 10),))
    (second,) = purchase_calendar(whole).lanes[0].orders
    assert mark_words(whole, second)[1] == "Feb 2027 · in all futures"


def test_last_orders_of_one_month_name_it_once():
    whole = ordering((LATER, order("further box", 1, EIGHT, [1000] * 8 + [0] * 2)))
    orders = purchase_calendar(whole).lanes[0].orders
    assert more_words(whole.scenario, orders) == ("2 more orders", "Aug 2027")
