"""Whatever a build looks like: it is refused with a reason, or all that is told of it is whole."""

import json
import math
import re
import time
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from study.every_build import builds, studio

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.study.decision.order_list import order_list
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.loss.redundancy_compared import redundancy_compared
from storagecalc.study.money.orders import THINGS
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.cli import as_json, comparison_text
from storagecalc.views.page.answer import TABLES, redundancy_answer
from storagecalc.views.page.page import sendable
from storagecalc.views.text.decision import first_page
from storagecalc.views.text.money import order_table
from storagecalc.views.text.sensitivity import check_passages

# So many share a studio, so that footage and prices are worked out once for them.
TOGETHER = 4
# One studio in so many is asked for everything that notebooks, report and command can show.
AT_LENGTH = 14
GRID = {"drives.ten.price": [50, 150], "work.shoots.shoot_days_per_month": [1, 31]}
# What a number leaves in a sentence where it should not have been told.
NO_WORDS = re.compile(r"\bnan\b|\binf\b|\bNone\b|np\.| -0 ")
# A refusal says what to do instead.
ADVICE = re.compile(r"must be|write |choose |change |needs ")


def test_a_few_builds_are_refused_or_whole():
    refused, evaluated = looked_at(200, seed=1)
    assert refused > 40
    assert evaluated > 80


@pytest.mark.slow
def test_every_build_is_refused_or_whole(capsys):
    began = time.perf_counter()
    refused, evaluated = looked_at(5000, seed=2)
    with capsys.disabled():
        seconds = time.perf_counter() - began
        print(f"\n{refused} builds refused, {evaluated} evaluated in {seconds:.0f} s")
    assert refused > 1500
    assert evaluated > 2000


def looked_at(count: int, *, seed: int) -> tuple[int, int]:
    """How many builds were refused, and how many evaluated without a fault."""
    accepted, refusals = [], []
    for table in builds(count, seed=seed):
        refusal = refused(table)
        refusals += [refusal] if refusal else []
        accepted += [] if refusal else [table]
    assert [said for said in refusals if not (ADVICE.search(said) and "builds.b0" in said)] == []
    for number, first in enumerate(range(0, len(accepted), TOGETHER)):
        raw = studio(accepted[first : first + TOGETHER], seed=number)
        try:
            found = list(faults(raw, draws=(3, 3, 0)[number % 3], at_length=not number % AT_LENGTH))
        except Exception as error:
            raise AssertionError(f"cannot be evaluated: {raw}") from error
        assert found == [], raw
    return len(refusals), len(accepted)


def refused(table: dict[str, Any]) -> str:
    """What the loader says against a build; nothing where it takes it."""
    try:
        scenario_from(studio([table], seed=0), source="one build")
    except ScenarioError as error:
        return str(error)
    return ""


def faults(raw: dict[str, Any], *, draws: int, at_length: bool) -> Iterator[str]:
    """All that is not as it should be in what is told of a studio."""
    scenario = scenario_from(raw, source="every build")
    evaluation = evaluate(scenario, draws=draws)
    records = as_json(evaluation)
    told = [records.replace("null", ""), *shown(evaluation)]
    if at_length:
        told += [comparison_text(evaluation), *more_shown(scenario, evaluation)]
    yield from (said for said in told if NO_WORDS.search(said))
    for build, record in zip(evaluation.builds, json.loads(records)["builds"], strict=True):
        yield from (f"{build.key}: {name}" for name, holds in checks(build, record) if not holds)


def shown(evaluation: Evaluation) -> Iterator[str]:
    """What page and lists show of an evaluation."""
    yield from first_page(evaluation).values()
    yield str([table(evaluation).rows for table in TABLES.values()])
    for build in evaluation.builds:
        assert all(row.month < evaluation.scenario.horizon_months for row in order_list(build))
        yield str(order_table(evaluation, build).rows)


def more_shown(scenario: Scenario, evaluation: Evaluation) -> Iterator[str]:
    """What takes longer: a grid, redundancies side by side, what a check says."""
    yield as_json(evaluate(scenario, draws=2, positions=GRID).at(1))
    json.dumps(sendable(redundancy_answer(redundancy_compared(scenario))), allow_nan=False)
    yield str([passage.sentences for passage in check_passages(evaluation)])


def checks(build: BuildResult, record: dict[str, Any]) -> Iterator[tuple[str, bool]]:
    """What must hold of every alternative, by name."""
    causes, mean = record["net_present_cost_by_cause"], record["net_present_cost_mean"]
    yield "causes add up to the total", same(sum(causes.values()), mean)
    first = [row["cost"] for row in record["purchases"] if row["month"] == 0]
    yield "month 0 adds up to the first order", same(sum(first), record["upfront_cost"])
    listed = sum(float(np.mean(each.cost)) for each in build.money.orders if each.what in THINGS)
    unlisted = float(build.money.unlisted_orders_cost.mean)
    if build.money.net_present_cost_by_draw.shape[-1] == 1:
        bought = [row["cost"] for row in record["purchases"] if row["what"] in THINGS]
        yield "orders add up to what is bought", same(listed + unlisted, sum(bought))
    rungs = [record[f"{rung}_tb"] for rung in ("plannable", "usable", "nominal")]
    yield "each rung holds less", 0 < rungs[0] <= rungs[1] <= rungs[2]
    names = ("box_loss_probability_low", "box_loss_probability_high", "box_loss_probability")
    low, high, average = (record[name] for name in names)
    yield "chances", 0 <= low <= high <= 1 and low * (1 - 1e-9) <= average <= 1
    most_held_tb = float(build.capacity.held_tb_by_month.p90.max())
    yield "no more is lost than held", 0 <= record["lost_at_once_tb"] <= most_held_tb * (1 + 1e-9)
    yield "rest", min(record["unmet_tb_months"], record["remedy_cost"], record["power_w"]) >= 0


def same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-6)
