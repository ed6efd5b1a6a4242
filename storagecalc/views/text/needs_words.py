"""Needs in words: what is asked, what a build gives, and by how much it falls short."""

from collections.abc import Callable

from storagecalc.study.needs import NeedResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.numbers import chance, count, length, money, significant

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


def need_label(need: NeedResult) -> str:
    """What the need is about."""
    return LABELS[need.need]


def asked(need: NeedResult, scenario: Scenario) -> str:
    """What the scenario asks for."""
    word = "at least" if need.at_least else "at most"
    return f"{word} {_amount(need, need.required, scenario)}"


def given(need: NeedResult, scenario: Scenario) -> str:
    """What a build gives, with a word that says whether it is enough."""
    verdict = "meets it" if need.met else "falls short"
    return f"{_amount(need, need.value, scenario)}, {verdict}"


def short_by(need: NeedResult, scenario: Scenario) -> str:
    """A need that is missed, with both figures."""
    value = _amount(need, need.value, scenario)
    return f"{need_label(need)} ({value}, {asked(need, scenario)} is asked)"


def _amount(need: NeedResult, value: float, scenario: Scenario) -> str:
    words: dict[str, Callable[[float], str]] = {
        "headroom_months": lambda months: (
            length(months) if months < scenario.horizon_months else "beyond the months looked at"
        ),
        "loss_probability": chance,
        "copies": lambda copies: count(round(copies)),
        "streams": lambda streams: significant(streams, 3),
        "noise_dba": lambda level: f"{significant(level, 2)} dBA",
        "depth_mm": lambda depth: f"{significant(depth, 4)} mm",
        "upfront_cost": lambda cost: money(cost, scenario.currency),
        "cost_per_year": lambda cost: money(cost, scenario.currency),
    }
    return words[need.need](value)
