"""Numbers in words."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.views.text.numbers import (
    chance,
    chart_name,
    length,
    listed,
    money,
    of_ten,
    plain,
    series,
    significant,
    years_span,
)

DRAWABLE = st.floats(min_value=1e-290, max_value=1e290)


@pytest.mark.parametrize(
    ("value", "digits", "words"),
    [
        (1234.5, 3, "1,230"), (0.041234, 3, "0.0412"), (0, 3, "0"), (99.96, 3, "100"),
        (-1234.5, 2, "-1,200"), (5.0, 3, "5"), (math.inf, 3, "never"),
    ],
)  # fmt: skip
def test_significant_digits(value, digits, words):
    assert significant(value, digits) == words


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.00025, "1 in 4,000"), (0.1, "1 in 10"), (9e-6, "rare; other causes decide"),
        (0.75, "more likely than not (75 %)"), (0.0, "none by this model"), (1e-5, "1 in 100,000"),
    ],
)  # fmt: skip
def test_chances(probability, words):
    assert chance(probability) == words


@pytest.mark.parametrize(
    ("months", "words"),
    [(0, "0 months"), (1, "1 month"), (12, "1 year"), (62, "5 years and 2 months"),
     (math.inf, "not within the horizon")],
)  # fmt: skip
def test_lengths(months, words):
    assert length(months) == words


def test_money_below_half_a_cent_is_none():
    assert money(-2.7e-15, "EUR") == "EUR 0"
    assert money(0.0051, "EUR") == "EUR 0.0051"


def test_a_series_has_four_digits_and_gaps():
    given_numbers = [1.23456, math.inf, 0.0, -98765.4, math.nan, 9999.5]
    assert series(given_numbers) == [1.235, None, 0.0, -98770.0, None, 10000.0]
    assert series([]) == []


@given(st.lists(DRAWABLE | DRAWABLE.map(lambda size: -size), min_size=1, max_size=20))
def test_no_number_moves_by_more_than_half_of_its_fourth_digit(numbers):
    for number, shown in zip(numbers, series(numbers), strict=True):
        place = 10.0 ** (math.floor(math.log10(abs(number))) - 3)
        assert abs(shown - number) <= 0.5000001 * place
        assert len(f"{shown:.12g}".lstrip("-").replace(".", "").split("e")[0].strip("0")) <= 4


def test_small_words():
    assert of_ten(0.8) == "eight of ten"
    assert of_ten(0.99) == "99 of 100"
    assert of_ten(1.0) == "almost all"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert years_span(84) == "seven years"
    assert years_span(90) == "90 months"
    assert series([1.23456, math.inf]) == [1.235, None]


@given(st.text(max_size=400))
def test_a_name_becomes_one_short_harmless_line(name):
    shown = plain(name)
    assert len(shown) <= 60
    assert shown == "" or shown.isprintable()
    assert "<" not in chart_name(name)
    assert plain(shown) == shown
