"""Numbers as the charts get them."""

import math

from hypothesis import given
from hypothesis import strategies as st

from storagecalc.views.charts.style import series

DRAWABLE = st.floats(min_value=1e-290, max_value=1e290)


def test_four_digits_and_gaps():
    given_numbers = [1.23456, math.inf, 0.0, -98765.4, math.nan, 9999.5]
    assert series(given_numbers) == [1.235, None, 0.0, -98770.0, None, 10000.0]
    assert series([]) == []


@given(st.lists(DRAWABLE | DRAWABLE.map(lambda size: -size), min_size=1, max_size=20))
def test_no_number_moves_by_more_than_half_of_its_fourth_digit(numbers):
    for number, shown in zip(numbers, series(numbers), strict=True):
        place = 10.0 ** (math.floor(math.log10(abs(number))) - 3)
        assert abs(shown - number) <= 0.5000001 * place
        assert len(f"{shown:.12g}".lstrip("-").replace(".", "").split("e")[0].strip("0")) <= 4
