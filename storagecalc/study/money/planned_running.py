"""What a thing that stands costs in a month, as a planner counts it: power and failures."""

from typing import Any

from storagecalc.models.checks import FloatArray
from storagecalc.models.power import energy_kwh_per_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.axes import mean_number, mean_row
from storagecalc.study.money.price_paths import PricePaths, box_price, drive_price
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


def drive_running(drawn: Scenario, prices: PricePaths, key: str) -> FloatArray:
    """Power of one drive of a class, and its failures out of warranty, (months,).

    Each month bears the mean over the life of a drive: what fails is paid for in the share of it
    that no warranty covers.

    Parameters
    ----------
    drawn, prices
        As of `plan_problem`.
    key
        The class.
    """
    drives = drawn.drives[key]
    power = prices.kwh_price * energy_kwh_per_month(power_w=drives.power_w)
    uncovered = _uncovered(drives.warranty_years, drives.service_life_years)
    rate = mean_number(drives.failures_per_drive_year) / MONTHS_PER_YEAR * uncovered
    return mean_row(power) + rate * mean_row(drive_price(drawn, prices, key))


def box_running(drawn: Scenario, build: Build, prices: PricePaths) -> FloatArray:
    """Power of an empty box, and its failures out of warranty, (months,).

    Parameters
    ----------
    drawn, prices
        As of `plan_problem`.
    build
        The build whose box it is.
    """
    power = prices.kwh_price * energy_kwh_per_month(power_w=build.box_power_w)
    uncovered = _uncovered(build.box_warranty_years, build.box_life_years)
    rate = mean_number(build.box_failures_per_year) / MONTHS_PER_YEAR * uncovered
    return mean_row(power) + rate * mean_row(box_price(drawn, build, prices))


def _uncovered(warranty_years: Any, life_years: Any) -> float:
    """The share of its life that no warranty covers."""
    return max(0.0, 1.0 - mean_number(warranty_years) / mean_number(life_years))
