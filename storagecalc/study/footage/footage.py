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
from storagecalc.models.months import delayed, grown_by_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.dates import months_between
from storagecalc.study.scenario.footage import KeepRule, Team, Work
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Footage:
    """Footage by month, each array of shape (positions, draws, months).

    ``held_tb_by_month`` is on the box at the end of each month; ``moved_tb_by_month`` has what lies
    in each place that keep rules send footage to, ``fetched_tb_by_month`` what is fetched back from
    there in the month. What is fetched is worked on in the room of the working copies.
    ``demanded_tb_by_month`` is what every build and option has to serve, and
    ``deleted_early_tb_by_month`` what an option has deleted before its time. The arrays by work
    have one entry a kind of work.
    """

    recorded_tb_by_month: FloatArray
    held_tb_by_month: FloatArray
    demanded_tb_by_month: FloatArray
    deleted_early_tb_by_month: FloatArray
    moved_tb_by_month: Mapping[str, FloatArray]
    fetched_tb_by_month: Mapping[str, FloatArray]
    intake_tb_by_work: Mapping[str, FloatArray]
    held_tb_by_work: Mapping[str, FloatArray]
    shoot_days_by_work: Mapping[str, FloatArray]


def footage(drawn: Scenario) -> Footage:
    """What all kinds of work record, keep on the box and move elsewhere.

    Parameters
    ----------
    drawn
        A scenario whose ranges are drawn or arrays (see ``study/draws.py``).
    """
    nothing = np.zeros((1, 1, drawn.horizon_months))
    days = {key: shoot_days_by_month(drawn, work) for key, work in drawn.work.items()}
    intake = {key: intake_tb_by_month(drawn, work, days[key]) for key, work in drawn.work.items()}
    keeps = _keep_curves(drawn, drawn.keep)
    by_work = {
        key: _kept_tb(work, keeps[work.keep], keeps[work.keep], intake[key])
        for key, work in drawn.work.items()
    }
    moved, fetched = _moved_and_fetched_tb(drawn, keeps, intake)
    kept: FloatArray = sum(by_work.values()) + working_tb(drawn) + nothing
    return Footage(
        recorded_tb_by_month=sum(intake.values()) + nothing,
        held_tb_by_month=kept,
        demanded_tb_by_month=kept,
        deleted_early_tb_by_month=nothing,
        moved_tb_by_month=moved,
        fetched_tb_by_month=fetched,
        intake_tb_by_work=intake,
        held_tb_by_work=by_work,
        shoot_days_by_work={key: each + nothing for key, each in days.items()},
    )


def kept_tb(
    drawn: Scenario, intake_tb_by_work: Mapping[str, FloatArray], rules: Mapping[str, KeepRule]
) -> FloatArray:
    """What would be held on the box under other keep rules from now on."""
    so_far, from_now = _keep_curves(drawn, drawn.keep), _keep_curves(drawn, rules)
    by_work = [
        _kept_tb(work, so_far[work.keep], from_now[work.keep], intake_tb_by_work[key])
        for key, work in drawn.work.items()
    ]
    kept: FloatArray = sum(by_work) + working_tb(drawn) + np.zeros((1, 1, drawn.horizon_months))
    return kept


def working_tb(drawn: Scenario) -> Any:
    """Working copies, caches and renders of everyone who edits at once, with the dated changes."""
    each = by_month(drawn, drawn.team, "working_tb_per_editor")
    return by_month(drawn, drawn.team, "editors") * each


def intake_tb_by_month(drawn: Scenario, work: Work, days: Any) -> FloatArray:
    """Footage, proxies and exports of one kind of work, by month of recording, lumps and all."""
    filmed = recorded_tb_per_month(
        shoot_days_per_month=days,
        cameras=by_month(drawn, work, "cameras"),
        hours_per_camera_day=by_month(drawn, work, "hours_per_camera_day"),
        mbit_s=nominal_mbit_s_by_month(drawn, work) * work.real_rate_fraction,
    )
    stills = days * by_month(drawn, work, "stills_per_shoot_day") * work.still_mb / 1e6
    recorded = (filmed + stills) * (1.0 + work.proxies_and_exports_fraction) * work.lump_factors
    tb: FloatArray = recorded + np.zeros((1, 1, drawn.horizon_months))
    return tb


def shoot_days_by_month(drawn: Scenario, work: Work) -> Any:
    """Shoot days of one kind of work, growing from its first month and none when it is over."""
    growth: Any = grown_by_month(change_per_year=work.growth_per_year, months=drawn.horizon_months)
    first = _first_month(drawn, work)
    if first:
        growth = delayed(growth, delay_months=first)
    return by_month(drawn, work, "shoot_days_per_month") * growth * _at_work(drawn, work)


def nominal_mbit_s_by_month(drawn: Scenario, work: Work) -> Any:
    """The recording rate that holds in each month, from a format or as written."""
    steps = [(0, _rate(work))]
    for change in work.changes:
        if change.format is not None or change.rate_mbit_s is not None:
            steps.append((months_between(drawn.start_date, change.from_date), _rate(change)))
    return _stepped(drawn, steps)


def by_month(drawn: Scenario, changing: Work | Team, field: str) -> Any:
    """A field of the team or a kind of work with its dated changes: (…, months), or one number."""
    steps = [(0, getattr(changing, field))]
    for change in changing.changes:
        value = getattr(change, field)
        if value is not None:
            steps.append((months_between(drawn.start_date, change.from_date), value))
    return _stepped(drawn, steps)


def _stepped(drawn: Scenario, steps: list[tuple[int, Any]]) -> Any:
    value = steps[0][1]
    months = np.arange(drawn.horizon_months)
    for first, later in steps[1:]:
        value = np.where(months >= first, later, value)
    return value


def _rate(work: Any) -> Any:
    if work.format is not None:
        return recording_format(work.format).mbit_s
    # A kind of work that only takes stills has no rate; its camera hours are zero.
    return work.rate_mbit_s if work.rate_mbit_s is not None else 1.0


def _first_month(drawn: Scenario, work: Work) -> int:
    if work.start_date is None:
        return 0
    return max(0, months_between(drawn.start_date, work.start_date))


def _at_work(drawn: Scenario, work: Work) -> FloatArray:
    months = np.arange(drawn.horizon_months)
    going = months >= _first_month(drawn, work)
    if work.end_date is not None:
        going &= months < months_between(drawn.start_date, work.end_date)
    return going.astype(np.float64)


def _ages(drawn: Scenario) -> int:
    """Months of age that footage reaches within the horizon, that stored today among it."""
    return drawn.horizon_months + max(work.stored_oldest_months for work in drawn.work.values())


def _steps(rule: KeepRule) -> dict[str, Any]:
    """Arguments that say how a rule thins footage."""
    return {
        "after_months": [step.after_months for step in rule.curve],
        "keep_fractions": [step.keep_fraction for step in rule.curve],
    }


def _keep_curves(drawn: Scenario, rules: Mapping[str, KeepRule]) -> dict[str, FloatArray]:
    """What each rule in use keeps on the box by age."""
    ages = _ages(drawn)
    used = dict.fromkeys(work.keep for work in drawn.work.values())
    return {key: keep_fraction_by_age(**_steps(rules[key]), months=ages) for key in used}


def _kept_tb(work: Work, so_far: FloatArray, from_now: FloatArray, intake: FloatArray) -> Any:
    """What is held of one kind of work; footage stored today was thinned by the curve so far."""
    stored_tb = work.stored_today_tb
    if from_now is not so_far:
        left, was = (
            curve[..., : work.stored_oldest_months].sum(axis=-1, keepdims=True)
            for curve in (from_now, so_far)
        )
        stored_tb = stored_tb * left / was
    stored = stored_today_tb(
        stored_tb=stored_tb,
        oldest_months=work.stored_oldest_months,
        keep_fraction_by_age=from_now,
        months=intake.shape[-1],
    )
    return held_tb(
        intake_tb_by_month=intake, keep_fraction_by_age=from_now, stored_today_tb_by_month=stored
    )


def _moved_and_fetched_tb(
    drawn: Scenario, keeps: Mapping[str, FloatArray], intake_tb_by_work: Mapping[str, FloatArray]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """What lies in each place that rules send footage to, and what is fetched from there."""
    nothing = np.zeros((1, 1, drawn.horizon_months))
    moved: dict[str, Any] = dict.fromkeys(drawn.elsewhere, nothing)
    fetched = dict(moved)
    curves: dict[tuple[str, str], FloatArray] = {}
    for key, work in drawn.work.items():
        rule = drawn.keep[work.keep]
        for place in rule.places:
            way = (work.keep, place)
            if way not in curves:
                curves[way] = _moved_curve(rule, place, _ages(drawn))
            there = _moved_tb(work, keeps[work.keep], curves[way], intake_tb_by_work[key])
            moved[place] = moved[place] + there
            back = there * rule.fetched_back_fraction_per_year / MONTHS_PER_YEAR
            fetched[place] = fetched[place] + back
    return moved, fetched


def _moved_curve(rule: KeepRule, place: str, ages: int) -> FloatArray:
    there = [step.rest_goes_to == place for step in rule.curve]
    return moved_fraction_by_age(**_steps(rule), goes_there=there, months=ages)


def _moved_tb(work: Work, keep: FloatArray, moved: FloatArray, intake: FloatArray) -> Any:
    stored = moved_from_stored_tb(
        stored_tb=work.stored_today_tb,
        oldest_months=work.stored_oldest_months,
        keep_fraction_by_age=keep,
        moved_fraction_by_age=moved,
        months=intake.shape[-1],
    )
    return held_tb(
        intake_tb_by_month=intake, keep_fraction_by_age=moved, stored_today_tb_by_month=stored
    )
