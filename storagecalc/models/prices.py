"""Price paths: what a thing costs in each month."""

from typing import Any

from storagecalc.models.checks import FloatArray, checked
from storagecalc.models.months import grown_by_month
from storagecalc.models.units import with_month_axis


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
    price = with_month_axis("price_today", checked("price_today", price_today, at_least=0))
    prices: FloatArray = price * grown_by_month(change_per_year=change_per_year, months=months)
    return prices
