"""Needs in words: what is asked, what an alternative gives, and by how much it falls short."""

from storagecalc.study.decision.needs import NeedResult, need_results
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.measures import figure, measure_label
from storagecalc.views.text.numbers import chance, of_ten, significant
from storagecalc.views.text.table import TextTable, build_names, text_table


def asked(need: NeedResult, scenario: Scenario) -> str:
    """What the scenario asks for."""
    word = "at least" if need.at_least else "at most"
    return f"{word} {figure(need.measure, need.required, scenario)}"


def given(need: NeedResult, scenario: Scenario) -> str:
    """What an alternative gives, and that it is enough or by how much it is not."""
    if need.met:
        return f"{_in_words(need, scenario)}, meets it"
    return f"{figure(need.measure, need.value, scenario)}, {_missed(need, scenario)}"


def short_by(need: NeedResult, scenario: Scenario) -> str:
    """A need that is missed, with both figures."""
    value, label = figure(need.measure, need.value, scenario), measure_label(need.measure, scenario)
    return f"{label} ({value}, {asked(need, scenario)} is asked)"


def _missed(need: NeedResult, scenario: Scenario) -> str:
    unit, missed = need.measure.unit, need.measure.missed
    if unit == "probability":
        return missed
    if unit == "dBA":  # two levels are so many dB apart, whatever their weighting
        return f"{significant(need.shortfall, 2)} dB {missed}"
    return f"{figure(need.measure, need.shortfall, scenario)} {missed}"


def _in_words(need: NeedResult, scenario: Scenario) -> str:
    """What an alternative gives where no more of it needs telling."""
    if need.measure.unit == "months" and need.value >= scenario.horizon_months:
        return "beyond the horizon"
    if need.measure.unit == "probability":
        return chance(need.value)
    return figure(need.measure, need.value, scenario)


def needs_table(evaluation: Evaluation) -> TextTable:
    """What is asked, and whether each build gives it."""
    scenario = evaluation.scenario
    by_need = zip(*(need_results(evaluation, build) for build in evaluation.builds), strict=True)
    rows, marks = [], []
    for same in by_need:
        label = measure_label(same[0].measure, scenario)
        rows.append((label, asked(same[0], scenario), *(given(need, scenario) for need in same)))
        marks.append(("", "", *("good" if need.met else "short" for need in same)))
    sure = of_ten(scenario.needs.confidence_fraction)
    title = f"Needs, each judged so that it holds in {sure} futures"
    return text_table(title, ("need", "asked", *build_names(evaluation)), rows, marks)
