"""What is said of a scenario saved from a live page: in the file's head, and on the page."""

import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from storagecalc.study.scenario.quantity import Entry, entries, middle
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import is_moved
from storagecalc.views.text.numbers import LONGEST_TITLE, month, plain, significant
from storagecalc.views.text.starter import plain_path

DIGITS = 4
SAVED = re.compile(r" \((?:changed: |saved )[^()]*\)$")


def saved_title(scenario: Scenario, values: Mapping[str, float], day: date) -> str:
    """The title of a saved copy: nobody should take it for the scenario that it came from.

    It says what was changed where that is one thing or two. A longer list, and a copy of a copy,
    whose changes are not all known, is told by the day it was saved.

    Parameters
    ----------
    scenario
        Where the sliders started.
    values
        Where they stand, by dotted key.
    day
        Today.
    """
    base = SAVED.sub("", scenario.title)
    moved = [
        f"{entry.quantity.label} {significant(values[entry.key], DIGITS)}"
        for entry in _moved(scenario, values)
    ]
    changed = f" (changed: {', '.join(moved)})"
    fits = len(base) + len(changed) <= LONGEST_TITLE
    if moved and len(moved) <= 2 and fits and base == scenario.title:
        return base + changed
    end = f" (saved {day.day} {month(day)})"
    room = LONGEST_TITLE - len(end)
    return (base if len(base) <= room else f"{base[: room - 1]}…") + end


def saved_head(scenario: Scenario, values: Mapping[str, float], file: Path) -> str:
    """Comment lines for the top of the saved file: where it comes from, and what was moved."""
    changes = [
        f"# {plain(entry.key)}: {significant(middle(entry.value), DIGITS)} became"
        f" {significant(values[entry.key], DIGITS)}"
        for entry in _moved(scenario, values)
    ]
    return "\n".join(
        [
            f"# Saved from the live page of {plain(file.name)}. Comments stand only there.",
            *(
                ["# Moved on the page (the middle, where it is a range):", *changes]
                if changes
                else []
            ),
        ]
    )


def saved_words(path: Path, file: Path) -> str:
    """The sentence on the page once the file is there."""
    return (
        f"Saved as {plain_path(path)}. {plain(file.name)} is as it was. To go on from here, run"
        " storagecalc open with the new file."
    )


def not_saved_words(path: Path, reason: Exception) -> str:
    """The sentence on the page where it could not be written."""
    return f"Not saved: {plain_path(path)} {reason}."


def _moved(scenario: Scenario, values: Mapping[str, float]) -> list[Entry]:
    return [
        entry
        for entry in entries(scenario)
        if entry.key in values and is_moved(entry, values[entry.key])
    ]
