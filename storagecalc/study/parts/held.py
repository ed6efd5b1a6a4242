"""How much is held, month by month: the same for every build."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.footage import (
    held_tb,
    keep_fraction_by_age,
    moved_fraction_by_age,
    moved_from_stored_tb,
    recorded_tb_per_month,
    stored_today_tb,
)
from storagecalc.models.formats import recording_format
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.scenario.quantity import months_between
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.work import KeepRule, Team, Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Footage by month, each array of shape (positions, draws, months).

    ``held_tb_by_month`` is on the box at the end of each month; ``moved_tb_by_month`` has what lies
    in each place that keep rules send footage to, ``fetched_tb_by_month`` what is fetched back from
    there in the month. What is fetched is worked on in the room of the working copies.
    """

    recorded_tb_by_month: FloatArray
    held_tb_by_month: FloatArray
    moved_tb_by_month: Mapping[str, FloatArray]
    fetched_tb_by_month: Mapping[str, FloatArray]


def held(numbers: Scenario) -> Held:
    """What all kinds of work record, keep on the box and move elsewhere.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays (see ``study/draws.py``).
    """
    months = numbers.horizon_months
    recorded: Any = 0.0
    kept: Any = working_tb(numbers)
    moved: dict[str, Any] = {place: np.zeros((1, 1, months)) for place in numbers.elsewhere}
    fetched = dict(moved)
    for work in numbers.work.values():
        intake = intake_tb_by_month(numbers, work)
        rule = numbers.keep[work.keep]
        recorded = recorded + intake
        kept = kept + _kept_tb(work, rule, intake)
        for place in rule.places:
            there = _moved_tb(work, rule, intake, place)
            moved[place] = moved[place] + there
            back = there * rule.fetched_back_fraction_per_year / MONTHS_PER_YEAR
            fetched[place] = fetched[place] + back
    return Held(
        recorded_tb_by_month=recorded,
        held_tb_by_month=kept + np.zeros((1, 1, months)),
        moved_tb_by_month=moved,
        fetched_tb_by_month=fetched,
    )


def working_tb(numbers: Scenario) -> Any:
    """Working copies, caches and renders of everyone who edits at once, with the dated changes."""
    each = by_month(numbers, numbers.team, "working_tb_per_editor")
    return by_month(numbers, numbers.team, "editors") * each


def intake_tb_by_month(numbers: Scenario, work: Work) -> FloatArray:
    """Footage, proxies and exports of one kind of work, by month of recording, lumps and all."""
    months = np.arange(numbers.horizon_months)
    years = (months - _first_month(numbers, work)) / MONTHS_PER_YEAR
    days = by_month(numbers, work, "shoot_days_per_month") * (1.0 + work.growth_per_year) ** years
    filmed = recorded_tb_per_month(
        shoot_days_per_month=days,
        cameras=by_month(numbers, work, "cameras"),
        hours_per_camera_day=by_month(numbers, work, "hours_per_camera_day"),
        mbit_s=nominal_mbit_s_by_month(numbers, work) * work.real_rate_fraction,
    )
    stills = days * by_month(numbers, work, "stills_per_shoot_day") * work.still_mb / 1e6
    recorded = (filmed + stills) * (1.0 + work.proxies_and_exports_fraction) * work.lump_factors
    tb: FloatArray = recorded * _at_work(numbers, work) + np.zeros((1, 1, months.size))
    return tb


def nominal_mbit_s_by_month(numbers: Scenario, work: Work) -> Any:
    """The recording rate that holds in each month, from a format or as written."""
    steps = [(0, _rate(work))]
    for change in work.changes:
        if change.format is not None or change.rate_mbit_s is not None:
            steps.append((months_between(numbers.start_date, change.from_date), _rate(change)))
    return _stepped(numbers, steps)


def by_month(numbers: Scenario, changing: Work | Team, field: str) -> Any:
    """A field of the team or a kind of work with its dated changes: (…, months), or one number."""
    steps = [(0, getattr(changing, field))]
    for change in changing.changes:
        value = getattr(change, field)
        if value is not None:
            steps.append((months_between(numbers.start_date, change.from_date), value))
    return _stepped(numbers, steps)


def _stepped(numbers: Scenario, steps: list[tuple[int, Any]]) -> Any:
    value = steps[0][1]
    months = np.arange(numbers.horizon_months)
    for first, later in steps[1:]:
        value = np.where(months >= first, later, value)
    return value


def _rate(work: Any) -> Any:
    if work.format is not None:
        return recording_format(work.format).mbit_s
    # A kind of work that only takes stills has no rate; its camera hours are zero.
    return work.rate_mbit_s if work.rate_mbit_s is not None else 1.0


def _first_month(numbers: Scenario, work: Work) -> int:
    if work.start_date is None:
        return 0
    return max(0, months_between(numbers.start_date, work.start_date))


def _at_work(numbers: Scenario, work: Work) -> FloatArray:
    months = np.arange(numbers.horizon_months)
    going = months >= _first_month(numbers, work)
    if work.end_date is not None:
        going &= months < months_between(numbers.start_date, work.end_date)
    return going.astype(np.float64)


def _curve(work: Work, rule: KeepRule, months: int) -> dict[str, Any]:
    """Arguments that say how the footage of a kind of work is thinned, up to the oldest age."""
    return {
        "after_months": [step.after_months for step in rule.curve],
        "keep_fractions": [step.keep_fraction for step in rule.curve],
        "months": months + work.stored_oldest_months,
    }


def _kept_tb(work: Work, rule: KeepRule, intake: FloatArray) -> Any:
    months = intake.shape[-1]
    keep = keep_fraction_by_age(**_curve(work, rule, months))
    stored = stored_today_tb(
        stored_tb=work.stored_today_tb,
        oldest_months=work.stored_oldest_months,
        keep_fraction_by_age=keep,
        months=months,
    )
    return held_tb(
        intake_tb_by_month=intake,
        keep_fraction_by_age=keep[..., :months],
        stored_today_tb_by_month=stored,
    )


def _moved_tb(work: Work, rule: KeepRule, intake: FloatArray, place: str) -> Any:
    months = intake.shape[-1]
    curve = _curve(work, rule, months)
    there = [step.rest_goes_to == place for step in rule.curve]
    moved = moved_fraction_by_age(**curve, goes_there=there)
    stored = moved_from_stored_tb(
        stored_tb=work.stored_today_tb,
        oldest_months=work.stored_oldest_months,
        keep_fraction_by_age=keep_fraction_by_age(**curve),
        moved_fraction_by_age=moved,
        months=months,
    )
    return held_tb(
        intake_tb_by_month=intake,
        keep_fraction_by_age=moved[..., :months],
        stored_today_tb_by_month=stored,
    )
