"""README keeps its word: two commands of one line, and a scenario that the tool accepts."""

import re
import tomllib

import pytest
from house.tree import kept_files, text

from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.footage import KeepRule, Work

README = text("README.md")


@pytest.mark.parametrize("mark", ["main job", "tests"])
def test_each_command_is_one_line_with_a_windows_form(mark):
    found = re.findall(rf"<!-- {mark} -->\s*```sh\n(.+?)\n```\n\nOn Windows: `(.+?)`", README, re.S)
    assert len(found) == 1
    command, windows = found[0]
    assert "\n" not in command
    assert windows == (
        command.replace("python3 -m venv", "py -m venv").replace(".venv/bin/", ".venv\\Scripts\\")
    ).replace("data_examples/", "data_examples\\")


def test_the_scenario_it_names_exists():
    named = set(re.findall(r"data_examples/\w+\.toml", README))
    assert named
    assert named <= set(kept_files())


def test_its_piece_of_a_scenario_is_valid():
    piece = tomllib.loads(re.findall(r"```toml\n(.+?)```", README, re.DOTALL)[0])
    tables = {"work": Work, "keep": KeepRule, "builds": Build}
    assert piece.keys() == tables.keys()
    for section, table in tables.items():
        for entry in piece[section].values():
            table.model_validate(entry)
