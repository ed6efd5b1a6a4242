"""Declarations: what one decides is a choice, what one only counts keeps where it comes from."""

import pytest

from storagecalc import evaluate
from storagecalc.study.decision.cautions import assumed, cautions
from storagecalc.study.scenario.keys import key_tables
from storagecalc.study.scenario.quantity import Range, entries

QUANTITIES = [key for table in key_tables() for key in table.keys if key.quantity is not None]
CHOSEN = {
    "needs.copies",
    "elsewhere.NAME.copies",
    "keep.NAME.steps.0.after_months",
    "builds.NAME.drives_at_first",
    "builds.NAME.hot_spares",
    "builds.NAME.cold_spares",
    "builds.NAME.drives_per_step",
    "builds.NAME.keeps_months",
    "owned.NAME.hot_spares",
    "builds.NAME.shelf.drives_at_first",
    "builds.NAME.shelf.shelves_at_most",
    "costs.NAME.every_months",
    "options.NAME.move_off_after_months",
    "options.NAME.cull_sooner_months",
}
FACTS = {
    "horizon_months": "guess",
    "work.NAME.stored_oldest_months": "guess",
    "network.mtu_bytes": "common practice",
    "builds.NAME.bays": "guess",
    "owned.NAME.bays": "guess",
    "owned.NAME.lots.0.count": "guess",
    "builds.NAME.shelf.bays": "guess",
}


@pytest.mark.parametrize("key", QUANTITIES, ids=lambda key: key.pattern)
def test_a_default_lies_in_a_span_that_has_room_for_its_steps(key):
    quantity = key.quantity
    assert 0 < quantity.step <= quantity.highest - quantity.lowest
    if isinstance(key.default, Range):
        assert quantity.takes_range
        assert quantity.lowest <= key.default.low < key.default.high <= quantity.highest
    elif key.default is not None:
        assert quantity.lowest <= key.default <= quantity.highest


def test_what_one_counts_is_a_choice_or_a_fact():
    counted = {key.pattern: key.quantity.status for key in QUANTITIES if key.quantity.whole}
    assert counted == dict.fromkeys(CHOSEN, "choice") | FACTS


def test_choices_left_out_are_assumed_but_are_no_guesses(demo):
    evaluation = evaluate(demo)
    statuses = {entry.key: entry.quantity.status for entry in assumed(evaluation)}
    for key in ("hot_spares", "cold_spares", "drives_per_step"):
        assert statuses[f"builds.eight_at_once.{key}"] == "choice"
    facts = next(each.facts for each in cautions(evaluation) if each.kind == "guesses")
    assert facts["count"] == list(statuses.values()).count("guess")


def test_neither_choices_nor_counts_take_a_range(demo):
    for entry in entries(demo):
        one_number = entry.quantity.whole or entry.quantity.status == "choice"
        assert entry.quantity.takes_range is not one_number
