"""Every array that a topic hands on has all three axes: positions, draws, and months or steps."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from study.small import outcomes_by_key

from storagecalc import load_scenario
from storagecalc.study.capacity.space import Pools, Stint
from storagecalc.study.outcome import kept
from storagecalc.study.sampling import sampler

EXAMPLES = sorted((Path(__file__).parents[2] / "data_examples").glob("*.toml"))
DRAWS = 7


def arrays(value: Any, where: str) -> Iterator[tuple[str, np.ndarray]]:
    """Every array in a result by its way; counts by pool and step are choices, never drawn."""
    if isinstance(value, (Pools, Stint)):
        return
    if isinstance(value, np.ndarray):
        yield where, value
    elif is_dataclass(value):
        for each in fields(value):
            yield from arrays(getattr(value, each.name), f"{where}.{each.name}")
    elif isinstance(value, Mapping):
        for name, part in value.items():
            yield from arrays(part, f"{where}[{name}]")
    elif isinstance(value, (list, tuple)):
        for number, part in enumerate(value):
            yield from arrays(part, f"{where}[{number}]")


@pytest.mark.parametrize("draws", [0, DRAWS])
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_array_has_positions_draws_and_months(path, draws):
    sample = sampler(load_scenario(path), draws=draws)
    drawn = sample.futures(0, draws) if draws else sample.middle()
    count = 0
    for key, outcome in outcomes_by_key(drawn).items():
        for where, rows in arrays(outcome, key):
            count += 1
            assert rows.ndim == 3, f"{where}: {rows.shape}"
            assert rows.shape[0] == 1, f"{where}: {rows.shape}"
            assert rows.shape[1] in (1, max(draws, 1)), f"{where}: {rows.shape}"
    assert count > 100


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_what_is_kept_of_every_future_tells_each_of_them(path):
    drawn = sampler(load_scenario(path), draws=DRAWS).futures(0, DRAWS)
    for key, outcome in outcomes_by_key(drawn).items():
        for where, rows in arrays(kept(outcome, DRAWS), key):
            assert rows.shape[:2] == (1, DRAWS), f"{where}: {rows.shape}"
