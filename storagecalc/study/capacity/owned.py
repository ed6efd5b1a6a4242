"""What is owned before the start: drives that move, a box that goes on, boxes kept beside."""

from dataclasses import dataclass

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.capacity.space import Space, space
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.owned import OF_THE_BOX, moved_drive_count
from storagecalc.study.scenario.quantity import Amount
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBox:
    """A box that is kept beside a build, as a build of its own that never grows.

    ``name`` is what people call it. ``stands_by_month`` is 1 in the months in which it stands,
    else 0, (positions, draws, months).
    """

    name: str
    build: Build
    space: Space
    stands_by_month: FloatArray


def kept_boxes(drawn: Scenario, build: Build) -> tuple[KeptBox, ...]:
    """The boxes that a build keeps beside it, each until it is worn out or for so many months.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build
        The build that keeps them.
    """
    return tuple(_kept_box(drawn, name, build.keeps_months) for name in build.keeps)


def kept_tb_by_month(kept: tuple[KeptBox, ...]) -> FloatArray:
    """Plannable TB of all that is kept, (positions, draws, months); one 0 where that is nothing."""
    parts = (each.space.ladder.plannable_tb * each.stands_by_month for each in kept)
    return sum(parts, np.zeros((1, 1, 1)))


def beside_kept(held: FloatArray, kept_tb: FloatArray) -> FloatArray:
    """TB held that what is kept has no space for."""
    if kept_tb.shape[-1] == 1:
        return held
    left: FloatArray = np.maximum(held - kept_tb, 0.0)
    return left


def _kept_box(drawn: Scenario, name: str, keeps_months: int | None) -> KeptBox:
    owned = drawn.owned[name]
    of_the_box = (*OF_THE_BOX, "box_price", "drives", "redundancy", "hot_spares")
    build = Build.model_construct(
        **{field: getattr(owned, field) for field in of_the_box},
        bays=owned.drive_count,
        drives_at_first=owned.drive_count,
        starts_in=name,
        drives_from=name,
    )
    until: Amount = keeps_months
    if until is None:
        until = months_left(owned.box_life_years, owned.box_age_years)
    months = np.arange(drawn.horizon_months)[None, None]
    kept = (months < until).astype(np.float64)
    return KeptBox(
        name=owned.name or name, build=build, space=space(drawn, build), stands_by_month=kept
    )


def months_left(span_years: Amount, age_years: Amount) -> Amount:
    """Months until a span that counts from new is over for a thing of that age; 0 where it is."""
    return np.ceil(np.maximum(span_years - age_years, 0.0) * MONTHS_PER_YEAR)


def box_months_left(drawn: Scenario, build: Build) -> Amount:
    """Months for which the owned box that a build goes on in will do."""
    return months_left(build.box_life_years, drawn.owned[str(build.starts_in)].box_age_years)


def stands_by_month(drawn: Scenario, build: Build) -> FloatArray | None:
    """1 in the months in which the build stands, else 0, (positions, draws, months).

    None where it stands from the start. Beside what is kept, what month 0 orders comes a lead time
    later, like every order; a build that keeps nothing begins with its first delivery.
    """
    moved = moved_drive_count(drawn.owned, build)
    orders_nothing = build.starts_in is not None and moved == build.drives_at_first
    if not build.keeps or orders_nothing:
        return None
    return stands_from(drawn, build, 0)


def stands_from(drawn: Scenario, build: Build, order_month: int) -> FloatArray:
    """1 in the months in which what a month orders stands, else 0, (positions, draws, months)."""
    months = np.arange(drawn.horizon_months)[None, None]
    return (months >= order_month + np.ceil(build.lead_time_months)).astype(np.float64)
