"""Numbers in words."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.views.text.numbers import (
    chance,
    chart_name,
    exact_chance,
    in_unit,
    length,
    listed,
    met_hundredths,
    met_of_hundred,
    money,
    of_hundred,
    plain,
    rounded_parts,
    series,
    shared_denominator,
    short,
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
    ("probability", "denominator", "words"),
    [
        (0.00025, 10_000, "3 in 10,000"), (0.00025, 100_000, "25 in 100,000"),
        (0.1, 100, "10 in 100"), (9e-6, 100_000, "fewer than 1 in 100,000"),
        (9e-4, 1000, "fewer than 1 in 1,000"), (0.75, 100, "75 in 100"),
        (0.0, 100, "none by this model"), (1e-5, 100_000, "1 in 100,000"),
        (0.12345, 100_000, "12,000 in 100,000"), (0.98765, 100_000, "98,800 in 100,000"),
        (0.9999, 1000, "more than 999 in 1,000"), (1.0, 1000, "1,000 in 1,000"),
    ],
)  # fmt: skip
def test_chances(probability, denominator, words):
    assert chance(probability, denominator) == words


@pytest.mark.parametrize(
    ("chances", "denominator"),
    [
        ([], 100), ([0.0], 100), ([0.01, 0.3], 100), ([0.009, 0.3], 1000),
        ([0.0033, 0.0025], 10_000), ([0.0033], 1000), ([0.00331, 0.00332], 1000),
        ([0.2, 1e-5], 100_000), ([0.2, 1e-9], 100_000),
    ],
)  # fmt: skip
def test_a_page_counts_in_the_least_that_tells_its_chances_apart(chances, denominator):
    assert shared_denominator(chances) == denominator


@given(st.lists(st.floats(0, 1), max_size=6))
def test_chances_that_differ_read_alike_only_where_the_finest_count_does_not_help(chances):
    denominator = shared_denominator(chances)
    told = {chance(each, denominator) for each in chances}
    assert len(told) == len({chance(each, 100_000) for each in chances})
    assert not any(words.startswith("1 in 1 ") or "." in words for words in told)
    least = "fewer than 1 in 100,000"
    assert all(words == least for words in told if words.startswith("fewer"))


def test_what_is_asked_keeps_its_parts_of_one():
    assert exact_chance(0.0015, 1000) == "1.5 in 1,000"
    assert exact_chance(1e-9, 100_000) == "0.0001 in 100,000"


@pytest.mark.parametrize(
    ("months", "words"),
    [(0, "0 months"), (1, "1 month"), (12, "1 year"), (62, "5 years and 2 months")],
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
    assert years_span(12) == "one year"
    assert in_unit("1", "streams") == "1 stream"
    assert in_unit("1.2", "streams") == "1.2 streams"
    assert in_unit("1", "W") == "1 W"
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


@pytest.mark.parametrize(
    ("name", "told"),
    [
        # Six words, thirty characters.
        ("aaaa bbbb cccc dddd eeee fffff", "aaaa bbbb cccc dddd eeee fffff"),
        ("a b c d e f g", "a b c d e… g"),
        ("a b c d e, f g", "a b c d e… g"),
        # What is left has thirty characters, or would have one more.
        ("aaaa bbbb cccc dddd eeee ff gggg", "aaaa bbbb cccc dddd eeee… gggg"),
        ("aaaa bbbb cccc dddd eeee ff ggggg", "aaaa bbbb cccc dddd… ggggg"),
        ("x" * 31, f"{'x' * 29}…"),
    ],
)
def test_a_short_name_has_six_words_and_thirty_characters_at_most(name, told):
    assert short(name) == f"“{told}”"


@pytest.mark.parametrize(
    ("fraction", "hundredths", "words"),
    [
        (0.797, 79, "79 of 100"),
        # A hundred times 0.29 is a little less than 29 in the machine.
        (0.29, 29, "29 of 100"),
        (0.996, 99, "more than 99 of 100"),
        (0.003, 0, "fewer than 1 of 100"),
        (0.0, 0, "no"),
        (1.0, 100, "all"),
    ],
)
def test_how_often_a_need_is_met_is_never_rounded_up(fraction, hundredths, words):
    assert met_hundredths(fraction) == hundredths
    assert met_of_hundred(fraction) == words
