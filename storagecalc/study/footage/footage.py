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
from storagecalc.models.months import delayed, grown_by_month, new_by_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.axes import ByPosition
from storagecalc.study.dates import months_between
from storagecalc.study.scenario.footage import KeepRule, Team, Work
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Footage:
    """Footage by month, each array of shape (positions, draws, months).

    ``held_tb_by_month`` is on the boxes at the end of each month, ``working_tb_by_month`` the part
    of it that is working copies. ``moved_tb_by_month`` has what lies in each archive,
    ``moved_in_tb_by_month`` what is brought there in the month and ``fetched_tb_by_month`` what is
    fetched back; it is worked on in the room of the working copies. ``demanded_tb_by_month`` is
    what every alternative has to serve, and ``deleted_early_tb_by_month`` what an option deletes
    early in the month. By kind of work stand intake, footage held, shoot days, what is stored today
    and the share of footage still held by age.
    """

    recorded_tb_by_month: FloatArray
    held_tb_by_month: FloatArray
    working_tb_by_month: FloatArray
    demanded_tb_by_month: FloatArray
    deleted_early_tb_by_month: FloatArray
    moved_tb_by_month: Mapping[str, FloatArray]
    moved_in_tb_by_month: Mapping[str, FloatArray]
    fetched_tb_by_month: Mapping[str, FloatArray]
    intake_tb_by_work: Mapping[str, FloatArray]
    held_tb_by_work: Mapping[str, FloatArray]
    shoot_days_by_work: Mapping[str, FloatArray]
    stored_tb_by_work: Mapping[str, Any]
    keep_fraction_by_work: Mapping[str, FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """TB that one kind of work records a month, proxies and exports included: means over the first
    and the last twelve months, one number a position."""

    first_year_tb_per_month: ByPosition
    last_year_tb_per_month: ByPosition


def recorded_by_work(point: Footage) -> dict[str, Recorded]:
    """What each kind of work records.

    Parameters
    ----------
    point
        Footage at the middle of every range.
    """
    return {
        key: Recorded(
            first_year_tb_per_month=tb[:, 0, :MONTHS_PER_YEAR].mean(axis=-1),
            last_year_tb_per_month=tb[:, 0, -MONTHS_PER_YEAR:].mean(axis=-1),
        )
        for key, tb in point.intake_tb_by_work.items()
    }


def footage(drawn: Scenario) -> Footage:
    """What all kinds of work record, keep on the boxes and move to an archive.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays (see ``study/sampling.py``).
    """
    days = {key: shoot_days_by_month(drawn, work) for key, work in drawn.work.items()}
    intake = {key: intake_tb_by_month(drawn, work, days[key]) for key, work in drawn.work.items()}
    return footage_of(drawn, days, intake, keep_curves(drawn, drawn.keep))


def footage_of(
    drawn: Scenario,
    shoot_days_by_work: Mapping[str, Any],
    intake: Mapping[str, FloatArray],
    keeps: Mapping[str, FloatArray],
) -> Footage:
    """What becomes of an intake.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    shoot_days_by_work, intake
        Shoot days and TB recorded by month, by kind of work.
    keeps
        The share of each kind of work that its rule keeps on the boxes, by age.
    """
    nothing = np.zeros((1, 1, drawn.horizon_months))
    stored = {key: work.stored_today_tb for key, work in drawn.work.items()}
    by_work = held_tb_by_work(drawn, intake, stored, keeps)
    moved = _moved_tb(drawn, keeps, intake)
    working = working_tb(drawn) + nothing
    kept: FloatArray = sum(by_work.values()) + working
    return Footage(
        recorded_tb_by_month=sum(intake.values()) + nothing,
        held_tb_by_month=kept,
        working_tb_by_month=working,
        demanded_tb_by_month=kept,
        deleted_early_tb_by_month=nothing,
        moved_tb_by_month={place: sum(parts.values(), nothing) for place, parts in moved.items()},
        # What is in an archive stays there, so that all that is new has been brought in.
        moved_in_tb_by_month={
            place: new_by_month(sum(parts.values(), nothing)) for place, parts in moved.items()
        },
        fetched_tb_by_month={
            place: sum((_fetched_tb(drawn.keep[key], tb) for key, tb in parts.items()), nothing)
            for place, parts in moved.items()
        },
        intake_tb_by_work=intake,
        held_tb_by_work=by_work,
        shoot_days_by_work={key: each + nothing for key, each in shoot_days_by_work.items()},
        stored_tb_by_work=stored,
        keep_fraction_by_work=keeps,
    )


def held_tb_by_work(
    drawn: Scenario,
    intake_tb_by_work: Mapping[str, FloatArray],
    stored_tb_by_work: Mapping[str, Any],
    keep_fraction_by_work: Mapping[str, FloatArray],
) -> dict[str, FloatArray]:
    """TB held of each kind of work by month, of what is recorded and of what is stored today."""
    return {
        key: held_tb(
            intake_tb_by_month=intake_tb_by_work[key],
            keep_fraction_by_age=keep_fraction_by_work[key],
            stored_today_tb_by_month=stored_today_tb(
                stored_tb=stored_tb_by_work[key],
                oldest_months=work.stored_oldest_months,
                keep_fraction_by_age=keep_fraction_by_work[key],
                months=drawn.horizon_months,
            ),
        )
        for key, work in drawn.work.items()
    }


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
    """Shoot days of one kind of work by month; each number of them grows from its own date on."""
    growth: Any = grown_by_month(change_per_year=work.growth_per_year, months=drawn.horizon_months)
    first, months = _first_month(drawn, work), np.arange(drawn.horizon_months)
    days = work.shoot_days_per_month * _grown_from(growth, first)
    for change in work.changes:
        if change.shoot_days_per_month is not None:
            since = months_between(drawn.start_date, change.from_date)
            changed = change.shoot_days_per_month * _grown_from(growth, max(first, since))
            days = np.where(months >= since, changed, days)
    return days * _at_work(drawn, work)


def _grown_from(growth: Any, first_month: int) -> Any:
    return delayed(growth, delay_months=first_month) if first_month else growth


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


def keep_curves(drawn: Scenario, rules: Mapping[str, KeepRule]) -> dict[str, FloatArray]:
    """The share of each kind of work that its rule keeps on the boxes, by age."""
    ages = _ages(drawn)
    used = dict.fromkeys(work.keep for work in drawn.work.values())
    curves = {key: keep_fraction_by_age(**_steps(rules[key]), months=ages) for key in used}
    return {key: np.array(curves[work.keep], ndmin=3) for key, work in drawn.work.items()}


def _moved_tb(
    drawn: Scenario,
    keeps: Mapping[str, FloatArray],
    intake_tb_by_work: Mapping[str, FloatArray],
) -> dict[str, dict[str, FloatArray]]:
    """What lies in each archive by keep rule: all kinds of work under a rule move alike."""
    moved: dict[str, dict[str, FloatArray]] = {place: {} for place in drawn.elsewhere}
    for rule_key, works in works_by_rule(drawn).items():
        rule = drawn.keep[rule_key]
        for place in rule.places:
            curve = _moved_curve(rule, place, _ages(drawn))
            moved[place][rule_key] = moved_tb(works, keeps, curve, intake_tb_by_work)
    return moved


def works_by_rule(drawn: Scenario) -> dict[str, dict[str, Work]]:
    """The kinds of work under each keep rule that has any."""
    found: dict[str, dict[str, Work]] = {}
    for key, work in drawn.work.items():
        found.setdefault(work.keep, {})[key] = work
    return found


def _fetched_tb(rule: KeepRule, moved_tb_by_month: FloatArray) -> Any:
    return moved_tb_by_month * rule.fetched_back_fraction_per_year / MONTHS_PER_YEAR


def _moved_curve(rule: KeepRule, place: str, ages: int) -> FloatArray:
    there = [step.rest_goes_to == place for step in rule.curve]
    return moved_fraction_by_age(**_steps(rule), goes_there=there, months=ages)


def moved_tb(
    works: Mapping[str, Work],
    keeps: Mapping[str, FloatArray],
    moved: FloatArray,
    intake_tb_by_work: Mapping[str, FloatArray],
) -> FloatArray:
    """TB that have left the boxes by each month, of what is recorded and of what is stored today.

    Parameters
    ----------
    works
        Kinds of work under one keep rule, by key.
    keeps
        Shares by age still held by the rule so far, by kind of work.
    moved
        Shares of all of them gone by an age, never falling.
    intake_tb_by_work
        TB recorded by month, by kind of work.
    """
    # They leave alike, so what they record is added up first: one long sum instead of several.
    intake: Any = sum(intake_tb_by_work[key] for key in works)
    stored: Any = sum(
        moved_from_stored_tb(
            stored_tb=work.stored_today_tb,
            oldest_months=work.stored_oldest_months,
            keep_fraction_by_age=keeps[key],
            moved_fraction_by_age=moved,
            months=intake.shape[-1],
        )
        for key, work in works.items()
    )
    return held_tb(
        intake_tb_by_month=intake, keep_fraction_by_age=moved, stored_today_tb_by_month=stored
    )
