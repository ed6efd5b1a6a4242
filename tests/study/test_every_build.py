"""Whatever a build looks like: it is refused with a reason, or all that is told of it is whole."""

import json
import math
import re
import time
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import pytest
from study.every_build import builds, studio

from storagecalc import ScenarioError, evaluate
from storagecalc.study.decision.order_list import OrderRow, order_list
from storagecalc.study.money.orders import THINGS
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.cli import as_json, comparison_text
from storagecalc.views.text.cautions import caution_sentences
from storagecalc.views.text.money import order_table

# So many share a studio, so that footage and prices are worked out once for them.
TOGETHER = 4
# What a number leaves in a sentence where it should not have been told.
NO_WORDS = re.compile(r"\bnan\b|\binf\b|\bNone\b|np\.| -0 ")
# A refusal says what to do instead.
ADVICE = re.compile(r"must be|write |choose|give |needs ")


def test_a_few_builds_are_refused_or_whole():
    refused, evaluated = looked_at(150, seed=1, texts_every=10)
    assert refused > 30
    assert evaluated > 60


@pytest.mark.slow
def test_every_build_is_refused_or_whole(capsys):
    began = time.perf_counter()
    refused, evaluated = looked_at(5000, seed=2, texts_every=4)
    with capsys.disabled():
        seconds = time.perf_counter() - began
        print(f"\n{refused} builds refused, {evaluated} evaluated in {seconds:.0f} s")
    assert refused > 1000
    assert evaluated > 2000


def looked_at(count: int, *, seed: int, texts_every: int) -> tuple[int, int]:
    """How many builds were refused, and how many evaluated; every so many studios in words too."""
    accepted, refusals = [], []
    for table in builds(count, seed=seed):
        refusal = refused(table)
        accepted += [] if refusal else [table]
        refusals += [refusal] if refusal else []
    assert [said for said in refusals if not (ADVICE.search(said) and "builds.b0" in said)] == []
    for number, first in enumerate(range(0, len(accepted), TOGETHER)):
        raw = studio(accepted[first : first + TOGETHER], seed=number)
        with_texts = number % texts_every == 0
        assert list(faults(raw, draws=0 if number % 5 == 0 else 3, with_texts=with_texts)) == []
    return len(refusals), len(accepted)


def refused(table: dict[str, Any]) -> str:
    """What the loader says against a build; nothing where it takes it."""
    try:
        scenario_from(studio([table], seed=0), source="one build")
    except ScenarioError as error:
        return str(error)
    return ""


def faults(raw: dict[str, Any], *, draws: int, with_texts: bool) -> Iterator[str]:
    """All that is not as it should be in what is told of a studio."""
    try:
        evaluation = evaluate(scenario_from(raw, source="every build"), draws=draws)
        records, told = as_json(evaluation), caution_sentences(evaluation)
        if with_texts:
            told.append(comparison_text(evaluation))
            told += [str(order_table(evaluation, build).rows) for build in evaluation.builds]
        orders = [order_list(build) for build in evaluation.builds]
    except Exception as error:
        raise AssertionError(f"with {draws} futures: {raw}") from error
    yield from (said for said in told if NO_WORDS.search(said))
    found = json.loads(records)["builds"]
    for build, record, rows in zip(evaluation.builds, found, orders, strict=True):
        wrong = [name for name, holds in checks(build, record, rows) if not holds]
        if wrong:
            yield f"{build.key}: {', '.join(wrong)}: {raw}"


def checks(
    build: BuildResult, record: dict[str, Any], rows: Sequence[OrderRow]
) -> Iterator[tuple[str, bool]]:
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
    yield "orders come in the horizon", all(0 <= row.month < 48 for row in rows)
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
