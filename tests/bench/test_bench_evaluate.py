"""How long an evaluation of three builds over 84 months takes. Ratios are taken within one run.

Run with ``pytest tests/bench -m slow --benchmark-enable -s`` to read the figures.
"""

import resource
import time
from pathlib import Path

import numpy as np
import pytest

from storagecalc import evaluate, load_scenario

pytestmark = pytest.mark.slow

DEMO = Path(__file__).parents[2] / "data_examples" / "stage_films.toml"


@pytest.fixture(scope="module")
def demo():
    scenario = load_scenario(DEMO)
    assert len(scenario.builds) == 3
    assert scenario.horizon_months == 84
    return scenario


def best_s(work, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.mark.parametrize(("draws", "asked_ms"), [(0, 15), (500, 60), (2000, 250)])
def test_an_evaluation(demo, benchmark, draws, asked_ms):
    benchmark.extra_info["asked for, ms"] = asked_ms
    benchmark.pedantic(lambda: evaluate(demo, draws=draws), rounds=12, warmup_rounds=2)


def test_draws_are_far_cheaper_than_points_in_a_loop(demo):
    """2,000 draws against 2,000 points: at least twenty times faster, both in this run."""
    evaluate(demo, draws=2000)
    together = best_s(lambda: evaluate(demo, draws=2000), 5)
    loop = 2000 * best_s(lambda: evaluate(demo), 40)
    ratio = loop / together
    print(f"\n2,000 draws {1000 * together:.0f} ms, loop of points {loop:.1f} s, {ratio:.0f} times")
    assert loop > 20 * together


def test_a_grid_of_a_thousand_positions(demo):
    """1,000 positions of 100 draws each: asked for in under 5 s and in bounded memory."""
    positions = {"drives.tb16.price": np.linspace(300, 700, 1000)}
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.perf_counter()
    grid = evaluate(demo, draws=100, positions=positions)
    took = time.perf_counter() - start
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1000
    print(f"\n1,000 x 100 in {took:.1f} s, memory grown by {grown_mb:.0f} MB")
    assert grid.builds[0].money.net_present_cost.p90.shape == (1000,)
    assert grown_mb < 250


def test_a_hundred_thousand_futures(demo):
    """The most that may be drawn: in bounded memory, as they are worked on in blocks."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.perf_counter()
    found = evaluate(demo, draws=100_000)
    took = time.perf_counter() - start
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1000
    print(f"\n100,000 draws in {took:.1f} s, memory grown by {grown_mb:.0f} MB")
    assert len(found.builds[0].money.net_present_cost_by_draw) == 100_000
    assert grown_mb < 1000
