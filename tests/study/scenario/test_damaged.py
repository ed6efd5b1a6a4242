"""Damaged scenarios: each gives finite numbers or a ScenarioError, never anything else."""

import copy
import math
import random
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc import ScenarioError, evaluate
from storagecalc.study.scenario.load import scenario_from

JUNK = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**9), 10**9), st.floats(), st.text(max_size=8),
    st.just({}), st.just([]), st.dates(), st.just({"low": 1, "middle": 2, "high": 3}),
    st.sampled_from([10**400, {"low": 5e-324, "middle": 1, "high": 2}]),
)  # fmt: skip


@given(seed=st.integers(0, 2**32), junk=JUNK, hits=st.integers(1, 3))
def test_damaged_scenarios_give_finite_numbers_or_a_scenario_error(demo, seed, junk, hits):
    raw = copy.deepcopy(demo.as_written())
    chance = random.Random(seed)
    for _ in range(hits):
        damage(raw, chance, junk)
    try:
        scenario = scenario_from(raw, source="damaged")
    except ScenarioError as error:
        if not error.faults:
            raise
        return
    for build in evaluate(scenario).builds:
        assert math.isfinite(build.money.net_present_cost.point)
        assert math.isfinite(build.loss.box_loss_probability)


def damage(table, chance, junk):
    """Replace, remove or misspell one thing somewhere below."""
    keys = list(table) if isinstance(table, dict) else list(range(len(table)))
    if not keys:
        return
    key = chance.choice(keys)
    value = table[key]
    if isinstance(value, (dict, list, tuple)) and value and chance.random() < 0.8:
        if isinstance(value, tuple):
            value = table[key] = list(value)
        damage(value, chance, junk)
    elif chance.random() < 0.3:
        del table[key]
    elif isinstance(table, dict) and chance.random() < 0.2:
        table[f"{key}x"] = table.pop(key)
    else:
        table[key] = junk


PIECES = [
    None, True, -1, 0, 7, 1e308, math.nan, math.inf, 0.5, "", "x", "a" * 10_000, "\u202e<script>",
    "=1+1", 10**400, {}, [], [[]], {"low": 1, "middle": 2, "high": 3}, {"low": math.nan},
    "2027-13-45",
]  # fmt: skip


@pytest.mark.slow
def test_the_loader_survives_ten_thousand_damaged_scenarios(demo):
    chance = random.Random(20270101)
    refused = longest = 0
    start = time.perf_counter()
    for _ in range(10_000):
        raw = copy.deepcopy(demo.as_written())
        for _ in range(chance.randint(1, 4)):
            damage(raw, chance, copy.deepcopy(chance.choice(PIECES)))
        try:
            scenario_from(raw, source="damaged")
        except ScenarioError as error:
            refused += 1
            longest = max(longest, *(len(str(fault)) for fault in error.faults), 0)
    print(f"\n{refused} of 10,000 refused in {time.perf_counter() - start:.0f} s")
    assert refused > 5000
    assert longest < 3000
