"""Measures in words: each with its unit, in the comparison table, needs and sentences."""

import math
from collections.abc import Callable

from storagecalc.study.axes import Spread
from storagecalc.study.dates import month_date
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import MEASURES, Measure
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.loss import loss_denominator
from storagecalc.views.text.numbers import (
    chance,
    count,
    exact_chance,
    in_unit,
    length,
    money,
    month,
    percent,
    significant,
    tb,
    years_span,
)
from storagecalc.views.text.table import TextTable, build_table

PLACE_TITLE = "Place and speed as bought, every range at its middle"
TITLE = "Side by side: means (months, streams and TB lost: medians); in brackets 8 of 10 futures"


def measure_label(measure: Measure, scenario: Scenario) -> str:
    """What a measure is called, the horizon in it."""
    return measure.label.format(span=years_span(scenario.horizon_months))


def measure_words(measure: Measure, evaluation: Evaluation, build: BuildResult) -> str:
    """A measure of one alternative, as the comparison table shows it."""
    value = measure.of(build)
    if measure.unit == "months":
        return fills(evaluation, value)
    if measure.unit == "date":
        return date_words(evaluation, value)
    if measure.unit == "streams":
        middle = figure(measure, value.p50, evaluation)
        beside = filter(None, [_ends(value), f"limit: {build.speed.limited_by}"])
        return f"{middle} ({'; '.join(beside)})"
    if measure.unit == "probability":
        return chance(value, loss_denominator(evaluation))
    if not isinstance(value, Spread):
        return figure(measure, value, evaluation)
    ends = f" ({_ends(value)})" if _ends(value) else ""
    return f"{figure(measure, value.mean, evaluation)}{ends}"


def _ends(value: Spread) -> str:
    """Between what it lies in 8 of 10 futures; nothing where all of them agree."""
    if value.p10 == value.p90:
        return ""
    return f"{significant(value.p10, 2)} to {significant(value.p90, 2)}"


def figure(measure: Measure, value: float, evaluation: Evaluation) -> str:
    """A value of a measure with its unit, to be compared with another."""
    words: dict[str, Callable[[float], str]] = {
        "TB": tb,
        "TiB": lambda tib: f"{significant(tib)} TiB",
        "money": lambda cost: money(cost, evaluation.scenario.currency),
        "months": length,
        "probability": lambda share: exact_chance(share, loss_denominator(evaluation)),
        "fraction": percent,
        "streams": significant,
        "drives": lambda drives: significant(drives, 2),
        "boxes": lambda boxes: significant(boxes, 2),
        "copies": lambda copies: count(round(copies)),
        "mm": lambda depth: f"{significant(depth, 4)} mm",
    }
    usual = words.get(measure.unit)
    return usual(value) if usual else in_unit(significant(value, 2), measure.unit)


def fills(evaluation: Evaluation, months: Spread) -> str:
    """Until when something lasts: the median month, and between which months in 8 of 10 futures."""
    middle = date_words(evaluation, months.p50)
    if not evaluation.draws or math.isinf(months.p10):
        return middle
    return f"{middle} ({ends_words(evaluation, months)})"


def ends_words(evaluation: Evaluation, months: Spread) -> str:
    """Between which months something lies in 8 of 10 futures."""
    last = f"{end_month(evaluation.scenario)} or later"
    if math.isfinite(months.p90):
        last = date_words(evaluation, months.p90)
    return f"{date_words(evaluation, months.p10)} to {last}"


def not_before(scenario: Scenario) -> str:
    """What lies beyond the horizon, as a date."""
    return f"not before {end_month(scenario)}"


def end_month(scenario: Scenario) -> str:
    """The month in which the horizon ends."""
    return month(month_date(scenario.start_date, scenario.horizon_months))


def date_words(evaluation: Evaluation, months: float) -> str:
    """The month that lies so many months after the start, or that it lies outside."""
    if not math.isfinite(months):
        return not_before(evaluation.scenario)
    if months < 0:
        return "before the start"
    return month(month_date(evaluation.scenario.start_date, months))


def place_table(evaluation: Evaluation) -> TextTable:
    """What the alternatives ask of the place they stand in, and what each desk gets."""
    rows = [(measure_label(each, evaluation.scenario), each) for each in MEASURES if each.placed]
    return build_table(
        evaluation, PLACE_TITLE, rows, lambda build, each: measure_words(each, evaluation, build)
    )


def comparison_table(evaluation: Evaluation) -> TextTable:
    """The alternatives side by side, one row a measure."""
    scenario = evaluation.scenario
    rows = [(measure_label(each, scenario), each) for each in MEASURES if each.shown]
    return build_table(
        evaluation, TITLE, rows, lambda build, each: measure_words(each, evaluation, build)
    )
