"""Months of a scenario as dates of the calendar, and back."""

import math
from datetime import date

from storagecalc.models.units import MONTHS_PER_YEAR


def month_date(start: date, months: float) -> date:
    """The first day of the month that lies so many whole months after the start.

    Parameters
    ----------
    start
        The scenario's first month.
    months
        Finite; part of a month counts as none, and below 0 it lies before the start.
    """
    count = start.year * MONTHS_PER_YEAR + start.month - 1 + math.floor(months)
    return date(count // MONTHS_PER_YEAR, count % MONTHS_PER_YEAR + 1, 1)


def months_between(start: date, later: date) -> int:
    """Whole calendar months from the month of ``start`` to the month of ``later``."""
    return (later.year - start.year) * MONTHS_PER_YEAR + later.month - start.month
