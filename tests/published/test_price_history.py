"""Published prices of drives, and what the defaults of their paths make of them."""

import math

import numpy as np
import pytest
from scipy import stats

from storagecalc.models.prices import price_by_month, shortage_factors, stray_factors
from storagecalc.models.tables import table
from storagecalc.study.scenario.prices import DRIVE_PRICE_DRIFT, DRIVE_PRICE_SHOCK
from storagecalc.study.scenario.scenario import HORIZON_MONTHS

YEARS = np.arange(2010, 2024)
RUN_YEARS = HORIZON_MONTHS // 12


def price(key):
    """A price of the table, a TB."""
    (found,) = (row["price_per_tb"] for row in table("drive_prices") if row["key"] == key)
    return float(found)


def yearly_changes():
    """Changes of the logarithm, 2010 to 2023. A running minimum, so they hide what rose between."""
    return np.diff(np.log([price(f"cheapest_{year}") for year in YEARS]))


def test_strays_worked_back_from_print_lead_through_every_printed_price():
    changes = yearly_changes()
    drift, shock = changes.mean(), changes.std(ddof=1)
    months = 12 * len(changes) + 1
    trend = price_by_month(
        price_today=price("cheapest_2010"), change_per_year=math.expm1(drift), months=months
    )
    # The last month begins a year of its own.
    shares = [*stats.norm.cdf((changes - drift) / shock), 0.5]
    walked = trend * stray_factors(shock_per_year=shock, shares_by_year=shares, months=months)
    printed = [price(f"cheapest_{year}") for year in YEARS]
    np.testing.assert_allclose(walked[::12], printed, rtol=1e-12)


def test_a_shortage_leads_from_the_printed_low_to_the_printed_high_and_back():
    before, dearest = price("before_the_floods"), price("dearest_after_the_floods")
    factors = shortage_factors(
        price_factor=dearest / before, begins_after_months=1, lasts_months=8, recovery_months=15,
        months=25,
    )  # fmt: skip
    prices = before * factors
    assert prices[0] == before
    assert prices.max() == pytest.approx(dearest)
    assert prices[24] == pytest.approx(price("two_years_after_the_floods"))
    assert np.all(prices[1:24] > before)


def test_the_default_shock_is_what_thirteen_printed_changes_tell_of_their_spread():
    """Deviation over the root of a chi-squared number, a tenth of it to either side."""
    changes = yearly_changes()
    free = len(changes) - 1
    deviation = changes.std(ddof=1)
    assert deviation == pytest.approx(0.084, abs=0.0005)
    told = [
        deviation * math.sqrt(free / stats.chi2.ppf(1 - share, free)) for share in (0.1, 0.5, 0.9)
    ]
    default = [DRIVE_PRICE_SHOCK.low, DRIVE_PRICE_SHOCK.middle, DRIVE_PRICE_SHOCK.high]
    np.testing.assert_allclose(default, told, atol=0.0025)


def in_2026():
    """The median of what one shop asks in 2026, the dear year: dollars of 2026."""
    tiers = [float(r["price_per_tb"]) for r in table("drive_prices") if r["when"] == "2026-08-17"]
    assert len(tiers) == 11
    return float(np.median(tiers))


def test_the_default_trend_spans_the_printed_runs_as_long_as_the_horizon():
    """Seven-year runs since 2008: none falls faster than its low end, one in ten rises faster than
    its high end, the run that ends in 2026."""
    prices = {year: price(f"cheapest_{year}") for year in range(2008, 2024)} | {2026: in_2026()}
    runs = {
        year: (prices[year + RUN_YEARS] / prices[year]) ** (1 / RUN_YEARS) - 1
        for year in prices
        if year + RUN_YEARS in prices
    }
    assert RUN_YEARS == 7
    assert len(runs) == 10
    assert min(runs.values()) >= DRIVE_PRICE_DRIFT.low
    assert [year for year, run in runs.items() if run > DRIVE_PRICE_DRIFT.high] == [2019]


def test_the_middle_of_the_default_trend_is_between_the_falls_to_2023_and_to_2026():
    to_2023 = math.expm1(yearly_changes().mean())
    to_2026 = (in_2026() / price("cheapest_2010")) ** (1 / 16) - 1
    assert to_2023 == pytest.approx(-0.117, abs=0.0005)
    assert to_2023 < DRIVE_PRICE_DRIFT.middle < to_2026
    assert (to_2023 + to_2026) / 2 == pytest.approx(DRIVE_PRICE_DRIFT.middle, abs=0.005)
