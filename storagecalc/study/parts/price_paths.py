"""How prices move from month to month: the same for every build."""

from dataclasses import dataclass
from typing import Any

from storagecalc.models.checks import FloatArray
from storagecalc.models.prices import price_by_month
from storagecalc.study.axes import unmonthed
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class PricePaths:
    """Prices relative to today's, each of shape (positions, draws, months) or less.

    ``box`` holds for boxes and shelves, ``hour`` and ``kwh`` are in money.
    """

    box: FloatArray
    drive: FloatArray
    general: FloatArray
    hour: FloatArray
    kwh: FloatArray


def price_paths(numbers: Scenario) -> PricePaths:
    """The paths that all prices of a scenario follow.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays.
    """
    moves, running = numbers.prices, numbers.running

    def path(change_per_year: Any) -> FloatArray:
        return price_by_month(
            price_today=1.0,
            change_per_year=unmonthed(change_per_year),
            months=numbers.horizon_months,
        )

    general = path(moves.inflation_per_year)
    return PricePaths(
        box=path(moves.box_change_per_year),
        drive=path(moves.drive_change_per_year),
        general=general,
        hour=running.labour_price_per_h * general,
        kwh=running.electricity_price_per_kwh * path(moves.electricity_change_per_year),
    )
