"""Every example scenario loads, comes out in finite numbers, and gives the verdict it is kept for.

The outcomes recorded here are the tool's own, so that a change of them is noticed, not proved.
"""

import math
import re
from dataclasses import fields, is_dataclass
from pathlib import Path

import numpy as np
import pytest

from storagecalc import evaluate, load_scenario
from storagecalc.models.ordering import first_month_over
from storagecalc.study.axes import Spread
from storagecalc.study.capacity.space import space
from storagecalc.study.dates import months_between
from storagecalc.study.decision.cautions import cautions
from storagecalc.study.decision.formats_compared import formats_compared
from storagecalc.study.decision.records import records
from storagecalc.study.decision.verdict import mean_cost, verdict
from storagecalc.study.loss.redundancy_compared import redundancy_compared
from storagecalc.study.scenario.load import scenario_from

EXAMPLES = Path(__file__).parents[2] / "data_examples"
# What each shows: the outcome, who costs least of the rivals, and who is recommended.
OUTCOMES = {
    "mid_life": ("clear", "planned", "planned"),
    "one_desk": ("clear", "four_small", "four_small"),
    "stage_films": ("level", "eight_in_steps", "twelve_and_shelf"),
    "twelve_people": ("none meets the needs", "series_to_tape", "series_to_tape"),
}
# A build that is never full has no month in which it is, and an order may never be placed.
MAY_BE_INFINITE = re.compile(
    r"(fill|headroom|order|full|from|loud|deep|over)_months|orders\.\d+\.month$"
)
AT_THE_POINT = (
    "capacity.ladder", "capacity.full_ladder", "capacity.usable_tib", "capacity.unmet_tb_months",
    "capacity.swap_slow_days", "site.power_w",
    "site.peak_power_w", "site.weight_kg",
)  # fmt: skip


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
        bad = np.isnan(value) if MAY_BE_INFINITE.search(where) else ~np.isfinite(value)
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
    for build, record in zip(evaluation.builds, records(evaluation), strict=True):
        assert math.isfinite(record["net_present_cost"])
        # Where an owned box goes on, nothing may be ordered on day one.
        goes_on = scenario.builds[build.alternative.build_key].starts_in is not None
        assert record["upfront_cost"] > 0 or goes_on
    assert cautions(evaluation)


@pytest.mark.parametrize("seed", [0, 3])
def test_it_gives_its_verdict(example, seed):
    name, scenario = example
    found = verdict(evaluate(scenario, draws=2000, seed=seed))
    recommended = found.recommended.build.key
    assert (found.outcome, found.first.key, recommended) == OUTCOMES[name]
    assert found.unmet_needs == frozenset()


def shares(scenario):
    found = verdict(evaluate(scenario, draws=2000))
    return found, {each.build.key: each for each in (*found.rivals, *found.others)}


def test_one_desk_has_a_clear_first_and_a_cheaper_one_that_is_too_loud():
    found, by_key = shares(load_scenario(EXAMPLES / "one_desk.toml"))
    assert found.clear is True
    assert [each.build.key for each in found.rivals] == ["four_small", "off_to_the_drawer"]
    cheapest = min(by_key.values(), key=lambda each: mean_cost(each.build))
    assert cheapest.build.key == "eight_small"
    assert [need.need for need in cheapest.missed] == ["noise_dba", "upfront_cost"]
    assert [need.need for need in by_key["two_mirrored"].missed] == ["headroom_months"]


def test_stage_films_are_level_and_the_dearer_meets_all_needs_in_more_futures():
    found, by_key = shares(load_scenario(EXAMPLES / "stage_films.toml"))
    assert found.clear is False
    assert mean_cost(found.first) < mean_cost(found.recommended.build)
    assert found.recommended.build in found.level_with
    least = by_key[found.first.key].needs_met_fraction
    assert found.recommended.needs_met_fraction > least + 0.07
    assert by_key[found.first.key].costliest_need.need == "headroom_months"


def test_none_of_twelve_people_meets_the_needs_and_streams_cost_most():
    found, by_key = shares(load_scenario(EXAMPLES / "twelve_people.toml"))
    assert not any(each.meets_needs for each in by_key.values())
    assert found.second is None
    assert found.nearest_other.key == "retire"
    assert found.recommended.costliest_need.need == "streams"
    best = max(by_key.values(), key=lambda each: each.needs_met_fraction)
    assert best is found.recommended


def test_mid_life_orders_ahead_of_the_jump_but_not_everything():
    scenario = load_scenario(EXAMPLES / "mid_life.toml")
    plan = evaluate(scenario).plans["planned"]
    jump = months_between(scenario.start_date, scenario.shortages["jump"].from_date)
    ahead = [order for order in plan.orders if order.month < jump]
    assert len({order.month for order in plan.orders}) >= 2
    assert 0 < sum(order.count for order in ahead) < sum(order.count for order in plan.orders)
    # What was bought ahead stands months before the old box is too small.
    room = space(scenario, scenario.builds["planned"]).ladder.plannable_tb[..., 0].item()
    needed = first_month_over(held_tb_by_month=np.array(plan.line_tb_by_month), limit_tb=room)
    lead_months = scenario.builds["planned"].lead_time_months.middle
    assert max(order.month for order in ahead) + lead_months < needed - 1


def test_mid_life_costs_least_by_its_plan_and_the_jump_is_why():
    scenario = load_scenario(EXAMPLES / "mid_life.toml")
    found, by_key = shares(scenario)
    cost = {key: mean_cost(each.build) for key, each in by_key.items()}
    assert cost["planned"] < 0.97 * min(cost["at_once"], cost["late"])
    assert [need.need for need in by_key["swapped"].missed] == ["headroom_months", "cost_per_year"]
    assert len(found.rivals) == 4
    without = scenario_from(
        {key: each for key, each in scenario.as_written().items() if key != "shortages"},
        source="without a jump",
    )
    first, first_without = (
        evaluate(each).plans["planned"].orders[0] for each in (scenario, without)
    )
    assert first.month < first_without.month
    assert first.count > first_without.count


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
    """Loss and causes are about the futures; all else that is told of the point is the point's."""
    alone, beside = evaluate(scenario), evaluate(scenario, draws=draws, seed=seed)
    assert np.array_equal(alone.held_tb_by_month.point, beside.held_tb_by_month.point)
    for one, other in zip(alone.builds, beside.builds, strict=True):
        assert points(one) == points(other)


def points(build):
    """Every figure of an alternative that is told at the middle of all ranges, as text."""
    told = {
        f"{topic}.{each.name}": getattr(getattr(build, topic), each.name)
        for topic in ("capacity", "money", "speed", "site")
        for each in fields(getattr(build, topic))
    }
    spreads = {key: str(value.point) for key, value in told.items() if isinstance(value, Spread)}
    single = {key: str(told[key]) for key in AT_THE_POINT}
    assert len(spreads) > 10
    loss = (build.loss.rebuild_h, build.loss.read_error_probability)
    return spreads, single, loss, str(build.money.purchases)
