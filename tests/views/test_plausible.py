"""Whatever a file may say within the plausible ranges, people read whole words and numbers."""

import json
import random
import re
from dataclasses import asdict
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from views.conftest import DEMO

from storagecalc import Scenario, ScenarioError, evaluate, load_scenario
from storagecalc.study.decision.order_list import order_list, unlisted_cost
from storagecalc.study.scenario.quantity import Entry, entries, middle
from storagecalc.views.page.answer import TABLES
from storagecalc.views.page.first_page import owners_answer, page_frames
from storagecalc.views.page.page import sendable
from storagecalc.views.text.cautions import caution_sentences
from storagecalc.views.text.decision import first_page, reason_sentences
from storagecalc.views.text.lanes import lanes_summary
from storagecalc.views.text.money import order_table
from storagecalc.views.text.sensitivity import check_passages

DEMOS = [load_scenario(path) for path in sorted(DEMO.parent.glob("*.toml"))]
REDUNDANCIES = ("mirror", "single parity", "double parity", "triple parity", "striped mirrors")
GROWTHS = ("one drive", "groups", "whole pools", "swapping")
# What a number leaves in a sentence where it should not have been told.
NO_WORDS = re.compile(r"\bnan\b|\binf\b|\bNone\b|np\.|\d{12,}|e[+-]\d{2,}(?! per bit)| -0 ")


@given(seed=st.integers(0, 2**32))
def test_all_that_people_read_is_whole(seed):
    chance = random.Random(seed)
    demo = chance.choice(DEMOS)
    try:
        scenario = demo.varied(some_changes(demo, chance))
    except ScenarioError:
        return
    evaluation = evaluate(scenario, draws=chance.choice((0, 1, 5)))
    page = owners_answer(evaluation, page_frames([evaluation]))
    tables = {name: asdict(table(evaluation)) for name, table in TABLES.items()}
    json.dumps(sendable({**page, "tables": tables}), allow_nan=False)
    words = [
        *texts(page["texts"]),
        *texts([asdict(table) for table in page["tables"].values()]),
        *texts(tables),
        lanes_summary(evaluation),
        *texts(first_page(evaluation)),
        *reason_sentences(evaluation),
        *caution_sentences(evaluation),
        *texts([order_table(evaluation, build).rows for build in evaluation.builds]),
        *texts([asdict(passage) for passage in check_passages(evaluation)]),
    ]
    assert [said for said in words if NO_WORDS.search(said)] == []


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.title[:12])
def test_every_order_of_the_demos_has_a_word(demo):
    evaluation = evaluate(demo)
    for build in evaluation.builds:
        rows = order_table(evaluation, build).rows
        later = unlisted_cost(build) >= 1
        stays = len(build.capacity.kept)
        assert len(rows) == stays + len(order_list(build)) + later
        assert all(what and what[0] != "0" for _, what, *_ in rows)


def some_changes(demo: Scenario, chance: random.Random) -> dict[str, Any]:
    """A few quantities anywhere in their plausible range, and now and then another build."""
    known = entries(demo)
    picked = chance.sample(known, chance.choice((1, 2, 4, 8)))
    changes = {entry.key: some_value(entry, chance) for entry in picked}
    if chance.random() < 0.5:
        build = f"builds.{chance.choice(list(demo.builds))}"
        grows_by = chance.choice(GROWTHS)
        changes[f"{build}.grows_by"] = grows_by
        changes[f"{build}.drives_per_step"] = 2 if grows_by == "groups" else 1
        changes[f"{build}.redundancy"] = chance.choice(REDUNDANCIES)
    return changes


def some_value(entry: Entry, chance: random.Random) -> Any:
    quantity, usual = entry.quantity, middle(entry.value)
    if quantity.whole:
        most = min(quantity.highest, 2 * usual + 2)
        return chance.randint(int(quantity.lowest), int(most))
    value = chance.choice(
        (quantity.lowest, quantity.highest, chance.uniform(quantity.lowest, quantity.highest))
    )
    between = quantity.lowest < value < quantity.highest
    if quantity.choice or not between or chance.random() < 0.7:
        return value
    down, up = 0.2 * (value - quantity.lowest), 0.2 * (quantity.highest - value)
    return {"low": value - down, "middle": value, "high": value + up}


def texts(part: Any) -> list[str]:
    """Every string that lies somewhere in lists, mappings and tuples."""
    if isinstance(part, str):
        return [part]
    inside = part.values() if isinstance(part, dict) else part
    nested = isinstance(part, dict | list | tuple)
    return [said for each in inside for said in texts(each)] if nested else []
