"""How long a best plan takes in the study: planned, followed while a slider moves, looked back at.

Run with ``pytest tests/bench -m slow --benchmark-enable -s`` to read the figures.
"""

import time
from pathlib import Path

import pytest

from storagecalc import evaluate, load_scenario, panel
from storagecalc.study.decision.first_order import first_orders
from storagecalc.study.decision.foresight import foresights
from storagecalc.study.decision.tuned_rule import tuned_rules
from storagecalc.study.evaluate import purchase_plans
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from

pytestmark = pytest.mark.slow

DEMO = Path(__file__).parents[2] / "data_examples" / "stage_films.toml"
DAYS = "work.stage.shoot_days_per_month"


@pytest.fixture(scope="module")
def planned():
    """The demo, with its last build once more as the best plan has it."""
    raw = load_scenario(DEMO).as_written()
    raw["builds"]["planned"] = {**raw["builds"]["twelve_and_shelf"], "plan": "best", "name": "plan"}
    return scenario_from(raw, source="the demo with a plan")


def test_a_plan(planned, benchmark):
    sample = sampler(planned)
    benchmark.pedantic(lambda: purchase_plans(sample), rounds=10, warmup_rounds=2)


def test_while_a_slider_moves_nothing_is_planned(planned):
    """A hundred futures with the plan as it was, against the same with a plan made anew."""
    known = evaluate(planned, draws=100).plans
    times = {"followed": [], "planned": []}
    for _ in range(8):
        for name, plans in (("followed", known), ("planned", None)):
            start = time.perf_counter()
            evaluate(planned, draws=100, plans=plans)
            times[name].append(time.perf_counter() - start)
    followed, anew = (1000 * min(times[name]) for name in ("followed", "planned"))
    print(f"\n100 futures: {followed:.0f} ms with the plan as it was, {anew:.0f} ms planned anew")
    assert followed < anew


def test_letting_go_of_a_slider(planned, benchmark):
    """Asked for within a second: planned anew, 2,000 futures, pictures, sentences and tables."""
    live = panel(planned, quantities=[DAYS])
    (control,) = live.spec["controls"]
    values = iter(4 + step / 100 for step in range(1, 100))

    def let_go():
        asked = {"id": 1, "values": {control["key"]: next(values)}, "settled": True, "width": 1050}
        live.answer(asked)

    benchmark.extra_info["asked for, ms"] = 1000
    benchmark.pedantic(let_go, rounds=6, warmup_rounds=1)


@pytest.mark.parametrize("look", [foresights, tuned_rules, first_orders], ids=lambda f: f.__name__)
def test_looking_back_from_futures(planned, benchmark, look):
    """Asked for in 20 s at most, in report and ``plan`` alone."""
    benchmark.extra_info["asked for, s"] = 20
    benchmark.pedantic(
        lambda found: look(found), setup=lambda: ((evaluate(planned),), {}), rounds=2
    )
