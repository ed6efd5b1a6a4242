"""Every outcome of the headline, reached by a scenario; and what the first page must always say."""

import pytest

from storagecalc import evaluate
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.decision import first_page, headline

EIGHT, STEPS, TWELVE = "eight_at_once", "eight_in_steps", "twelve_and_shelf"
OUTCOMES = [
    ("none meets the needs", {"needs.upfront_cost": 1000}, "No build meets every need"),
    ("only one meets the needs", {"needs.headroom_months": 80}, "Only “12 bays"),
    (
        "one build first",
        {f"builds.{STEPS}.box_price": 60_000, f"builds.{TWELVE}.box_price": 60_000,
         "needs.upfront_cost": 90_000},
        "Buy “8 bays, filled at once”",
    ),
    (
        "growing first",
        {f"builds.{EIGHT}.box_price": 60_000, f"builds.{TWELVE}.box_price": 60_000,
         "needs.upfront_cost": 90_000, f"builds.{STEPS}.drives_at_first": 4,
         "needs.streams": 1, "needs.cost_per_year": 90_000, "remedy.next_build": STEPS},
        "Start small and grow with “8 bays, grown in steps”",
    ),
    ("no clear difference", {}, "No clear difference on cost"),
]  # fmt: skip


@pytest.mark.parametrize(("outcome", "changes", "words"), OUTCOMES)
def test_every_outcome_has_its_sentence(demo, outcome, changes, words):
    evaluation = evaluate(demo.varied(changes), draws=200)
    assert verdict(evaluation).outcome == outcome
    assert headline(evaluation).startswith(words)


def test_a_single_build_is_said_to_be_the_only_one(demo):
    raw = demo.as_written()
    raw["builds"] = {EIGHT: raw["builds"][EIGHT]}
    evaluation = evaluate(scenario_from(raw, source="one build"), draws=100)
    assert verdict(evaluation).outcome == "only build"
    assert "no other build" in headline(evaluation)


def test_without_draws_the_headline_says_so(demo):
    assert "how sure this is was not computed" in headline(evaluate(demo))


def test_a_loss_chance_never_stands_without_what_copies_answer_for(demo):
    for evaluation in (
        evaluate(demo),
        evaluate(demo.varied({"builds.eight_at_once.redundancy": "none"})),
    ):
        assert "one copy" in first_page(evaluation)["loss"]


def test_a_chance_below_one_in_100_000_is_called_rare(demo):
    safe = demo.varied({f"builds.{key}.redundancy": "triple parity" for key in demo.builds})
    assert "rare; other causes decide" in first_page(evaluate(safe, draws=20))["loss"]


def test_invented_prices_are_said_to_be_invented(drawn):
    assert "invented" in first_page(drawn)["unknown"]


def test_the_cost_sentence_says_what_money_it_is(drawn):
    sentence = first_page(drawn)["cost"]
    assert "in today's money" in sentence
    assert "seven years" in sentence
    assert "without VAT" in sentence


def test_dates_come_with_their_odds(drawn):
    assert "(1 in 10)" in first_page(drawn)["order"]
