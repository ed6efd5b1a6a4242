"""The drives of a build by class: bought, in service, failing, and failing out of warranty."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import with_replacements
from storagecalc.models.checks import FloatArray
from storagecalc.models.failure import expected_drive_failures_by_month
from storagecalc.models.months import delayed
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.parts.purchases import Purchases
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.drives import DriveClass
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Fleet:
    """Drives of one class in one build; arrays of shape (positions, draws, months).

    ``bought_by_month`` counts successors of drives at the end of their service life too;
    ``failures`` are those of all months, shape (positions, draws), and
    ``uncovered_failures_by_month`` those out of warranty, which are paid for.
    """

    drives: DriveClass
    bought_by_month: FloatArray
    count_by_month: FloatArray
    failures: FloatArray
    uncovered_failures_by_month: FloatArray


def fleets(numbers: Scenario, build: Build, bought: Purchases) -> dict[str, Fleet]:
    """The build's own drives, and the larger ones where it can be swapped to them.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays.
    build, bought
        The build and what it buys.
    """
    own_count = bought.drive_count_by_month
    found = {}
    if build.swap_to is not None:
        own_count = own_count - bought.larger_drive_count_by_month
        larger = numbers.drives[build.swap_to]
        found["larger drives"] = _fleet(
            larger, bought.larger_drives_ordered_by_month, bought.larger_drive_count_by_month
        )
    own = _fleet(
        numbers.drives[build.drives],
        bought.drives_ordered_by_month,
        own_count,
        owned_before=build.old_drive_count,
    )
    return {"drives": own, **found}


def _fleet(
    drives: DriveClass, ordered: FloatArray, count: FloatArray, owned_before: int = 0
) -> Fleet:
    life_months = drives.service_life_years * MONTHS_PER_YEAR
    all_bought = with_replacements(bought_by_month=ordered, service_life_months=life_months)
    # A drive that has been swapped out has no successor.
    successors = np.minimum(all_bought - ordered, count)
    bought = ordered + successors
    rate = drives.failures_per_drive_year
    old = out_of_warranty(
        bought, warranty_years=drives.warranty_years, life_years=drives.service_life_years
    )
    uncovered = np.minimum(old + owned_before, count)
    return Fleet(
        drives=drives,
        bought_by_month=bought,
        count_by_month=count,
        failures=_failures(count.sum(axis=-1, keepdims=True), rate)[..., 0],
        uncovered_failures_by_month=_failures(uncovered, rate),
    )


def out_of_warranty(bought: FloatArray, *, warranty_years: Any, life_years: Any) -> FloatArray:
    """Things older than their warranty and not yet at the end of their life, by month."""
    ever = np.cumsum(bought, axis=-1)
    old = delayed(ever, delay_months=warranty_years * MONTHS_PER_YEAR)
    retired = delayed(ever, delay_months=life_years * MONTHS_PER_YEAR)
    return np.maximum(old - retired, 0.0)


def _failures(count_by_month: FloatArray, rate: Any) -> FloatArray:
    failures: FloatArray = expected_drive_failures_by_month(
        drive_count_by_month=count_by_month, failures_per_drive_year=rate
    )
    return failures
