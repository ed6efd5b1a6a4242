"""The owner's page at every position of its sliders, worked out beforehand."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from storagecalc.study.decision.break_even import BreakEven, break_evens, draws_a_position
from storagecalc.study.decision.sensitivity import influences
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.quantity import entries
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import Slider, are_close, moved, moved_value, sliders
from storagecalc.views.page.first_page import (
    change_parts,
    fitting_frames,
    owners_answer,
    owners_layout,
    page_frames,
    plan_part,
)
from storagecalc.views.page.grid import grid_of, grid_values
from storagecalc.views.progress import counted
from storagecalc.views.text.first_page import what_if
from storagecalc.views.text.page import WORDS, control_words, readouts, shown_value

# What is looked at for what would change the decision, and how many of them the page slides.
QUANTITIES_THAT_MATTER = 5
SLIDERS = 2


def owner_grid(
    evaluation: Evaluation, places: int, draws: int
) -> tuple[dict[str, Any], dict[str, Any]]:
    """What the page consists of, and its answers, packed.

    Parameters
    ----------
    evaluation
        With draws and without a grid: what the page says where nothing is moved.
    places
        Positions of each slider from low to high, 3 or more, today among them.
    draws
        Futures drawn at each position but today's, at most.
    """
    scenario, found = evaluation.scenario, _ranked(evaluation)
    moved_by = _sliders(scenario, found)
    axes = [{"key": each.key, "values": _stops(each, places)} for each in moved_by]
    positions = _positions(moved_by, places)
    at_places = _at_positions(evaluation, moved_by, positions, draws)
    today, whole = page_frames([evaluation]), page_frames([here for _, here in at_places])
    texts, bars = change_parts(evaluation, found, [each.key for each in moved_by])
    # The plan stays as it was made, wherever a slider stands.
    fixed = texts, bars | plan_part(evaluation)
    answers = [
        _at_place(here, moved_by, values, _frames(here, today, whole), fixed)
        for values, here in counted(at_places, "positions of the sliders")
    ]
    controls = [control_words(each, scenario) for each in moved_by]
    spec = {"words": {**WORDS, "undo": "", "ready": ""}, "controls": controls}
    layout = owners_layout(spec, found)
    return {**spec, "page": layout}, grid_of(axes, answers)


def _frames(
    evaluation: Evaluation, today: Mapping[str, Any], whole: Mapping[str, Any]
) -> dict[str, Any]:
    """Today's axes where the evaluation fits them, else those that fit every position."""
    fitted = fitting_frames(evaluation, today)
    return {name: today[name] if fitted[name] is today[name] else whole[name] for name in today}


def _at_positions(
    evaluation: Evaluation,
    found: Sequence[Slider],
    positions: Sequence[Mapping[str, float]],
    draws: int,
) -> list[tuple[Mapping[str, float], Evaluation]]:
    """The evaluation at every position: itself where nothing is moved, elsewhere with few draws."""
    scenario, start = evaluation.scenario, {each.key: each.start for each in found}
    known = {entry.key: entry for entry in entries(scenario)}
    grid = {key: [moved_value(known[key], values[key]) for values in positions] for key in start}
    draws = draws_a_position(scenario, draws)
    few = evaluate(
        scenario, draws=draws, seed=evaluation.seed, positions=grid, plans=evaluation.plans
    )
    return [
        (
            values,
            evaluation
            if are_close(values, start)
            else replace(few.at(place), scenario=moved(scenario, values)),
        )
        for place, values in enumerate(positions)
    ]


def _ranked(evaluation: Evaluation) -> list[BreakEven]:
    """What would change the decision among what matters most; what does change it first."""
    matters = influences(evaluation)[:QUANTITIES_THAT_MATTER]
    found = break_evens(evaluation, [each.key for each in matters])
    return sorted(found, key=lambda each: not each.crossings)


def _sliders(scenario: Scenario, found: Sequence[BreakEven]) -> list[Slider]:
    """The sliders of a report: the first of the list, from low to high."""
    chosen = found[:SLIDERS]
    several = sliders(scenario, [each.key for each in chosen])
    return [
        replace(slider, start=each.today, lowest=each.low, highest=each.high)
        for slider, each in zip(several, chosen, strict=True)
    ]


def _at_place(
    evaluation: Evaluation,
    found: Sequence[Slider],
    values: Mapping[str, float],
    frames: Mapping[str, Any],
    fixed: tuple[dict[str, str], dict[str, Any]],
) -> dict[str, Any]:
    shown = owners_answer(evaluation, frames)
    texts, bars = fixed
    return {
        "error": None,
        "texts": {**shown["texts"], **texts, "what if": what_if(evaluation, found, values)},
        "readouts": readouts(evaluation.scenario, found, values),
        "drawings": {**shown["drawings"], **bars},
        "tables": {name: asdict(table) for name, table in shown["tables"].items()},
    }


def _places(slider: Slider, places: int) -> list[float]:
    """As many values to either side of today, both ends among them."""
    half = max(1, (places - 1) // 2)
    sides = [
        (slider.lowest, slider.start, range(half)),
        (slider.start, slider.highest, range(half + 1)),
    ]
    values = (low + (high - low) * at / half for low, high, steps in sides for at in steps)
    return sorted({float(f"{value:.10g}") for value in values})


def _stops(slider: Slider, places: int) -> list[float]:
    return [shown_value(slider.quantity, value) for value in _places(slider, places)]


def _positions(found: Sequence[Slider], places: int) -> list[dict[str, float]]:
    return grid_values([{"key": each.key, "values": _places(each, places)} for each in found])
