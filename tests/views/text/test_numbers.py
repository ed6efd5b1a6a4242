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
    of_hundred,
    plain,
    rounded_parts,
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
        (0.00025, "1 in 4,000"), (0.1, "1 in 10"), (9e-6, "fewer than 1 in 100,000"),
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
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert years_span(84) == "seven years"
    assert years_span(90) == "90 months"
    assert series([1.23456, math.inf]) == [1.235, None]


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "no"), (1.0, "all"), (0.8, "80 of 100"), (0.799, "80 of 100"), (0.01, "1 of 100"),
        (0.001, "fewer than 1 of 100"), (0.999, "more than 99 of 100"), (0.994, "99 of 100"),
    ],
)  # fmt: skip
def test_shares_of_futures_and_all_or_no_only_where_it_is_so(share, words):
    assert of_hundred(share) == words


def test_parts_are_rounded_so_that_they_add_up():
    """Each by itself would be 300, 300 and 300, and the total 1,000."""
    assert rounded_parts([333, 333, 334], 1000, 1) == [0, 0, 1000]
    assert rounded_parts([333, 333, 334], 1000) == [330, 330, 340]
    assert rounded_parts([1234, -222], 1012) == [1230, -220]
    assert rounded_parts([1, -1], 0) == [1, -1]


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=12))
def test_rounded_parts_add_up_to_the_rounded_total_and_stray_less_than_a_step(parts):
    total = sum(parts)
    if abs(total) < 1e-3 + 1e-3 * max(map(abs, parts)):
        return
    step = 10.0 ** (math.floor(math.log10(abs(total))) - 2)
    rounded = rounded_parts(parts, total)
    assert sum(rounded) == pytest.approx(round(total / step) * step, abs=step * 1e-6)
    for part, shown in zip(parts, rounded, strict=True):
        assert abs(part - shown) <= step * (1 + 1e-9)


@given(st.text(max_size=400))
def test_a_name_becomes_one_short_harmless_line(name):
    shown = plain(name)
    assert len(shown) <= 60
    assert shown == "" or shown.isprintable()
    assert "<" not in chart_name(name)
    assert plain(shown) == shown
