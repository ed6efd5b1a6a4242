"""Price paths: what a thing costs in each month."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_whole
from storagecalc.models.units import MONTHS_PER_YEAR, with_month_axis


def price_by_month(*, price_today: Any, change_per_year: Any, months: int) -> FloatArray:
    """The price in each month when it changes by the same share every year.

    Formula: ``price_today * (1 + change_per_year)**(t/12)`` for t = 0, 1, ... months - 1; month 0
    is today.

    A smooth path is an assumption: prices of drives have also stood still for years and risen by
    half within months. Compare more than one ``change_per_year``.

    Parameters
    ----------
    price_today
        Price in month 0, 0 or more, in any currency; a float, or an array (positions, draws)
        or (positions, draws, 1).
    change_per_year
        Share by which the price changes in a year, above -1: -0.1 falls by a tenth a year; a float
        or an array as above.
    months
        Number of months, 1 or more.

    Returns
    -------
    numpy array
        Prices of shape (months,), or (positions, draws, months) where an argument is an array.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    >>> price_by_month(price_today=100.0, change_per_year=0.0, months=3).tolist()
    [100.0, 100.0, 100.0]
    """
    months = checked_whole("months", months, at_least=1)
    price = with_month_axis("price_today", checked("price_today", price_today, at_least=0))
    change = with_month_axis(
        "change_per_year", checked("change_per_year", change_per_year, above=-1)
    )
    years = np.arange(months) / MONTHS_PER_YEAR
    prices: FloatArray = price * np.exp(years * np.log1p(change))
    return prices
