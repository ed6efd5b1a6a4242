"""Money in words: means beside their ends, each year and order in its month."""

import pytest
from views.figures import five, rows, with_figures
from views.orders import NEVER, order

from storagecalc.views.page.answer import TABLES
from storagecalc.views.text.money import (
    LATER_ORDERS,
    order_table,
    order_words,
    quote_table,
    year_table,
)

YEARS = rows((1, 2), (30, 40), (5, 6), (7, 8), (9, 10), months=2)


def test_each_year_has_its_mean_from_its_first_month_on():
    table = year_table(with_figures({"money.cost_by_year": YEARS}, number=1))
    assert [row[0] for row in table.rows] == ["January 2027 on", "January 2028 on"]
    assert [row[2] for row in table.rows] == ["EUR 30", "EUR 40"]
    assert table.head[1:] == ("a", "b")


def test_a_shoot_day_is_quoted_at_the_mean():
    cost = {"shoots": five(1.1, 2.2, 3.3, 4.4, 5.5)}
    table = quote_table(with_figures({"money.cost_per_shoot_day": cost}))
    assert table.rows[0][:2] == ("shoots", "EUR 2.2")


def test_orders_have_the_median_month_and_the_mean_price_of_those_that_place_them():
    """In four of five futures, in months 1, 3, 5 and 9 at 100, 200, 300 and 800."""
    orders = (
        order("box", 1, [0] * 5, [1000] * 5),
        order("drives", 2, [1, 3, 5, 9, NEVER], [100, 200, 300, 800, 0]),
        order("drives", 2, [3, 3, 3, 3, 3], [50] * 5),
        order("shelf", 1, [NEVER] * 5, [0] * 5),
    )
    later = {"money.orders": orders, "money.unlisted_orders_cost": five(1, 70, 3, 4, 5)}
    evaluation = with_figures(later)
    assert order_table(evaluation, evaluation.builds[0]).rows == (
        ("January 2027", "1 box", "all futures", "EUR 1,000"),
        ("April 2027", "2 drives", "80 of 100 futures", "EUR 350"),
        ("April 2027", "2 drives", "all futures", "EUR 50"),
        ("later", LATER_ORDERS, "on average", "EUR 70"),
    )


def test_steps_taken_together_stand_in_one_line():
    orders = (order("drives", 2, [3, 3], [50, 50]), order("drives", 1, [3, 3], [20, 20]))
    figures = {"money.orders": orders, "money.unlisted_orders_cost": five(0, 0, 0, 0, 0)}
    evaluation = with_figures(figures)
    assert order_table(evaluation, evaluation.builds[0]).rows == (
        ("April 2027", "3 drives", "all futures", "EUR 70"),
    )


@pytest.mark.parametrize(
    ("what", "count", "words"),
    [
        ("shelf", 1, "1 shelf"),
        ("larger drives", 4, "4 larger drives"),
        ("further box", 1, "1 further box with its drives"),
        ("work", 1, "the work of bringing it in"),
        ("copy: far", 1, "copy: far"),
    ],
)
def test_things_are_counted_and_work_is_not(what, count, words):
    assert order_words(what, count) == words


def test_every_table_of_the_page_is_the_one_that_is_named(drawn):
    heads = {
        "years": "The budget",
        "causes": "Mean costs over",
        "needs": "Needs",
        "quotes": "Storage cost of a shoot day",
        "builds": "Side by side",
        "place": "Place and speed",
        "recorded": "Recorded a month",
        "ladder": "From the labels",
        "copies": "Further copies",
    }
    assert set(heads) == set(TABLES)
    for name, head in heads.items():
        assert TABLES[name](drawn).title.startswith(head)
