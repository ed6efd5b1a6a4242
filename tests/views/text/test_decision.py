"""Every outcome of the headline in whole sentences; and what the first page must always say."""

import pytest
from study.decision.crafted import crafted, dearer_in, lasts, met_in

from storagecalc import evaluate
from storagecalc.views.text.decision import first_page, headline

SURE = {"headroom_months": (24, {"a": lasts(86), "b": lasts(92)})}


def headroom(**counts):
    return {"headroom_months": (24, {key: lasts(count) for key, count in counts.items()})}


def test_a_clear_first_is_told_with_its_gap_and_how_often():
    costs = {"a": dearer_in(5, by=1300, usually=1000), "b": 1200}
    assert headline(crafted(costs, headroom(a=86, b=92))) == (
        "We recommend “a”: it meets all needs at once in 86 of 100 futures and costs EUR 185 less"
        " than “b” over two years in today's money on average (EUR 200 to EUR 200 in 8 of 10"
        " futures; less in 95 of 100 futures)."
    )


def test_level_ones_are_named_and_the_recommended_says_why():
    """The first costs 1,000 in the mean, and the dearer meets the needs in nine more of 100."""
    told = headline(crafted({"a": 1000, "b": 1015}, headroom(a=83, b=92)))
    assert told == (
        "We recommend “b”: “a” and “b” cost about the same over two years, and “b” meets all needs"
        " at once in 92 of 100 futures, “a” in 83 of 100."
    )
    told = headline(crafted({"a": 1000, "b": 1015}, headroom(a=90, b=92)))
    assert told == (
        "We recommend “a”: “a” and “b” cost about the same over two years, and “a” meets all needs"
        " at once in 90 of 100 futures and costs least on average."
    )


def test_the_only_one_that_meets_the_needs_and_what_the_needs_cost():
    told = headline(crafted({"cheap": 1000, "dear": 1500}, headroom(cheap=79, dear=100)))
    assert told == (
        "We recommend “dear”: it alone meets the needs at once in all futures."
        " “cheap” costs EUR 500 less on average but misses: lasts before a new box is needed"
        " (10 months, at least 2 years; met in 79 of 100 futures). That is what the needs cost."
    )


def test_where_nothing_meets_all_needs_it_says_what_is_nearest_and_what_it_misses():
    needs = headroom(a=50, b=78) | {"noise_dba": (38, {"a": 41, "b": 36})}
    told = headline(crafted({"a": 1000, "b": 1500}, needs))
    assert told == (
        "Nothing meets all needs at once in 80 of 100 futures. “b” comes nearest once the needs"
        " that no build meets are left out: it meets all needs at once in 78 of 100 futures. It"
        " misses: lasts before a new box is needed (10 months, at least 2 years; met in 78 of 100"
        " futures). No build meets the need “lasts before a new box is needed” in 80 of 100"
        " futures; “b” comes nearest. “a” costs EUR 500 less on"
        " average but misses: lasts before a new box is needed (10 months, at least 2 years; met in"
        " 50 of 100 futures) and noise at the nearest desk (41 dBA, limit 38 dBA; met in no"
        " futures). That is what the needs cost."
    )


def test_of_those_that_come_near_the_one_that_costs_least_is_named():
    told = headline(crafted({"a": 1000, "b": 1500}, headroom(a=75, b=78)))
    assert "“a” costs least of those that come near" in told


def test_needs_missed_only_together_are_told_by_the_one_that_fewest_futures_meet():
    needs = {
        "headroom_months": (24, {"a": met_in((15, 100), good=30, bad=10)}),
        "streams": (5, {"a": met_in((0, 10), (25, 100), good=6, bad=4)}),
    }
    told = headline(crafted({"a": 100}, needs))
    assert "it meets all needs at once in 75 of 100 futures. It meets each by itself but" in told
    assert "not all at once; the one that fewest futures meet: lasts before a new box" in told
    assert "met in 85 of 100 futures" in told
    assert "No build" not in told


def test_a_need_that_no_build_meets_is_named():
    needs = headroom(a=90) | {"noise_dba": (38, {"a": 41})}
    assert "No build meets the need “noise at the nearest desk” in 80 of 100 futures." in headline(
        crafted({"a": 100}, needs)
    )


def test_where_all_miss_a_need_alike_none_is_said_to_come_nearest_to_it():
    needs = headroom(a=90, b=50) | {"noise_dba": (38, {"a": 41, "b": 41})}
    told = headline(crafted({"a": 100, "b": 300}, needs))
    assert "“a” comes nearest once the needs that no build meets are left out" in told
    assert (
        "No build meets the need “noise at the nearest desk” in 80 of 100 futures. " in f"{told} "
    )


def test_one_that_is_cheaper_at_times_but_dearer_on_average_is_not_hidden():
    """Cheaper in 20 of a hundred futures, 300 in the mean against 100."""
    costs = {"steady": 100, "wild": dearer_in(80, by=355, usually=80)}
    assert headline(crafted(costs)).endswith(
        "“wild” is cheaper in 20 of 100 futures, but costs EUR 200 more on average."
    )


def test_a_single_one_has_nothing_to_be_compared_with():
    assert headline(crafted({"a": 100}, headroom(a=86))) == (
        "We recommend “a”: it meets all needs at once in 86 of 100 futures; there is nothing to"
        " compare it with."
    )


def test_without_needs_no_need_is_said_to_be_met():
    costs = {"a": 100, "b": 300}
    assert headline(crafted(costs)).startswith("We recommend “a”: it costs EUR 200 less than “b”")
    assert headline(crafted({"a": 100})) == (
        "We recommend “a”: there is nothing to compare it with."
    )
    assert headline(crafted({"a": 100, "b": 101})) == (
        "We recommend “a”: “a” and “b” cost about the same over two years, and “a” costs least on"
        " average."
    )


def test_without_draws_the_headline_says_so_and_counts_no_futures():
    told = headline(crafted({"a": 100, "b": 300}, {"noise_dba": (38, {"a": 35, "b": 35})}, draws=0))
    assert "how sure this is was not computed" in told
    assert "of 100" not in told
    assert "it meets all needs and costs EUR 200 less than “b”" in told
    told = headline(crafted({"a": 100, "b": 300}, {"noise_dba": (34, {"a": 35, "b": 35})}, draws=0))
    assert told.startswith("Nothing meets all needs at the middle of every range.")
    assert "it does not meet all needs" in told


def test_a_loss_chance_never_stands_without_what_copies_answer_for(demo):
    for evaluation in (
        evaluate(demo),
        evaluate(demo.varied({"builds.eight_at_once.redundancy": "none"})),
    ):
        assert "one copy" in first_page(evaluation)["loss"]


def test_a_chance_below_one_in_100_000_is_told_as_no_more_than_that(demo):
    safe = demo.varied({f"builds.{key}.redundancy": "triple parity" for key in demo.builds})
    assert (
        "pool: fewer than 1 in 100,000 within seven years;"
        in first_page(evaluate(safe, draws=20))["loss"]
    )


def test_invented_prices_are_said_to_be_invented(drawn):
    assert "invented" in first_page(drawn)["unknown"]


def test_the_cost_sentence_says_what_money_it_is(drawn):
    sentence = first_page(drawn)["cost"]
    assert "in today's money" in sentence
    assert "seven years" in sentence
    assert "without VAT" in sentence


@pytest.mark.parametrize("confidence", [0.8, 0.9])
def test_the_order_is_in_time_in_as_many_futures_as_the_studio_asks(demo, confidence):
    evaluation = evaluate(demo.varied({"needs.confidence_fraction": confidence}), draws=200)
    order = first_page(evaluation)["order"]
    assert f"that is in time in {confidence * 100:.0f} of 100 futures" in order
