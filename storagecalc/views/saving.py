"""The settings of a live page as a scenario file of their own, beside the one they came from."""

from datetime import date
from pathlib import Path

import tomli_w

from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import moved
from storagecalc.views.files import FileError, NameInUseError, unused_name, write_new
from storagecalc.views.page.panel import SaveValues
from storagecalc.views.text.saved import not_saved_words, saved_head, saved_title, saved_words


def saver(scenario: Scenario, file: Path) -> SaveValues:
    """A function that saves the scenario with sliders moved, and says where.

    Parameters
    ----------
    scenario
        Where the sliders start.
    file
        The file it was loaded from, which is left as it is: a new one is written beside it.

    Returns
    -------
    callable
        From the sliders' values by dotted key to a sentence. It raises a ``ValueError`` where a
        value breaks a rule or the file cannot be written; a ``ScenarioError`` is one.
    """

    def save(values: dict[str, float]) -> str:
        head = saved_head(scenario, values, file)
        title = saved_title(scenario, values, date.today())
        text = f"{head}\n\n{scenario_toml(moved(scenario, values).varied({'title': title}))}"
        while True:
            path = unused_name(file)
            try:
                write_new(path, text)
            except NameInUseError:  # another panel took it in between
                continue
            except FileError as reason:
                raise ValueError(not_saved_words(path, reason)) from None
            return saved_words(path, file)

    return save


def scenario_toml(scenario: Scenario) -> str:
    """A scenario as a TOML file has it: what was written, and nothing that was left out."""
    return tomli_w.dumps(scenario.as_written())
