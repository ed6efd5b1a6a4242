"""How long the chain takes. Ratios are taken within one run, on one thread.

Run with ``pytest tests/bench -m slow --benchmark-enable -s`` to read the figures.
"""

import time

import numpy as np
import pytest
from scipy.linalg import expm
from threadpoolctl import threadpool_limits

from storagecalc.models.failure import loss_probability, loss_probability_by_month

pytestmark = pytest.mark.slow

SETS = 10_000
YEARS = 5.0


@pytest.fixture(autouse=True)
def one_thread():
    with threadpool_limits(limits=1):
        yield


def parameter_sets(parity):
    """Groups of 4 to 24 drives over the range of rates and rebuild times that studios meet."""
    random = np.random.default_rng(2)
    return {
        "parity_drives": parity,
        "drives_per_group": random.integers(4, 25, SETS),
        "failures_per_drive_year": random.uniform(0.002, 0.1, SETS),
        "rebuild_h": random.uniform(4.0, 200.0, SETS),
    }


def chances(sets):
    return loss_probability(**sets, horizon_years=YEARS, repair="parallel")


def chances_in_a_loop(sets, count):
    """The same from an ordinary matrix exponential, one after the other."""
    result = []
    parity = np.broadcast_to(sets["parity_drives"], SETS)
    for place in range(count):
        drives, spare = sets["drives_per_group"][place], parity[place]
        fails = sets["failures_per_drive_year"][place] / 8760
        mends = 1 / sets["rebuild_h"][place]
        generator = np.zeros((spare + 2, spare + 2))
        for failed in range(spare + 1):
            generator[failed, failed + 1] = (drives - failed) * fails
            generator[failed, failed] = -(drives - failed) * fails - failed * mends
            if failed:
                generator[failed, failed - 1] = failed * mends
        result.append(expm(generator * YEARS * 8760)[0, -1])
    return np.array(result)


def best_ms(work, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


MIXED = np.random.default_rng(1).integers(1, 4, SETS)


@pytest.mark.parametrize("parity", [1, 2, 3, MIXED], ids=["single", "double", "triple", "mixed"])
def test_ten_thousand_sets_within_100_ms_and_five_times_faster_than_a_loop(parity, benchmark):
    sets = parameter_sets(parity)
    ours = benchmark.pedantic(chances, args=(sets,), rounds=3, warmup_rounds=1)
    tenth = SETS // 10
    np.testing.assert_allclose(ours[:tenth], chances_in_a_loop(sets, tenth), rtol=1e-6)
    ours_ms = best_ms(lambda: chances(sets), 7)
    loop_ms = 10 * best_ms(lambda: chances_in_a_loop(sets, tenth), 2)
    print(
        f"\n10,000 sets: {ours_ms:.0f} ms, a loop {loop_ms:.0f} ms, {loop_ms / ours_ms:.0f} times"
    )
    assert ours_ms < 100
    assert loop_ms > 5 * ours_ms


GROWING = np.repeat([4, 5, 6, 7, 8, 8, 8], 12)


def test_months_at_a_point_within_2_ms(benchmark):
    rates = np.linspace(0.003, 0.1, 40).reshape(1, 40, 1)
    arguments = {
        "drives_per_group_by_month": GROWING.reshape(1, 1, 84),
        "parity_drives": 2,
        "failures_per_drive_year": rates,
        "rebuild_h": 36.0,
        "repair": "parallel",
    }
    benchmark.pedantic(loss_probability_by_month, kwargs=arguments, rounds=20, warmup_rounds=2)
    took_ms = best_ms(lambda: loss_probability_by_month(**arguments), 200)
    print(f"\n84 months, 40 rates, 5 drive counts: {took_ms:.2f} ms")
    assert took_ms < 2


def test_months_of_a_thousand_positions_within_1200_ms(benchmark):
    random = np.random.default_rng(3)
    arguments = {
        "drives_per_group_by_month": np.sort(random.integers(4, 12, (1000, 1, 84)), axis=-1),
        "parity_drives": 2,
        "failures_per_drive_year": np.linspace(0.003, 0.1, 40).reshape(1, 40, 1),
        "rebuild_h": 36.0,
        "repair": "parallel",
    }
    benchmark.pedantic(loss_probability_by_month, kwargs=arguments, rounds=1)
    took_ms = best_ms(lambda: loss_probability_by_month(**arguments), 3)
    by_position = arguments["failures_per_drive_year"] * random.uniform(0.5, 1.0, (1000, 1, 1))
    arguments["failures_per_drive_year"] = by_position
    own_ms = best_ms(lambda: loss_probability_by_month(**arguments), 2)
    print(f"\n1000 positions, 40 rates, 84 months: {took_ms:.0f} ms; own rates {own_ms:.0f} ms")
    assert took_ms < 1200
