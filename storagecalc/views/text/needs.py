"""Needs in words: what is asked, what an alternative gives, and in how many futures it will do."""

from dataclasses import replace

from storagecalc.study.decision.needs import NeedResult, Standing, close_calls, standings
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import NEEDS
from storagecalc.views.text.loss import loss_denominator
from storagecalc.views.text.measures import figure, measure_label, not_before
from storagecalc.views.text.numbers import (
    RARE_PROBABILITY,
    chance,
    count,
    cut,
    listed,
    met_hundredths,
    met_of_hundred,
    of_hundred,
    short,
    significant,
)
from storagecalc.views.text.table import LEFT, RIGHT, TextTable, build_names, text_table

MOST_NAMED = 2
ALL_AT_ONCE = "all needs at once"


def needs_table(evaluation: Evaluation) -> TextTable:
    """What is asked, what each alternative gives, and in how many futures that will do."""
    scenario, told = evaluation.scenario, standings(evaluation)
    by_need = list(zip(*(each.needs for each in told), strict=True))
    rows = [
        (
            measure_label(same[0].measure, scenario),
            asked(same[0], evaluation),
            *(given(need, evaluation) for need in same),
        )
        for same in by_need
    ]
    marks = [("", "", *("good" if need.met else "short" for need in same)) for same in by_need]
    if by_need:
        sure = f"in {of_hundred(scenario.needs.confidence_fraction)} futures"
        rows.append((ALL_AT_ONCE, sure, *(_at_once(evaluation, each) for each in told)))
        marks.append(("", "", *("good" if each.meets_needs else "short" for each in told)))
    sure = of_hundred(scenario.needs.confidence_fraction)
    return text_table(
        f"Needs: each value holds in {sure} futures",
        ("need", "asked", *build_names(evaluation)),
        rows,
        marks,
    )


def needs_line(evaluation: Evaluation) -> str:
    """How many needs the recommended meets, and all of them at once, in one line."""
    chosen, scenario = verdict(evaluation).recommended, evaluation.scenario
    if not chosen.needs:
        return "No needs are stated in the file."
    met = sum(need.met for need in chosen.needs)
    told = f"{met} of {len(chosen.needs)} needs met"
    if not evaluation.draws:
        return told
    asked_for = round(100 * scenario.needs.confidence_fraction)
    at_once = met_of_hundred(chosen.needs_met_fraction)
    return f"{told}, all at once in {at_once} futures ({asked_for} asked)"


def close_table(evaluation: Evaluation) -> TextTable:
    """The close calls: in how many of a hundred futures each alternative meets the need."""
    told, calls = standings(evaluation), close_calls(evaluation)
    rows = [
        (
            f"{measure_label(same[0].measure, evaluation.scenario)}, {asked(same[0], evaluation)}",
            *(_close_words(one, evaluation) for one in same),
        )
        for same in calls
    ]
    marks = [("", *("" if one.met else "short" for one in same)) for same in calls]
    if rows:
        rows.append(
            (
                ALL_AT_ONCE,
                *(
                    _met_words(each.needs_met_fraction, each.meets_needs, evaluation)
                    for each in told
                ),
            )
        )
        marks.append(("", *("" if each.meets_needs else "short" for each in told)))
    head = f"met in how many of 100 futures{_sure(evaluation)}"
    names = [cut(name) for name in build_names(evaluation)]
    table = text_table("", (head, *names), rows, marks, of_builds=True)
    return replace(table, align=LEFT + RIGHT * len(names))


def close_title(evaluation: Evaluation) -> str:
    """Who misses needs, and whether any is met by little only."""
    told = standings(evaluation)
    missing = [short(each.build.name) for each in told if not each.meets_needs]
    if len(missing) == len(told) > 1:
        return "Close calls: no build meets all needs often enough."
    if len(missing) > MOST_NAMED:
        return f"Close calls: {count(len(missing))} of {count(len(told))} miss needs too often."
    if missing:
        miss = "misses" if len(missing) == 1 else "miss"
        return f"Close calls: {listed(missing)} {miss} needs too often."
    if close_calls(evaluation):
        return "Close calls: all meet the needs, these by no more than a tenth."
    return "Close calls: none; every need is met by more than a tenth."


def _close_words(need: NeedResult, evaluation: Evaluation) -> str:
    """In how many of a hundred futures it is met; what is alike in all of them, by its value."""
    if 0.0 < need.met_fraction < 1.0:
        return _met_words(need.met_fraction, need.met, evaluation)
    return f"{_in_words(need, evaluation)}{'' if need.met else ', missed'}"


def _met_words(fraction: float, met: bool, evaluation: Evaluation) -> str:
    if not evaluation.draws:
        return "met" if met else "missed"
    return f"{met_hundredths(fraction)}{'' if met else ', missed'}"


def _sure(evaluation: Evaluation) -> str:
    if not evaluation.draws:
        return ""
    return f"; {round(100 * evaluation.scenario.needs.confidence_fraction)} asked"


def need_label(need: str, evaluation: Evaluation) -> str:
    """What a need of the scenario is about."""
    return measure_label(NEEDS[need], evaluation.scenario)


def asked(need: NeedResult, evaluation: Evaluation) -> str:
    """What the scenario asks for."""
    word = "at least" if need.at_least else "at most"
    return f"{word} {figure(need.measure, need.required, evaluation)}"


def given(need: NeedResult, evaluation: Evaluation) -> str:
    """What an alternative gives, and that it is enough or by how much and how often it is not."""
    judged = "meets it" if need.met else _missed(need, evaluation)
    return f"{_in_words(need, evaluation)}, {judged}{_share(need, evaluation)}"


def short_by(need: NeedResult, evaluation: Evaluation) -> str:
    """A need that costs futures, with what is asked and how many meet it."""
    label = measure_label(need.measure, evaluation.scenario)
    word, required = (
        "at least" if need.at_least else "limit",
        figure(need.measure, need.required, evaluation),
    )
    met = f"; met in {met_of_hundred(need.met_fraction)} futures" if evaluation.draws else ""
    return f"{label} ({_in_words(need, evaluation)}, {word} {required}{met})"


def _at_once(evaluation: Evaluation, standing: Standing) -> str:
    if not evaluation.draws:
        return "met" if standing.meets_needs else "not met"
    return f"in {met_of_hundred(standing.needs_met_fraction)} futures"


def _share(need: NeedResult, evaluation: Evaluation) -> str:
    """In how many futures it is met, where not in all and not in none."""
    if not evaluation.draws or need.met_fraction in (0.0, 1.0):
        return ""
    return f" ({met_of_hundred(need.met_fraction)})"


def _missed(need: NeedResult, evaluation: Evaluation) -> str:
    unit, missed = need.measure.unit, need.measure.missed
    if unit == "probability":
        return missed
    if unit == "dBA":  # two levels are so many dB apart, whatever their weighting
        return f"{significant(need.shortfall, 2)} dB {missed}"
    return f"{figure(need.measure, need.shortfall, evaluation)} {missed}"


def _in_words(need: NeedResult, evaluation: Evaluation) -> str:
    """What an alternative gives where no more of it needs telling."""
    unit, scenario = need.measure.unit, evaluation.scenario
    if unit == "months" and need.value >= scenario.horizon_months:
        return not_before(scenario)
    # What misses by less than can be counted is told in parts of one.
    if unit == "probability" and (need.met or need.value >= RARE_PROBABILITY):
        return chance(need.value, loss_denominator(evaluation))
    return figure(need.measure, need.value, evaluation)
