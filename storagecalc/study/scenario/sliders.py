"""Which quantities a page lets one move, how far, and what a moved value means for its range."""

import fnmatch
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from storagecalc.study.scenario.keys import keys_in
from storagecalc.study.scenario.owned import left_to_its_box
from storagecalc.study.scenario.quantity import Amount, Entry, Quantity, Range, entries, middle
from storagecalc.study.scenario.scenario import Scenario

# Keys of a build that mean nothing where it has no further step to take.
ONLY_WHERE_IT_GROWS = ("order_at_fraction", "lead_time_months")


@dataclass(frozen=True, slots=True, kw_only=True)
class Slider:
    """One quantity that can be moved: where it starts and how far it goes."""

    key: str
    quantity: Quantity
    start: float
    lowest: float
    highest: float
    step: float
    written: bool


def sliders(scenario: Scenario, quantities: Sequence[str]) -> tuple[Slider, ...]:
    """A slider for each quantity of the scenario that the patterns name, in their order.

    Parameters
    ----------
    scenario
        The scenario that is moved.
    quantities
        Dotted keys; a ``*`` stands for every name: ``work.*.shoot_days_per_month``.

    Raises
    ------
    ValueError
        Where a pattern without a ``*`` names no quantity of the scenario.
    """
    known = [entry for entry in entries(scenario) if means_something(scenario, entry)]
    found = []
    for pattern in quantities:
        matching = [entry for entry in known if fnmatch.fnmatchcase(entry.key, pattern)]
        if not matching and "*" not in pattern:
            raise ValueError(f"{pattern} is no quantity of this scenario")
        found += [_slider(entry, *_limits(scenario, entry)) for entry in matching]
    return tuple(found)


def moved(scenario: Scenario, values: Mapping[str, float]) -> Scenario:
    """The scenario with sliders moved; a range keeps its shape and goes along with its middle.

    At the very end of what is plausible there is no room for a range: it becomes one number.

    Raises
    ------
    ScenarioError
        Where a moved value breaks a rule.
    """
    by_key = {entry.key: entry for entry in entries(scenario)}
    changes = {
        key: moved_value(by_key[key], value)
        for key, value in values.items()
        if is_moved(by_key[key], value)
    }
    return scenario.varied(changes) if changes else scenario


def is_moved(entry: Entry, value: float) -> bool:
    """Whether a slider stands elsewhere than where it started, whatever the last digits say."""
    return not math.isclose(value, middle(entry.value), rel_tol=1e-9, abs_tol=1e-12)


def are_close(values: Mapping[str, float], others: Mapping[str, float]) -> bool:
    """Whether sliders stand at the same values, whatever the last digits say."""
    return all(math.isclose(value, others[key], abs_tol=1e-12) for key, value in values.items())


def moved_value(entry: Entry, wanted: float) -> Amount:
    """What a slider at a value makes of a quantity: a range goes along, its odds kept.

    Parameters
    ----------
    entry
        The quantity as written.
    wanted
        Where its middle is to stand.
    """
    value, quantity = entry.value, entry.quantity
    if quantity.whole:
        return round(wanted)
    if not isinstance(value, Range) or not quantity.lowest < wanted < quantity.highest:
        return wanted
    return quantity.moved(value, wanted)


def _slider(entry: Entry, lowest: float, highest: float) -> Slider:
    quantity, value = entry.quantity, entry.value
    start = middle(entry.value)
    if isinstance(value, Range):
        spread = value.high - value.low
        low = value.low / 2 if value.low > 0 else value.low - spread / 2
        high = value.high + spread
    elif quantity.lowest < 0:
        low, high = start - 20 * quantity.step, start + 20 * quantity.step
    else:
        low, high = start / 2, max(2 * start, start + 4 * quantity.step)
    step = _fine_step(quantity, high - low)
    down, up = start - max(low, lowest), min(high, highest) - start
    return Slider(
        key=entry.key,
        quantity=quantity,
        start=start,
        lowest=_tidy(start - math.floor(down / step + 1e-9) * step, step),
        highest=_tidy(start + math.floor(up / step + 1e-9) * step, step),
        step=step,
        written=entry.written,
    )


def _limits(scenario: Scenario, entry: Entry) -> tuple[float, float]:
    """What it may be: the plausible, and no more is left of footage than was before, nor less than
    is later."""
    lowest, highest = entry.quantity.lowest, entry.quantity.highest
    section, name, inside = keys_in(entry.key, scenario)
    if section == "keep" and inside[-1] == "keep_fraction":
        shares = [middle(step.keep_fraction) for step in scenario.keep[name].steps]
        lowest, highest = [*shares, lowest][int(inside[1]) + 1], [highest, *shares][int(inside[1])]
    return lowest, highest


def _tidy(value: float, step: float) -> float:
    """Without the last digits that steps of binary fractions leave."""
    return round(value, 9 - math.floor(math.log10(step)))


def _fine_step(quantity: Quantity, reach: float) -> float:
    """The declared notch, made finer until a slider has at least eight of them."""
    step = quantity.step
    while not quantity.whole and reach / step < 8:
        step /= 2
    return step


def means_something(scenario: Scenario, entry: Entry) -> bool:
    """Whether a quantity changes anything: not what is left to an owned box, or never grows."""
    section, name, inside = keys_in(entry.key, scenario)
    if section != "builds":
        return True
    build, field = scenario.builds[name], inside[-1]
    if field not in ONLY_WHERE_IT_GROWS:
        return not left_to_its_box(build, field)
    if field == "lead_time_months" and build.keeps:
        return True
    return build.shelf is not None or build.drives_at_first + build.drives_per_step <= build.bays
