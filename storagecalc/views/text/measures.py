"""Measures in words: each with its unit, in the comparison table, needs and sentences."""

import math
from collections.abc import Callable

from storagecalc.study.axes import Spread
from storagecalc.study.dates import month_date
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import MEASURES, Measure
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.numbers import (
    RARE_PROBABILITY,
    chance,
    count,
    length,
    money,
    month,
    one_in,
    percent,
    significant,
    tb,
    years_span,
)
from storagecalc.views.text.table import TextTable, build_table


def measure_label(measure: Measure, scenario: Scenario) -> str:
    """What a measure is called, the horizon in it."""
    return measure.label.format(span=years_span(scenario.horizon_months))


def measure_words(measure: Measure, evaluation: Evaluation, build: BuildResult) -> str:
    """A measure of one alternative, as the comparison table shows it."""
    value, scenario = measure.of(build), evaluation.scenario
    if measure.unit == "months":
        return fills(evaluation, value)
    if measure.unit == "date":
        return date_words(evaluation, value)
    if measure.unit == "streams":
        return f"{figure(measure, value, scenario)}, then {build.speed.limited_by} gives out"
    if measure.unit == "probability":
        return chance(value)
    if not isinstance(value, Spread):
        return figure(measure, value, scenario)
    mean = figure(measure, value.mean, scenario)
    if not evaluation.draws:
        return mean
    return f"{mean} ({significant(value.p10)} to {significant(value.p90)})"


def figure(measure: Measure, value: float, scenario: Scenario) -> str:
    """A value of a measure with its unit, to be compared with another."""
    words: dict[str, Callable[[float], str]] = {
        "TB": tb,
        "TiB": lambda tib: f"{significant(tib)} TiB",
        "money": lambda cost: money(cost, scenario.currency),
        "months": length,
        "probability": one_in if 0 < value < RARE_PROBABILITY else chance,
        "fraction": percent,
        "streams": significant,
        "drives": lambda drives: f"{significant(drives, 2)} expected",
        "copies": lambda copies: count(round(copies)),
        "mm": lambda depth: f"{significant(depth, 4)} mm",
    }
    usual = words.get(measure.unit)
    return usual(value) if usual else f"{significant(value, 2)} {measure.unit}"


def fills(evaluation: Evaluation, months: Spread) -> str:
    """When something is full: early and as likely as not, or the one month without draws."""
    early, middle = months.p10, months.p50
    if not evaluation.draws or math.isinf(early):
        return date_words(evaluation, middle)
    return f"{date_words(evaluation, early)} (1 in 10), {date_words(evaluation, middle)} (1 in 2)"


def date_words(evaluation: Evaluation, months: float) -> str:
    """The month that lies so many months after the start, or that it lies outside."""
    if not math.isfinite(months):
        return "beyond the horizon"
    if months < 0:
        return "before the start"
    return month(month_date(evaluation.scenario.start_date, months))


def comparison_table(evaluation: Evaluation) -> TextTable:
    """The alternatives side by side, one row a measure."""
    scenario = evaluation.scenario
    rows = [(measure_label(each, scenario), each) for each in MEASURES if each.shown]
    return build_table(
        evaluation, "The builds", rows, lambda build, each: measure_words(each, evaluation, build)
    )
