"""The drives of a build by class: bought, in service, failing, and failing out of warranty."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
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

    ``what`` is what an order calls them, ``key`` that of their class. ``bought_by_month`` counts
    successors of drives at the end of their service life too, and spares in the cupboard;
    ``staying_drives_by_month`` are those of them that larger ones never take the place of, and
    ``swapped_drives_by_month`` those that have been swapped out so far. ``failures`` are those of
    all months, shape (positions, draws, 1), and ``uncovered_failures_by_month`` those out of
    warranty, which are paid for.
    """

    what: str
    key: str
    drives: DriveClass
    bought_by_month: FloatArray
    staying_drives_by_month: FloatArray
    count_by_month: FloatArray
    swapped_drives_by_month: FloatArray
    failures: FloatArray
    uncovered_failures_by_month: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class StintByMonth:
    """Drives of a stint by month: ordered, in place, and swapped out so far.

    ``what`` and ``key`` as of `DrivesInService`.
    """

    what: str
    key: str
    drives: DriveClass
    ordered_drives_by_month: FloatArray
    count_by_month: FloatArray
    swapped_drives_by_month: FloatArray


def drives_in_service(
    drawn: Scenario,
    build: Build,
    stints: Sequence[StintByMonth],
    spares_ordered: FloatArray,
    stands: FloatArray | None,
) -> dict[str, DrivesInService]:
    """The build's own drives, those owned before, and others that come later.

    Drives owned before that reach the end of their service life give way to the build's own.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build
        The build they are in.
    stints
        Its drives as they come and go; those owned before are in the first.
    spares_ordered
        Cold spares ordered by month, of the class of the first.
    stands
        Whether the build stands in each month; None where always.
    """
    own, *later = stints
    none = np.zeros((1, 1, spares_ordered.shape[-1]))
    found: dict[str, DrivesInService] = {}
    for number, each in enumerate(later, start=2):
        is_taken = each.what in ("drives", *found)
        name = f"{each.what} {number}" if is_taken else each.what
        found[name] = _in_service(each, none)
    moved = moved_lots(drawn.owned, build)
    if moved:
        stay = (own.swapped_drives_by_month == 0).astype(np.float64)
        olds, worn_out = _old_drives(_moved(drawn, build), moved, stay, stands)
        found["old drives"] = olds
        # Those owned before were swapped out too, unless they had been replaced by then.
        never_bought = sum(lot.count for lot in moved) - worn_out.sum(axis=-1, keepdims=True)
        own = replace(
            own,
            ordered_drives_by_month=own.ordered_drives_by_month + worn_out,
            count_by_month=own.count_by_month - olds.count_by_month,
            swapped_drives_by_month=np.where(
                own.swapped_drives_by_month > 0, own.swapped_drives_by_month - never_bought, 0.0
            ),
        )
    return {"drives": _in_service(own, spares_ordered), **found}


def _in_service(stint: StintByMonth, spares: FloatArray) -> DrivesInService:
    drives, ordered, swapped_out = (
        stint.drives,
        stint.ordered_drives_by_month,
        stint.swapped_drives_by_month,
    )
    life_months = drives.service_life_years * MONTHS_PER_YEAR
    # The oldest are swapped out; from then on they have no successors.
    earlier = np.cumsum(ordered, axis=-1) - ordered
    leaving = np.clip(swapped_out[..., -1:] - earlier, 0.0, ordered)
    not_yet = swapped_out == 0
    staying = _with_successors(ordered - leaving, life_months, True)
    leaving = _with_successors(leaving, life_months, not_yet)
    in_cupboard = _with_successors(spares, life_months, stint.count_by_month > 0)
    spans = {"warranty_years": drives.warranty_years, "life_years": drives.service_life_years}
    old = out_of_warranty(staying, **spans)
    if leaving.any():
        old = old + not_yet * out_of_warranty(leaving, **spans)
    bought = staying + leaving + in_cupboard
    uncovered = np.minimum(old, stint.count_by_month)
    return _mended(stint, bought, staying + in_cupboard, uncovered)


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
    moved = _moved(drawn, build)
    olds, worn_out = _old_drives(moved, moved_lots(drawn.owned, build), stands_by_month, None)
    own = replace(
        moved,
        what="drives",
        ordered_drives_by_month=worn_out,
        count_by_month=build.drives_at_first * stands_by_month - olds.count_by_month,
        swapped_drives_by_month=np.where(
            stands_by_month > 0, 0.0, worn_out.sum(axis=-1, keepdims=True)
        ),
    )
    none = np.zeros((1, 1, drawn.horizon_months))
    return {"drives": _in_service(own, none), "old drives": olds}


def _moved(drawn: Scenario, build: Build) -> StintByMonth:
    """Drives owned before, none of which is ever ordered."""
    key, none = str(moved_class(drawn.owned, build)), np.zeros((1, 1, drawn.horizon_months))
    drives = drawn.drives[key]
    return StintByMonth(
        what="old drives",
        key=key,
        drives=drives,
        ordered_drives_by_month=none,
        count_by_month=none,
        swapped_drives_by_month=none,
    )


def _old_drives(
    moved: StintByMonth, lots: Sequence[Lot], stay: FloatArray, stands: FloatArray | None
) -> tuple[DrivesInService, FloatArray]:
    """Drives owned before the start, and how many of them wear out in each month.

    They run while they stay, from the month on in which the box stands.
    """
    drives, months = moved.drives, np.arange(stay.shape[-1])
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
    return _mended(replace(moved, count_by_month=in_service), none, none, uncovered), worn_out


def _mended(
    stint: StintByMonth, bought: FloatArray, staying: FloatArray, uncovered: FloatArray
) -> DrivesInService:
    rate = stint.drives.failures_per_drive_year
    return DrivesInService(
        what=stint.what,
        key=stint.key,
        drives=stint.drives,
        bought_by_month=bought,
        staying_drives_by_month=staying,
        count_by_month=stint.count_by_month,
        swapped_drives_by_month=stint.swapped_drives_by_month,
        failures=_failures(stint.count_by_month.sum(axis=-1, keepdims=True), rate),
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
