"""Money over time: costs by month in today's money, by year, and per terabyte-year."""

import math
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked, checked_row
from storagecalc.models.months import delayed
from storagecalc.models.units import MONTHS_PER_YEAR, plain, with_month_axis


def net_present_cost(*, cost_by_month: Any, discount_rate_per_year: Any) -> Any:
    """All costs in the money of month 0.

    Formula: ``sum over t of cost[t] * (1 + r)**(-t/12)``. Month 0 is not discounted (many
    spreadsheets discount the first flow as well).

    Parameters
    ----------
    cost_by_month
        Costs of months 0, 1, ... along the last axis, in any currency; money that comes in is
        negative.
    discount_rate_per_year
        Yearly rate r above -1, what a loan would cost; a float, or an array (positions, draws) or
        (positions, draws, 1).

    Returns
    -------
    float or numpy array
        A float for one row of months, else an array (positions, draws): the month axis is summed.

    Raises
    ------
    ValueError
        Where there is no month, or an argument is not finite or outside its range.

    Examples
    --------
    >>> costs = [100.0] + 11 * [0.0] + [110.0]
    >>> round(net_present_cost(cost_by_month=costs, discount_rate_per_year=0.1), 9)
    200.0
    """
    cost = checked_row("cost_by_month", cost_by_month)
    return plain(_present_sum(cost, discount_rate_per_year))


def levelised_cost_per_tb_year(
    *, cost_by_month: Any, held_tb_by_month: Any, discount_rate_per_year: Any
) -> Any:
    """What holding one TB for a year costs, over the whole time, in today's money.

    Formula: ``sum(cost[t] v**t) / sum(held[t] / 12 v**t)`` with v = (1 + r)**(-1/12). A TB held for
    a month is a twelfth of a TB-year. Costs and TB-years are discounted alike, which is what makes
    the result the constant price that pays for everything.

    Parameters
    ----------
    cost_by_month
        Costs of months 0, 1, ... along the last axis.
    held_tb_by_month
        TB held in the same months, 0 or more: what is demanded, not what is installed.
    discount_rate_per_year
        Yearly rate r above -1; a float, or an array (positions, draws) or (positions, draws, 1).

    Returns
    -------
    float or numpy array
        Cost per TB-year, in the shape of ``net_present_cost``.

    Raises
    ------
    ValueError
        Where nothing is held in any month, the months differ in number, or an argument is not
        finite or outside its range.

    Notes
    -----
    The form that is used for the levelised cost of energy; from memory, no source.

    Examples
    --------
    >>> levelised_cost_per_tb_year(
    ...     cost_by_month=[120.0, 120.0], held_tb_by_month=[24.0, 24.0], discount_rate_per_year=0.0
    ... )
    60.0
    """
    cost = checked_row("cost_by_month", cost_by_month)
    held = checked_row("held_tb_by_month", held_tb_by_month, at_least=0)
    if held.shape[-1] != cost.shape[-1]:
        raise ValueError(
            f"held_tb_by_month must have as many months as cost_by_month "
            f"({cost.shape[-1]}), got {held.shape[-1]}"
        )
    tb_years = _present_sum(held / MONTHS_PER_YEAR, discount_rate_per_year)
    if np.less_equal(tb_years, 0).any():
        raise ValueError("held_tb_by_month must be above 0 in some month, got 0 throughout")
    return plain(_present_sum(cost, discount_rate_per_year) / tb_years)


def equivalent_annual_cost(
    *, net_present_cost: Any, discount_rate_per_year: Any, years: Any
) -> Any:
    """The constant yearly cost, paid at the end of each year, that has the same present value.

    Formula: ``net_present_cost * r / (1 - (1 + r)**(-years))``, and ``net_present_cost / years``
    where r is 0.

    Parameters
    ----------
    net_present_cost
        Cost in the money of month 0.
    discount_rate_per_year
        Yearly rate r, above -1.
    years
        Length of time, above 0; need not be whole.

    Returns
    -------
    float or numpy array
        Cost per year, in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    >>> equivalent_annual_cost(net_present_cost=700.0, discount_rate_per_year=0.0, years=7)
    100.0
    """
    cost = checked("net_present_cost", net_present_cost)
    rate = checked("discount_rate_per_year", discount_rate_per_year, above=-1)
    span = checked("years", years, above=0)
    still = np.asarray(rate) == 0
    some_rate = np.where(still, 1.0, rate)
    recovery = np.where(still, 1 / span, some_rate / -np.expm1(-span * np.log1p(some_rate)))
    return plain(cost * recovery)


def cost_by_year(*, cost_by_month: Any) -> FloatArray:
    """Costs added up over each twelve months from the start.

    Parameters
    ----------
    cost_by_month
        Costs of months 0, 1, ... along the last axis.

    Returns
    -------
    numpy array
        The same shape with a year axis last; the last year may be short.

    Raises
    ------
    ValueError
        Where there is no month, or a cost is not finite.

    Examples
    --------
    >>> cost_by_year(cost_by_month=[1.0] * 18).tolist()
    [12.0, 6.0]
    """
    cost = checked_row("cost_by_month", cost_by_month)
    firsts = np.arange(0, cost.shape[-1], MONTHS_PER_YEAR)
    by_year: FloatArray = np.add.reduceat(cost, firsts, axis=-1)
    return by_year


def with_replacements(*, bought_by_month: Any, service_life_months: Any) -> FloatArray:
    """Things bought and their replacements, each in the month when the one before wears out.

    A thing bought in month t is replaced in months t + life, t + 2 life, and so on; a life that is
    not a whole number of months is rounded up.

    Parameters
    ----------
    bought_by_month
        Count (or cost) bought first in months 0, 1, ... along the last axis, 0 or more.
    service_life_months
        Months a thing serves, above 0; a float, or an array whose last axis has length 1.

    Returns
    -------
    numpy array
        Count bought by month, replacements included, in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where there is no month, the life changes by month, or a value is outside its range.

    Examples
    --------
    >>> with_replacements(bought_by_month=[2.0, 0, 0, 0, 0], service_life_months=2).tolist()
    [2.0, 0.0, 2.0, 0.0, 2.0]
    """
    bought = checked_row("bought_by_month", bought_by_month, at_least=0)
    life = np.ceil(np.asarray(checked("service_life_months", service_life_months, above=0)))
    if life.ndim and life.shape[-1] != 1:
        raise ValueError(
            "service_life_months must not change by month (a last axis of length 1), "
            f"got the shape {life.shape}"
        )
    rounds = math.ceil(bought.shape[-1] / life.min())
    total: FloatArray = bought
    for number in range(1, rounds):
        total = total + delayed(bought, delay_months=number * life)
    # A life per draw spreads the result over draws even where no replacement is due.
    return total + np.zeros((*life.shape[:-1], 1)) if life.ndim else total.copy()


def worth_at_end(
    *,
    price_paid_by_month: Any,
    price_at_end: Any,
    bought_by_month: Any,
    value_kept_per_year_fraction: Any,
    service_life_months: Any,
) -> Any:
    """What everything bought is still worth when the last month is over.

    Formula: ``sum over t of bought[t] * fraction**((T - t)/12) * min(price_paid[t], price_at_end)``
    over the months t with T - t <= life, T being the number of months: never more than a new one
    costs, and nothing once it is worn out.

    Parameters
    ----------
    price_paid_by_month
        Price of one thing in months 0, 1, ... along the last axis, 0 or more.
    price_at_end
        Price of a new one in the last month, 0 or more; a float, or an array (positions, draws) or
        (positions, draws, 1).
    bought_by_month
        Count bought in the same months, 0 or more.
    value_kept_per_year_fraction
        Share of its value a thing keeps over a year, 0 to 1; shapes as of the price at the end.
    service_life_months
        Months a thing serves, above 0; shapes as of the price at the end.

    Returns
    -------
    float or numpy array
        Worth in the currency of the prices: a float for one row of months, else an array
        (positions, draws).

    Raises
    ------
    ValueError
        Where there is no month, the months differ in number, or a value is outside its range.

    Notes
    -----
    A balance that declines by twice the straight line over seven years keeps 5/7 a year:
    Internal Revenue Service, "How To Depreciate Property", Publication 946, table A-1.

    Examples
    --------
    Bought two years and one year before the end, at a price above and below the last one.

    >>> worth_at_end(
    ...     price_paid_by_month=[100.0] * 12 + [60.0] * 12,
    ...     price_at_end=80.0,
    ...     bought_by_month=[1.0] + 11 * [0.0] + [1.0] + 11 * [0.0],
    ...     value_kept_per_year_fraction=0.5,
    ...     service_life_months=60,
    ... )
    50.0
    """
    paid = checked_row("price_paid_by_month", price_paid_by_month, at_least=0)
    bought = checked_row("bought_by_month", bought_by_month, at_least=0)
    months = paid.shape[-1]
    if bought.shape[-1] != months:
        raise ValueError(
            f"bought_by_month must have as many months as price_paid_by_month ({months}), "
            f"got {bought.shape[-1]}"
        )
    new = with_month_axis("price_at_end", checked("price_at_end", price_at_end, at_least=0))
    name = "value_kept_per_year_fraction"
    kept = checked(name, value_kept_per_year_fraction, at_least=0, at_most=1)
    life = checked("service_life_months", service_life_months, above=0)
    owned = months - np.arange(months)
    serves = owned <= with_month_axis("service_life_months", life)
    weight = serves * with_month_axis(name, kept) ** (owned / MONTHS_PER_YEAR)
    return plain(np.einsum("...m,...m->...", np.minimum(paid, new) * weight, bought))


def _present_sum(by_month: FloatArray, discount_rate_per_year: Any) -> Any:
    rate = with_month_axis(
        "discount_rate_per_year",
        checked("discount_rate_per_year", discount_rate_per_year, above=-1),
    )
    years = np.arange(by_month.shape[-1]) / MONTHS_PER_YEAR
    factor = np.exp(-years * np.log1p(rate))
    return np.einsum("...m,...m->...", by_month, factor)
