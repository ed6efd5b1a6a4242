"""Words of the live page: buttons, groups, sliders and what they stand at."""

from collections.abc import Iterable
from typing import Any

from storagecalc.study.scenario.keys import keys_in
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import Slider
from storagecalc.views.text.numbers import in_unit, plain, significant

WORDS = {
    "settings": "What if",
    "undo": "Undo",
    "put_back": "Put everything back",
    "help": "how to find out",
    "ready": "Up to date.",
    "working": "Working on it…",
    "no_answer": "No answer from the notebook. Is its kernel running?",
    "in_words": "In words:",
}
SAVE_WORDS = {"save": "Save these settings as a scenario"}
GROUPS = {
    "work": "Work",
    "keep": "How long it is kept",
    "team": "People",
    "drives": "Drives",
    "builds": "Builds",
    "prices": "How prices move",
    "running": "Running costs",
    "filling": "Space kept free",
    "rebuild": "Rebuilds",
    "network": "Network",
    "place": "Place",
    "needs": "Needs",
    "remedy": "When a build is too small",
    "elsewhere": "Places for finished work",
}


def group_titles(keys: Iterable[str]) -> list[dict[str, Any]]:
    """The sliders in groups, each under the title of its section."""
    groups: dict[str, list[str]] = {}
    for key in keys:
        groups.setdefault(GROUPS.get(key.partition(".")[0], "The whole"), []).append(key)
    return [{"title": title, "keys": members} for title, members in groups.items()]


def control_words(slider: Slider, scenario: Scenario) -> dict[str, Any]:
    """A slider as the page script expects it."""
    quantity = slider.quantity
    return {
        "key": slider.key,
        "label": f"{quantity.label}{_whose(slider.key, scenario)}",
        "unit": _unit(slider, scenario),
        "min": _tidy(slider.lowest),
        "max": _tidy(slider.highest),
        "step": _tidy(slider.step),
        "value": _tidy(slider.start),
        "help": f"{quantity.find_out}.",
        "status": "from your file," if slider.written else f"default, {quantity.status},",
    }


def readout(slider: Slider, value: float, scenario: Scenario) -> str:
    """What a slider stands at, with its unit."""
    if slider.quantity.unit == "fraction":
        return f"{significant(value * 100)} %"
    # A chance per bit has fifteen zeros; the data sheet writes it like this too.
    shown = f"{value:.3g}" if 0 < abs(value) < 1e-6 else significant(value)
    return in_unit(shown, _unit(slider, scenario))


def _whose(key: str, scenario: Scenario) -> str:
    section, name, _ = keys_in(key, scenario)
    if not name:
        return ""
    return f": {plain(scenario.build_name(name) if section == 'builds' else name)}"


def _unit(slider: Slider, scenario: Scenario) -> str:
    return slider.quantity.unit.replace("money", plain(scenario.currency))


def _tidy(value: float) -> float:
    """Without the last digits that steps of binary fractions leave."""
    return float(f"{value:.10g}")
