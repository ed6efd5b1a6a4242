"""What an option beside buying changes in the footage, while all of it is still served."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import new_by_month
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.footage.footage import (
    Footage,
    footage_of,
    held_tb_by_work,
    keep_curves,
    moved_tb,
    works_by_rule,
)
from storagecalc.study.scenario.footage import KeepRule, Step, Work
from storagecalc.study.scenario.options import Option
from storagecalc.study.scenario.scenario import Scenario


def option_footage(drawn: Scenario, option: Option, base: Footage) -> Footage:
    """The footage as an option holds it: what leaves the box is paid for or deleted early.

    Equal service: what the box no longer holds, month by month and draw by draw, lies in the
    archive it was moved to, or was deleted early. Smaller proxies take nothing away that was
    recorded.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    option
        One of its options.
    base
        The footage without it.
    """
    if option.proxies_and_exports_fraction is not None:
        return _with_smaller_proxies(drawn, option, base)
    rules = {key: _changed_rule(option, rule) for key, rule in drawn.keep.items()}
    keeps = keep_curves(drawn, rules)
    left = {key: _left_fraction(drawn.work[key], base.keep_fraction_by_work[key], keeps[key])
            for key in drawn.work}  # fmt: skip
    stored = {key: tb * left[key] for key, tb in base.stored_tb_by_work.items()}
    by_work = held_tb_by_work(drawn, base.intake_tb_by_work, stored, keeps)
    kept: Any = sum(by_work.values()) + base.working_tb_by_month
    leaving: Any = sum(
        _leaving_tb_by_month(works, base, keeps, left) for works in works_by_rule(drawn).values()
    )
    own = replace(
        base,
        held_tb_by_month=kept,
        held_tb_by_work=by_work,
        stored_tb_by_work=stored,
        keep_fraction_by_work=keeps,
    )
    if option.to is None:
        return replace(own, deleted_early_tb_by_month=leaving)
    gone = np.maximum(base.held_tb_by_month - kept, 0.0)
    back = gone * option.needed_back_fraction_per_year / MONTHS_PER_YEAR
    return replace(
        own,
        moved_tb_by_month=_with_more(base.moved_tb_by_month, option.to, gone),
        moved_in_tb_by_month=_with_more(base.moved_in_tb_by_month, option.to, leaving),
        fetched_tb_by_month=_with_more(base.fetched_tb_by_month, option.to, back),
    )


def _left_fraction(work: Work, so_far: FloatArray, from_now: FloatArray) -> Any:
    """The share of what is stored today that the new rule leaves on the box."""
    left, was = (
        curve[..., : work.stored_oldest_months].sum(axis=-1, keepdims=True)
        for curve in (from_now, so_far)
    )
    return left / was


def _leaving_tb_by_month(
    works: Mapping[str, Work],
    base: Footage,
    from_now: Mapping[str, FloatArray],
    left: Mapping[str, Any],
) -> FloatArray:
    """TB under one keep rule that leave the box in each month because of the new rule, and would
    still be held by the old one; of what is stored today, some leave at once."""
    so_far, any_of_them = base.keep_fraction_by_work, next(iter(works))
    less = so_far[any_of_them] - from_now[any_of_them]
    sooner = np.maximum(np.diff(less, axis=-1, prepend=0.0), 0.0)
    ever = np.minimum(np.cumsum(sooner, axis=-1), 1.0)
    leaving: FloatArray = new_by_month(moved_tb(works, so_far, ever, base.intake_tb_by_work))
    at_once: Any = sum(work.stored_today_tb * (1.0 - left[key]) for key, work in works.items())
    leaving[..., :1] = leaving[..., :1] + at_once
    return leaving


def _with_smaller_proxies(drawn: Scenario, option: Option, base: Footage) -> Footage:
    beside = 1.0 + option.proxies_and_exports_fraction
    intake = {
        key: tb * (beside / (1.0 + drawn.work[key].proxies_and_exports_fraction))
        for key, tb in base.intake_tb_by_work.items()
    }
    smaller = footage_of(drawn, base.shoot_days_by_work, intake, base.keep_fraction_by_work)
    return replace(smaller, demanded_tb_by_month=base.demanded_tb_by_month)


def _with_more(places: Any, place: str, tb_by_month: FloatArray) -> dict[str, FloatArray]:
    return {**places, place: places[place] + tb_by_month}


def _changed_rule(option: Option, rule: KeepRule) -> KeepRule:
    if option.move_off_after_months is not None:
        return _moved_off(rule, option.move_off_after_months)
    return _culled_sooner(rule, option.cull_sooner_months or 0)


def _moved_off(rule: KeepRule, after_months: int) -> KeepRule:
    """The rule with nothing left on the box from an age on; the option says where it goes."""
    before = [step for step in rule.curve if step.after_months < after_months]
    gone = Step(after_months=after_months, keep_fraction=0.0)
    return rule.model_copy(update={"steps": (*before, gone), "like": None})


def _culled_sooner(rule: KeepRule, sooner_months: int) -> KeepRule:
    """The rule with every deletion sooner; what it moves to a place goes there as before."""
    steps: list[Step] = []
    for step in rule.curve:
        age = step.after_months
        if step.rest_goes_to == "deleted":
            age = max(age - sooner_months, 1)
        # The order of the steps stays, also where a deletion would overtake a move.
        earliest = steps[-1].after_months + 1 if steps else 1
        steps.append(step.model_copy(update={"after_months": max(age, earliest)}))
    return rule.model_copy(update={"steps": tuple(steps), "like": None})
