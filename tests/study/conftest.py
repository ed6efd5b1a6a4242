"""Scenarios for the tests of the study tier."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from study.small import SMALL

from storagecalc.study.scenario.load import load_scenario, scenario_from
from storagecalc.study.scenario.scenario import Scenario

DEMO = Path(__file__).parents[2] / "data_examples" / "stage_films.toml"


@pytest.fixture(scope="session")
def demo() -> Scenario:
    """The demo scenario."""
    return load_scenario(DEMO)


@pytest.fixture
def small() -> Scenario:
    """The studio that can be worked out by hand."""
    return scenario_from(SMALL, source="by hand")


@pytest.fixture
def raw() -> dict[str, Any]:
    """The demo as plain tables, to be damaged."""
    return tomllib.loads(DEMO.read_text(encoding="utf-8"))


@pytest.fixture
def damaged(raw: dict[str, Any]) -> Callable[[dict[str, Any]], Scenario]:
    """Load the demo with dotted keys replaced; ``...`` as a value removes the key."""

    def load(changes: dict[str, Any]) -> Scenario:
        for dotted, value in changes.items():
            *way, last = dotted.split(".")
            table: Any = raw
            for part in way:
                table = table[int(part)] if isinstance(table, list) else table.setdefault(part, {})
            if value is ...:
                del table[last]
            else:
                table[last] = value
        return scenario_from(raw, source="damaged demo")

    return load
