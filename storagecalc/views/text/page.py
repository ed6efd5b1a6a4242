"""Words of the live page: buttons, groups, sliders and what they stand at."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from storagecalc.study.scenario.keys import keys_in
from storagecalc.study.scenario.quantity import Quantity
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import Slider
from storagecalc.views.text.numbers import cut, in_unit, plain, significant

WORDS = {
    "settings": "What if",
    "undo": "Undo",
    "put_back": "Put back",
    "help": "how to find out",
    "ready": "",
    "working": "Working on it…",
    "no_answer": "No answer from the notebook. Is its kernel running?",
    "in_words": "In words:",
}
SAVE_WORDS = {"save": "Save as a scenario"}
GROUPS = {
    "work": "Work",
    "keep": "How long it is kept",
    "team": "People",
    "drives": "Drives",
    "builds": "Builds",
    "prices": "How prices move",
    "shortages": "Shortages of drives",
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
    """A slider as the page script expects it, its numbers as they are shown."""
    quantity = slider.quantity
    ends = [shown_value(quantity, end) for end in (slider.lowest, slider.highest)]
    label = label_of(slider.key, quantity, scenario)
    example = f"{shown_value(quantity, slider.start):.10g}"
    return {
        "key": slider.key,
        "label": label,
        "unit": shown_unit(quantity, scenario),
        "min": ends[0],
        "max": ends[1],
        "step": shown_value(quantity, slider.step),
        "value": shown_value(quantity, slider.start),
        "ends": [significant(end) for end in ends],
        "help": f"{quantity.find_out}.",
        "status": "from your file:" if slider.written else f"{quantity.status}:",
        "wrong": f"{label}: write one number, with a point or comma for parts of one: {example}",
    }


def readouts(
    scenario: Scenario, found: Sequence[Slider], values: Mapping[str, float]
) -> dict[str, str]:
    """What each slider stands at, with its unit."""
    return {each.key: amount(each.quantity, values[each.key], scenario) for each in found}


def out_of_reach(slider: Slider, value: float, scenario: Scenario) -> str:
    """That a value is not plausible, in the words of its label, and what would be."""
    quantity = slider.quantity
    ends = (amount(quantity, end, scenario) for end in (quantity.lowest, quantity.highest))
    low, high = ends
    label = label_of(slider.key, quantity, scenario)
    return f"{label} must be from {low} to {high}, got {amount(quantity, value, scenario)}."


def label_of(key: str, quantity: Quantity, scenario: Scenario) -> str:
    """What a quantity is called, and whose it is."""
    section, name, _ = keys_in(key, scenario)
    label = f"{quantity.label[:1].upper()}{quantity.label[1:]}"
    if not name:
        return label
    whose = scenario.build_name(name) if section == "builds" else name.replace("_", " ")
    return f"{label} ({cut(whose)})"


def amount(quantity: Quantity, value: float, scenario: Scenario) -> str:
    """A value of a quantity, with its unit."""
    shown = shown_value(quantity, value)
    # A chance per bit has fifteen zeros; the data sheet writes it like this too.
    number = f"{shown:.3g}" if 0 < abs(shown) < 1e-6 else significant(shown)
    return in_unit(number, shown_unit(quantity, scenario))


def shown_unit(quantity: Quantity, scenario: Scenario) -> str:
    """The unit in which a quantity is shown and typed: a share in a hundred."""
    if quantity.unit == "fraction":
        return "%"
    return quantity.unit.replace("money", plain(scenario.currency))


def shown_value(quantity: Quantity, value: float) -> float:
    """A value in that unit, without the last digits that steps of binary fractions leave."""
    return float(f"{value * _per_shown(quantity):.10g}")


def true_value(quantity: Quantity, shown: float) -> float:
    """The value that is meant by what is shown."""
    return float(f"{shown / _per_shown(quantity):.10g}")


def _per_shown(quantity: Quantity) -> int:
    return 100 if quantity.unit == "fraction" else 1
