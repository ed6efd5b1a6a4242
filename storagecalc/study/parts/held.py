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
    ``demanded_tb_by_month`` is what every build and option has to serve, and
    ``given_up_tb_by_month`` what an option has deleted before its time. The arrays by work have one
    entry a kind of work.
    """

    recorded_tb_by_month: FloatArray
    held_tb_by_month: FloatArray
    demanded_tb_by_month: FloatArray
    given_up_tb_by_month: FloatArray
    moved_tb_by_month: Mapping[str, FloatArray]
    fetched_tb_by_month: Mapping[str, FloatArray]
    intake_tb_by_work: Mapping[str, FloatArray]
    held_tb_by_work: Mapping[str, FloatArray]
    shoot_days_by_work: Mapping[str, FloatArray]


def held(numbers: Scenario) -> Held:
    """What all kinds of work record, keep on the box and move elsewhere.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays (see ``study/draws.py``).
    """
    nothing = np.zeros((1, 1, numbers.horizon_months))
    days = {key: shoot_days_by_month(numbers, work) for key, work in numbers.work.items()}
    intake = {
        key: intake_tb_by_month(numbers, work, days[key]) for key, work in numbers.work.items()
    }
    by_work = {
        key: _kept_tb(work, numbers.keep[work.keep], numbers.keep[work.keep], intake[key])
        for key, work in numbers.work.items()
    }
    moved: dict[str, Any] = dict.fromkeys(numbers.elsewhere, nothing)
    fetched = dict(moved)
    for key, work in numbers.work.items():
        rule = numbers.keep[work.keep]
        for place in rule.places:
            there = _moved_tb(work, rule, intake[key], place)
            moved[place] = moved[place] + there
            back = there * rule.fetched_back_fraction_per_year / MONTHS_PER_YEAR
            fetched[place] = fetched[place] + back
    kept: FloatArray = sum(by_work.values()) + working_tb(numbers) + nothing
    return Held(
        recorded_tb_by_month=sum(intake.values()) + nothing,
        held_tb_by_month=kept,
        demanded_tb_by_month=kept,
        given_up_tb_by_month=nothing,
        moved_tb_by_month=moved,
        fetched_tb_by_month=fetched,
        intake_tb_by_work=intake,
        held_tb_by_work=by_work,
        shoot_days_by_work={key: each + nothing for key, each in days.items()},
    )


def kept_tb(
    numbers: Scenario, intake_tb_by_work: Mapping[str, FloatArray], rules: Mapping[str, KeepRule]
) -> FloatArray:
    """What would be held on the box under other keep rules from now on."""
    by_work = [
        _kept_tb(work, numbers.keep[work.keep], rules[work.keep], intake_tb_by_work[key])
        for key, work in numbers.work.items()
    ]
    kept: FloatArray = sum(by_work) + working_tb(numbers) + np.zeros((1, 1, numbers.horizon_months))
    return kept


def working_tb(numbers: Scenario) -> Any:
    """Working copies, caches and renders of everyone who edits at once, with the dated changes."""
    each = by_month(numbers, numbers.team, "working_tb_per_editor")
    return by_month(numbers, numbers.team, "editors") * each


def intake_tb_by_month(numbers: Scenario, work: Work, days: Any) -> FloatArray:
    """Footage, proxies and exports of one kind of work, by month of recording, lumps and all."""
    filmed = recorded_tb_per_month(
        shoot_days_per_month=days,
        cameras=by_month(numbers, work, "cameras"),
        hours_per_camera_day=by_month(numbers, work, "hours_per_camera_day"),
        mbit_s=nominal_mbit_s_by_month(numbers, work) * work.real_rate_fraction,
    )
    stills = days * by_month(numbers, work, "stills_per_shoot_day") * work.still_mb / 1e6
    recorded = (filmed + stills) * (1.0 + work.proxies_and_exports_fraction) * work.lump_factors
    tb: FloatArray = recorded + np.zeros((1, 1, numbers.horizon_months))
    return tb


def shoot_days_by_month(numbers: Scenario, work: Work) -> Any:
    """Shoot days of one kind of work, growing from its first month and none when it is over."""
    years = (np.arange(numbers.horizon_months) - _first_month(numbers, work)) / MONTHS_PER_YEAR
    days = by_month(numbers, work, "shoot_days_per_month") * (1.0 + work.growth_per_year) ** years
    return days * _at_work(numbers, work)


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


def _kept_tb(work: Work, so_far: KeepRule, from_now: KeepRule, intake: FloatArray) -> Any:
    """What is held of one kind of work; footage stored today was thinned by the rule so far."""
    months = intake.shape[-1]
    keep = keep_fraction_by_age(**_curve(work, from_now, months))
    stored_tb = work.stored_today_tb
    if from_now is not so_far:
        before = keep_fraction_by_age(**_curve(work, so_far, months))
        left, was = (
            curve[..., : work.stored_oldest_months].sum(axis=-1, keepdims=True)
            for curve in (keep, before)
        )
        stored_tb = stored_tb * left / was
    stored = stored_today_tb(
        stored_tb=stored_tb,
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
