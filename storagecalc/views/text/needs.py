"""Needs in words: what is asked, what a build gives, and by how much it falls short."""

from collections.abc import Callable

from storagecalc.study.decision.needs import NeedResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.numbers import (
    RARE_PROBABILITY,
    chance,
    count,
    length,
    money,
    one_in,
    significant,
)

LABELS = {
    "headroom_months": "lasts without a successor",
    "loss_probability": "chance that drives alone lose the box",
    "streams": "editors' streams at once",
    "noise_dba": "noise at the nearest desk",
    "depth_mm": "depth with plugs",
    "upfront_cost": "cost on day one",
    "copies": "copies of everything, the box among them",
    "cost_per_year": "cost of the dearest later year",
}

TOO = {
    "headroom_months": "too short",
    "loss_probability": "too likely",
    "streams": "too few",
    "noise_dba": "too loud",
    "depth_mm": "too deep",
    "upfront_cost": "too much",
    "copies": "too few",
    "cost_per_year": "too much",
}


def need_label(need: NeedResult) -> str:
    """What the need is about."""
    return LABELS[need.need]


def asked(need: NeedResult, scenario: Scenario) -> str:
    """What the scenario asks for."""
    word = "at least" if need.at_least else "at most"
    return f"{word} {_figure(need, need.required, scenario)}"


def given(need: NeedResult, scenario: Scenario) -> str:
    """What a build gives, and that it is enough or by how much it is not."""
    if need.met:
        return f"{_in_words(need, scenario)}, meets it"
    return f"{_figure(need, need.value, scenario)}, {_missed(need, scenario)}"


def short_by(need: NeedResult, scenario: Scenario) -> str:
    """A need that is missed, with both figures."""
    value = _figure(need, need.value, scenario)
    return f"{need_label(need)} ({value}, {asked(need, scenario)} is asked)"


def _missed(need: NeedResult, scenario: Scenario) -> str:
    if need.need == "loss_probability":
        return TOO[need.need]
    if need.need == "noise_dba":  # two levels are so many dB apart, whatever their weighting
        return f"{significant(need.shortfall, 2)} dB {TOO[need.need]}"
    return f"{_figure(need, need.shortfall, scenario)} {TOO[need.need]}"


def _in_words(need: NeedResult, scenario: Scenario) -> str:
    """What a build gives where no more of it needs telling."""
    if need.need == "headroom_months" and need.value >= scenario.horizon_months:
        return "beyond the months looked at"
    if need.need == "loss_probability":
        return chance(need.value)
    return _figure(need, need.value, scenario)


def _figure(need: NeedResult, value: float, scenario: Scenario) -> str:
    """A figure of a need with its unit, to be compared with another."""
    words: dict[str, Callable[[float], str]] = {
        "headroom_months": length,
        "loss_probability": one_in if 0 < value < RARE_PROBABILITY else chance,
        "copies": lambda copies: count(round(copies)),
        "streams": lambda streams: significant(streams, 3),
        "noise_dba": lambda level: f"{significant(level, 2)} dBA",
        "depth_mm": lambda depth: f"{significant(depth, 4)} mm",
        "upfront_cost": lambda cost: money(cost, scenario.currency),
        "cost_per_year": lambda cost: money(cost, scenario.currency),
    }
    return words[need.need](value)
