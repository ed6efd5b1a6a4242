"""Every example scenario loads, comes out in finite numbers, and gives the verdict it is kept for.

The outcomes recorded here are the tool's own, so that a change of them is noticed, not proved.
"""

import math
from dataclasses import fields, is_dataclass
from pathlib import Path

import numpy as np
import pytest

from storagecalc import evaluate, load_scenario
from storagecalc.study.decision.cautions import cautions
from storagecalc.study.decision.formats_compared import formats_compared
from storagecalc.study.decision.records import records
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.loss.redundancy_compared import redundancy_compared
from storagecalc.study.scenario.load import scenario_from

EXAMPLES = Path(__file__).parents[2] / "data_examples"
OUTCOMES = {
    "stage_films": ("no clear difference", {"eight_at_once", "twelve_and_shelf"}),
    "one_desk": ("growing first", {"four_small"}),
    "twelve_people": ("moving work off first", {"series_to_tape"}),
}
# A build that is never full has no month in which it is.
MAY_BE_INFINITE = ("fill_months", "headroom_months", "order_months", "full_months", "from_months")


@pytest.fixture(scope="module", params=sorted(OUTCOMES))
def example(request):
    return request.param, load_scenario(EXAMPLES / f"{request.param}.toml")


def unfinished(value, where=""):
    """Where in a result a number is not finite, or NaN where it may be infinite."""
    if is_dataclass(value):
        parts = [(each.name, getattr(value, each.name)) for each in fields(value)]
    elif isinstance(value, dict):
        parts = list(value.items())
    elif isinstance(value, (list, tuple)):
        parts = list(enumerate(value))
    elif isinstance(value, (float, np.ndarray)):
        bad = np.isnan(value) if any(n in where for n in MAY_BE_INFINITE) else ~np.isfinite(value)
        return [where] if np.any(bad) else []
    else:
        return []
    return [fault for name, part in parts for fault in unfinished(part, f"{where}.{name}")]


def test_each_is_listed_and_all_are_there():
    kept = {path.stem for path in EXAMPLES.glob("*.toml")}
    assert set(OUTCOMES) <= kept


@pytest.mark.parametrize("draws", [0, 60])
def test_it_comes_out_in_finite_numbers(example, draws):
    _, scenario = example
    evaluation = evaluate(scenario, draws=draws)
    for build in evaluation.builds:
        assert unfinished(build, build.key) == []
    assert unfinished(evaluation.held_tb_by_month, "held") == []
    for record in records(evaluation):
        assert math.isfinite(record["net_present_cost"])
        assert record["upfront_cost"] > 0
    assert cautions(evaluation)


def test_it_gives_its_verdict(example):
    name, scenario = example
    outcome, firsts = OUTCOMES[name]
    for seed in (0, 1):
        found = verdict(evaluate(scenario, draws=1000, seed=seed))
        assert found.outcome == outcome
        assert found.first.key in firsts


def test_it_says_that_its_prices_are_invented(example):
    name, scenario = example
    assert scenario.prices_are == "invented"
    assert "invented" in (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8").splitlines()[0]
    assert "invented" in scenario.title


def test_both_notebooks_have_something_to_say_of_it(example):
    _, scenario = example
    compared = formats_compared(scenario)
    assert len(compared.rows) >= 4
    assert {row.build_key for row in redundancy_compared(scenario).rows} == set(scenario.builds)


@pytest.mark.parametrize("draws", [1, 2, 60])
def test_the_point_is_the_same_to_the_last_digit_whatever_is_drawn_beside_it(example, draws):
    _, scenario = example
    same_point(scenario, draws)


def test_so_it_is_where_work_begins_and_ends_within_the_horizon():
    raw = load_scenario(EXAMPLES / "stage_films.toml").as_written()
    raw["work"]["stage"] |= {"end_date": "2029-06-01"}
    raw["work"]["documentary"] |= {"start_date": "2028-03-01"}
    for seed in (0, 1):
        same_point(scenario_from(raw, source="within"), 30, seed=seed)


def same_point(scenario, draws, seed=0):
    alone, beside = evaluate(scenario), evaluate(scenario, draws=draws, seed=seed)
    assert np.array_equal(alone.held_tb_by_month.point, beside.held_tb_by_month.point)
    for one, other in zip(alone.builds, beside.builds, strict=True):
        for name in ("loss", "speed", "site"):
            assert str(getattr(one, name)) == str(getattr(other, name)), name
        for name in ("purchases", "present_cost_by_category", "work_costs"):
            assert str(getattr(one.money, name)) == str(getattr(other.money, name)), name
        for topic, name in (
            ("money", "net_present_cost"),
            ("money", "total_cost_by_month"),
            ("capacity", "headroom_months"),
        ):
            points = (getattr(getattr(each, topic), name).point for each in (one, other))
            assert np.array_equal(*points), name
