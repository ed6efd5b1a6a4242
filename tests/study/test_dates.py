"""Months of a scenario as dates of the calendar, and back."""

from datetime import date

import pytest

from storagecalc.study.dates import month_date, months_between


@pytest.mark.parametrize(
    ("months", "day"),
    [
        (0, date(2027, 11, 1)),
        (2, date(2028, 1, 1)),
        (2.7, date(2028, 1, 1)),
        (-0.5, date(2027, 10, 1)),
        (-11, date(2026, 12, 1)),
    ],
)
def test_part_of_a_month_counts_as_none_and_the_past_is_before_the_start(months, day):
    start = date(2027, 11, 15)
    assert month_date(start, months) == day
    if months == int(months):
        assert months_between(start, day) == months
