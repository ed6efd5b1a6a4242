"""What is said of a scenario saved from a live page: in the file's head, and on the page."""

from collections.abc import Mapping
from pathlib import Path

from storagecalc.study.scenario.quantity import entries, middle
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import is_moved
from storagecalc.views.text.numbers import plain, significant
from storagecalc.views.text.starter import plain_path

DIGITS = 4


def saved_head(scenario: Scenario, values: Mapping[str, float], file: Path) -> str:
    """Comment lines for the top of the saved file: where it comes from, and what was moved."""
    changes = [
        f"# {plain(entry.key)}: {significant(middle(entry.value), DIGITS)} became"
        f" {significant(values[entry.key], DIGITS)}"
        for entry in entries(scenario)
        if entry.key in values and is_moved(entry, values[entry.key])
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
