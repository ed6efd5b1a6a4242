"""The drives of a build by class: bought, in service, failing, and failing out of warranty."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import with_replacements
from storagecalc.models.checks import FloatArray
from storagecalc.models.failure import expected_drive_failures_by_month
from storagecalc.models.months import delayed
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.capacity.owned import months_left
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.drives import DriveClass
from storagecalc.study.scenario.owned import Lot, moved_class, moved_lots
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class DrivesInService:
    """Drives of one class in one build; arrays of shape (positions, draws, months).

    ``bought_by_month`` counts successors of drives at the end of their service life too, and spares
    in the cupboard; ``staying_drives_by_month`` are those of them that larger ones never take the
    place of, and ``swapped_drives_by_month`` those that have been swapped out so far.
    ``failures`` are those of all months, shape (positions, draws, 1), and
    ``uncovered_failures_by_month`` those out of warranty, which are paid for.
    """

    drives: DriveClass
    bought_by_month: FloatArray
    staying_drives_by_month: FloatArray
    count_by_month: FloatArray
    swapped_drives_by_month: FloatArray
    failures: FloatArray
    uncovered_failures_by_month: FloatArray


def drives_in_service(
    drawn: Scenario,
    build: Build,
    ordered: FloatArray,
    spares_ordered: FloatArray,
    count: FloatArray,
    larger_ordered: FloatArray,
    larger_count: FloatArray,
    stands: FloatArray | None,
) -> dict[str, DrivesInService]:
    """The build's own drives, those owned before, and the larger ones it can be swapped to.

    Drives owned before that reach the end of their service life give way to the build's own.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build
        The build they are in.
    ordered, spares_ordered, count
        Drives of its own class ordered by month, cold spares beside them, and all drives in place.
    larger_ordered, larger_count
        Larger drives swapped in: ordered, and in place among the others.
    stands
        Whether the build stands in each month; None where always.
    """
    others, swapped, none = {}, larger_count, np.zeros((1, 1, count.shape[-1]))
    if build.swap_to is not None:
        others["larger drives"] = _in_service(
            drawn.drives[build.swap_to], larger_ordered, none, larger_count, none
        )
        count = count - larger_count
    moved = moved_lots(drawn.owned, build)
    if moved:
        stay = (larger_count == 0).astype(np.float64)
        olds, worn_out = _old_drives(_moved_drives(drawn, build), moved, stay, stands)
        others["old drives"] = olds
        count, ordered = count - olds.count_by_month, ordered + worn_out
        # Those owned before were swapped out too, unless they had been replaced by then.
        never_bought = sum(lot.count for lot in moved) - worn_out.sum(axis=-1, keepdims=True)
        swapped = np.where(larger_count > 0, larger_count - never_bought, 0.0)
    own = _in_service(drawn.drives[build.drives], ordered, spares_ordered, count, swapped)
    return {"drives": own, **others}


def _in_service(
    drives: DriveClass,
    ordered: FloatArray,
    spares: FloatArray,
    count: FloatArray,
    swapped_out: FloatArray,
) -> DrivesInService:
    life_months = drives.service_life_years * MONTHS_PER_YEAR
    # The oldest are swapped out; from then on they have no successors.
    earlier = np.cumsum(ordered, axis=-1) - ordered
    leaving = np.clip(swapped_out[..., -1:] - earlier, 0.0, ordered)
    not_yet = swapped_out == 0
    staying = _with_successors(ordered - leaving, life_months, True)
    leaving = _with_successors(leaving, life_months, not_yet)
    in_cupboard = _with_successors(spares, life_months, count > 0)
    spans = {"warranty_years": drives.warranty_years, "life_years": drives.service_life_years}
    old = out_of_warranty(staying, **spans)
    if leaving.any():
        old = old + not_yet * out_of_warranty(leaving, **spans)
    bought = staying + leaving + in_cupboard
    return _mended(
        drives, bought, staying + in_cupboard, count, swapped_out, np.minimum(old, count)
    )


def _with_successors(bought: FloatArray, life_months: Any, needed: Any) -> FloatArray:
    """Drives bought, and those that replace them when worn out, in months where they are needed."""
    if not bought.any() or np.all(life_months >= bought.shape[-1]):
        return bought
    ever = with_replacements(bought_by_month=bought, service_life_months=life_months)
    with_later: FloatArray = bought + (ever - bought) * needed
    return with_later


def kept_in_service(
    drawn: Scenario, build: Build, stands_by_month: FloatArray
) -> dict[str, DrivesInService]:
    """The drives of a box that is kept as it is, and those that replace them while it is kept.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build
        The box as a build.
    stands_by_month
        1 in the months in which it stands, else 0.
    """
    drives = _moved_drives(drawn, build)
    olds, worn_out = _old_drives(drives, moved_lots(drawn.owned, build), stands_by_month, None)
    count = build.drives_at_first * stands_by_month - olds.count_by_month
    gone = np.where(stands_by_month > 0, 0.0, worn_out.sum(axis=-1, keepdims=True))
    own = _in_service(drives, worn_out, np.zeros((1, 1, drawn.horizon_months)), count, gone)
    return {"drives": own, "old drives": olds}


def _moved_drives(drawn: Scenario, build: Build) -> DriveClass:
    return drawn.drives[str(moved_class(drawn.owned, build))]


def _old_drives(
    drives: DriveClass, lots: Sequence[Lot], stay: FloatArray, stands: FloatArray | None
) -> tuple[DrivesInService, FloatArray]:
    """Drives owned before the start, and how many of them wear out in each month.

    They run while they stay, from the month on in which the box stands.
    """
    months = np.arange(stay.shape[-1])
    none = np.zeros((1, 1, len(months)))
    in_service = uncovered = worn_out = none
    for lot in lots:
        worn_out_in = months_left(drives.service_life_years, lot.age_years)
        running = float(lot.count) * stay * (months < worn_out_in)
        running = running if stands is None else running * stands
        in_service = in_service + running
        late = months >= months_left(drives.warranty_years, lot.age_years)
        uncovered = uncovered + running * late
        worn_out = worn_out + float(lot.count) * stay * (months == worn_out_in)
    return _mended(drives, none, none, in_service, none, uncovered), worn_out


def _mended(
    drives: DriveClass,
    bought: FloatArray,
    staying: FloatArray,
    count: FloatArray,
    swapped_out: FloatArray,
    uncovered: FloatArray,
) -> DrivesInService:
    rate = drives.failures_per_drive_year
    return DrivesInService(
        drives=drives,
        bought_by_month=bought,
        staying_drives_by_month=staying,
        count_by_month=count,
        swapped_drives_by_month=swapped_out,
        failures=_failures(count.sum(axis=-1, keepdims=True), rate),
        uncovered_failures_by_month=_failures(uncovered, rate),
    )


def olds_by_month(drives: Mapping[str, DrivesInService]) -> FloatArray:
    """Drives owned before that are still in service, (positions, draws, months)."""
    olds = drives.get("old drives")
    return np.zeros((1, 1, 1)) if olds is None else olds.count_by_month


def out_of_warranty(bought: FloatArray, *, warranty_years: Any, life_years: Any) -> FloatArray:
    """Things older than their warranty and not yet at the end of their life, by month."""
    ever = np.cumsum(bought, axis=-1)
    old = delayed(ever, delay_months=warranty_years * MONTHS_PER_YEAR)
    life_months = life_years * MONTHS_PER_YEAR
    if np.all(life_months >= ever.shape[-1]):
        return old
    return np.maximum(old - delayed(ever, delay_months=life_months), 0.0)


def _failures(count_by_month: FloatArray, rate: Any) -> FloatArray:
    failures: FloatArray = expected_drive_failures_by_month(
        drive_count_by_month=count_by_month, failures_per_drive_year=rate
    )
    return failures
