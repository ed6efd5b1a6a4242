"""Every outcome in whole sentences: what we recommend, why, and what stands beside it."""

import math
from dataclasses import replace

import pytest
from study.decision.crafted import crafted, dearer_in, lasts, met_in
from views.figures import with_figures
from views.orders import order

from storagecalc import evaluate
from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.study.decision.horizons import HorizonAdvice
from storagecalc.study.decision.verdict import verdict
from storagecalc.views.text.decision import (
    LONGEST_ADVICE_WORDS,
    beside_sentences,
    first_page,
    headline,
    horizon_sentences,
    prices_sentence,
    reason,
    reason_sentences,
    recommendation,
)

HEADROOM = "lasts before a new box is needed"


def headroom(**counts):
    return {"headroom_months": (24, {key: lasts(count) for key, count in counts.items()})}


def buy(name):
    """What the small studio has to do at first, whatever a build costs."""
    return f"Buy “{name}” now; order one more drive by April 2027."


def due_in(months, evaluation, number=0):
    figures = {"capacity.first_order_months": months}
    return with_figures(figures, evaluation=evaluation, number=number)


def test_a_clear_first_is_told_with_its_mean_gap_and_how_often():
    """200 more in 95 futures and 100 less in five: 185 on average."""
    costs = {"a": dearer_in(5, by=1300, usually=1000), "b": 1200}
    told = crafted(costs, headroom(a=86, b=92))
    assert recommendation(told) == buy("a")
    assert reason(told) == (
        "It costs EUR 185 less than “b” on average (less in 95 of 100 futures), and meets all"
        " needs in 86 of 100 futures."
    )
    assert headline(told) == f"{recommendation(told)} {reason(told)}"
    assert beside_sentences(told) == []


def test_the_gap_is_to_the_next_in_mean_and_not_to_the_last_or_in_the_middle():
    costs = {"a": 100, "c": 900, "b": 400}
    told = crafted(costs, points={"a": 300, "b": 350, "c": 990})
    assert reason(told).startswith("It costs EUR 300 less than “b” on average (less in all")


def test_level_ones_are_named_and_the_recommended_says_why():
    """The first costs 1,000 in the mean, and the dearer meets the needs in nine more of 100."""
    told = crafted({"a": 1000, "b": 1015}, headroom(a=83, b=92))
    assert headline(told) == (
        f"{buy('b')} Costs are level (EUR 15 more on average than “a”, more in all futures), but"
        " it meets all needs in 92 of 100 futures, not 83."
    )
    told = crafted({"a": 1000, "b": 1015, "c": 1010}, headroom(a=90, b=92, c=91))
    assert headline(told) == (
        f"{buy('a')} Costs are level with “c” and “b”; it costs least on average and meets all"
        " needs in 90 of 100 futures."
    )


def test_how_often_the_level_one_is_dearer_counts_its_own_futures():
    costs = {"a": 1000, "b": dearer_in(70, by=1030, usually=980)}
    told = reason(crafted(costs, headroom(a=83, b=92)))
    assert "(EUR 15 more on average than “a”, more in 70 of 100 futures)" in told


def test_the_only_one_that_meets_the_needs_and_what_the_needs_cost():
    told = crafted({"cheap": 1000, "dear": 1500}, headroom(cheap=79, dear=93))
    assert headline(told) == (
        f"{buy('dear')} It alone meets all needs in 93 of 100 futures (80 asked)."
    )
    assert beside_sentences(told) == [
        f"“cheap” costs EUR 500 less on average but misses {HEADROOM} (10 months, at least 2 years;"
        " met in 79 of 100 futures). That is what the needs cost."
    ]


def test_what_the_needs_cost_is_told_only_where_it_is_clear():
    """Cheaper in half of the futures is no price that the needs have."""
    costs = {"cheap": dearer_in(50, by=1700, usually=1000), "dear": 1500}
    assert beside_sentences(crafted(costs, headroom(cheap=79, dear=93))) == []


def test_where_none_meets_all_needs_it_says_what_is_nearest_and_what_it_misses():
    needs = headroom(a=50, b=78) | {"noise_dba": (38, {"a": 41, "b": 36})}
    told = crafted({"a": 1000, "b": 1500}, needs)
    assert recommendation(told) == "No build meets all needs; “b” comes nearest."
    assert reason(told) == (
        "It meets all needs in 78 of 100 futures (80 asked); it misses:"
        f" {HEADROOM} (10 months, at least 2 years; met in 78 of 100 futures)."
    )
    assert beside_sentences(told) == [
        f"No build meets the need “{HEADROOM}” often enough; “b” comes nearest.",
        f"“a” costs EUR 500 less on average but misses {HEADROOM} (10 months, at least 2 years; met"
        " in 50 of 100 futures) and noise at the nearest desk (41 dBA, limit 38 dBA; met in no"
        " futures). That is what the needs cost.",
    ]


def test_of_those_that_come_near_the_one_that_costs_least_is_named():
    needs = headroom(a=86, b=81, c=80) | {"noise_dba": (38, dict.fromkeys("abc", 41))}
    told = crafted({"a": 1500, "b": 1000, "c": 900}, needs)
    assert recommendation(told) == (
        "No build meets all needs; of those that come near, “b” costs least."
    )


def test_a_single_one_that_misses_needs_is_not_said_to_come_nearest():
    told = crafted({"a": 100}, headroom(a=70) | {"noise_dba": (38, {"a": 41})})
    assert recommendation(told) == "“a” does not meet all needs."
    assert reason(told) == (
        "It meets all needs in no futures (80 asked); it misses most often: noise at the nearest"
        " desk (41 dBA, limit 38 dBA; met in no futures)."
    )


def test_needs_missed_only_together_are_told_by_the_one_that_fewest_futures_meet():
    needs = {
        "headroom_months": (24, {"a": met_in((15, 100), good=30, bad=10)}),
        "streams": (5, {"a": met_in((0, 10), (25, 100), good=6, bad=4)}),
    }
    told = crafted({"a": 100}, needs)
    assert reason(told) == (
        "It meets all needs in 75 of 100 futures (80 asked); it meets each often enough, but not"
        f" all at once; misses most often: {HEADROOM} (not before January 2029, at least 2 years;"
        " met in 85 of 100 futures)."
    )
    assert beside_sentences(told) == []


def test_one_that_misses_them_only_together_says_so_beside_what_it_saves():
    needs = {
        "headroom_months": (24, {"a": met_in((15, 100), good=30, bad=10), "b": 30}),
        "streams": (5, {"a": met_in((0, 10), (25, 100), good=6, bad=4), "b": 6}),
    }
    (told,) = beside_sentences(crafted({"a": 100, "b": 300}, needs))
    assert told == (
        "“a” costs EUR 200 less on average but misses too often one or another (all at once met in"
        " 75 of 100 futures). That is what the needs cost."
    )


def test_where_all_miss_a_need_alike_none_is_said_to_come_nearest_to_it():
    needs = headroom(a=90, b=50) | {"noise_dba": (38, {"a": 41, "b": 41})}
    told = crafted({"a": 100, "b": 300}, needs)
    assert recommendation(told) == "No build meets all needs; “a” comes nearest."
    assert beside_sentences(told) == [
        "No build meets the need “noise at the nearest desk” often enough."
    ]


def test_one_that_is_cheaper_at_times_but_dearer_on_average_is_not_hidden():
    """Cheaper in 20 of a hundred futures, 300 in the mean against 100."""
    costs = {"steady": 100, "wild": dearer_in(80, by=355, usually=80)}
    assert beside_sentences(crafted(costs)) == [
        "“wild” is cheaper in 20 of 100 futures, but costs EUR 200 more on average."
    ]


def test_a_single_one_has_nothing_to_be_compared_with():
    assert headline(crafted({"a": 100}, headroom(a=86))) == (
        f"{buy('a')} There is nothing to compare it with; it meets all needs in 86 of 100 futures."
    )
    assert headline(crafted({"a": 100})) == f"{buy('a')} There is nothing to compare it with."


def test_without_needs_no_need_is_said_to_be_met():
    assert headline(crafted({"a": 100, "b": 300})) == (
        f"{buy('a')} It costs EUR 200 less than “b” on average (less in all futures)."
    )
    assert headline(crafted({"a": 100, "b": 101})) == (
        f"{buy('a')} Costs are level with “b”; it costs least on average."
    )


def test_without_draws_it_says_so_and_counts_no_futures():
    noise = {"noise_dba": (38, {"a": 35, "b": 35})}
    unsure = " (All ranges at their middle: how sure this is was not computed.)"
    assert reason(crafted({"a": 100, "b": 300}, noise, draws=0)) == (
        f"It costs EUR 200 less than “b”, and meets all needs.{unsure}"
    )
    loud = {"noise_dba": (34, {"a": 35, "b": 35})}
    assert headline(crafted({"a": 100, "b": 300}, loud, draws=0)) == (
        "No build meets all needs; of those that come near, “a” costs least. It does not meet all"
        f" needs; it misses: noise at the nearest desk (35 dBA, limit 34 dBA).{unsure}"
    )


@pytest.mark.parametrize(
    ("months", "then"),
    [(7.0, "; order one more drive by August 2027"), (0.0, ""), (-3.0, ""), (math.inf, "")],
)
def test_the_next_order_stands_in_it_where_one_falls_due_later(months, then):
    told = recommendation(due_in(months, crafted({"a": 100, "b": 300})))
    assert told == f"Buy “a” now{then}."


@pytest.mark.parametrize(
    ("orders", "act"),
    [
        ((), "Go on with “a”"),
        ((order("drives", 2, [0, 0], [9, 9]),), "Go on with “a”: buy 2 drives now"),
        ((order("drives", 2, [0, 3], [9, 9]),), "Go on with “a”"),
        ((order("box", 1, [2, 2], [9, 9]),), "Go on with “a”"),
        ((order("box", 1, [0, 0], [9, 9]), order("work", 1, [0, 0], [9, 9])), "Buy “a” now"),
    ],
)
def test_what_is_bought_at_once_is_what_every_future_orders_in_the_first_month(orders, act):
    assert recommendation(with_figures({"money.orders": orders})).startswith(f"{act}")
    assert recommendation(with_figures({"money.orders": orders}))[len(act)] in ".;"


LONG = "a very long name of many short words that goes on and on and on and on and on"


@pytest.mark.parametrize("name", [LONG, "x " * 200, "a b c d e f g h i j k l m n o p q r s t u"])
@pytest.mark.parametrize("share", [86, 50])
@pytest.mark.parametrize("several", [True, False])
def test_a_recommendation_has_twenty_words_whatever_the_name(name, share, several):
    costs = {name: 100, f"other {name}": 105} if several else {name: 100}
    needs = {"headroom_months": (24, {key: lasts(share) for key in costs})}
    many = tuple(
        order(what, 1, [0, 0], [9, 9])
        for what in ("drives", "shelf", "larger drives", "further box", "work", "copy: far away")
    )
    for orders in ((), many[:1], (order("box", 1, [0, 0], [9, 9]), *many)):
        figures = {"money.orders": orders, "capacity.first_order_months": 7.0}
        told = recommendation(with_figures(figures, evaluation=crafted(costs, needs)))
        assert len(told.split()) <= LONGEST_ADVICE_WORDS == 20, told


def test_the_order_is_left_out_where_twenty_words_do_not_hold_it():
    orders = tuple(order(what, 1, months, [9, 9]) for what, months in
                   (("drives", [0, 0]), ("work", [0, 0]), ("further box", [4, 4])))  # fmt: skip
    figures = {"money.orders": orders, "capacity.first_order_months": 7.0}
    assert recommendation(with_figures(figures)) == (
        "Go on with “a”: buy 1 drive and the work of bringing it in now."
    )
    figures["money.orders"] = (*orders, order("shelf", 1, [0, 0], [9, 9]))
    assert recommendation(with_figures(figures)) == (
        "Go on with “a”: place the first order now; order more space by August 2027."
    )


def test_the_first_page_is_read_in_this_order():
    whole = with_figures({}, evaluation=crafted({"a": 100, "b": 300}))
    told = first_page(whole)
    assert list(told) == [
        "recommendation", "reason", "pay now", "over", "next order", "main risk", "prices",
    ]  # fmt: skip
    assert told["recommendation"] == recommendation(whole)
    assert told["over"].startswith("Over two years: EUR 100. The same in all futures.")


def test_a_loss_chance_never_stands_without_what_copies_answer_for(demo):
    """What the first page says of drives stands beside what takes the box as a whole."""
    for changes in ({}, {"builds.eight_at_once.redundancy": "none"}, {"copies": {}}):
        told = first_page(evaluate(demo.varied(changes)))
        with_odds = [each for each in told.values() if "Drive failures alone" in each]
        assert with_odds == [told["main risk"]]
        assert "copy" in with_odds[0] or "Against that" in with_odds[0]


@pytest.mark.parametrize(
    ("prices", "words"),
    [
        ("invented", "All prices are invented: put your own quotes in before deciding."),
        ("a guess", "Prices are a guess: put quotes in before deciding."),
        ("quoted", "Prices are as quoted today; how they move is a guess."),
    ],
)
def test_how_good_the_prices_are(prices, words):
    whole = crafted({"a": 100})
    changed = replace(whole, scenario=whole.scenario.varied({"prices_are": prices}))
    assert prices_sentence(changed) == words
    assert first_page(changed)["prices"] == words


def test_the_horizon_is_told_only_where_it_decides():
    first, same, other = (
        HorizonAdvice(horizon_months=months, recommended=name)
        for months, name in ((24, "a"), (36, "a"), (48, "b"))
    )
    assert horizon_sentences((first, same)) == []
    assert horizon_sentences((first, same, other)) == [
        "The horizon decides: looking four years ahead instead of two years, we would recommend"
        " “b”."
    ]


def test_the_reasons_have_what_stands_beside_the_causes_and_how_long_it_lasts(drawn):
    told, chosen = reason_sentences(drawn), verdict(drawn).recommended.build.name
    beside = beside_sentences(drawn)
    assert told[: len(beside)] == beside
    assert sum(each.startswith(f"“{chosen}”: as bought it") for each in told) == 1
    assert sum(each.startswith(f"Caution in the space of “{chosen}”") for each in told) == 1


@pytest.mark.parametrize(
    ("what", "words", "told"),
    [
        ("drives", 20, "buy 4 drives now; order one more drive by April 2027."),
        ("larger drives", 14, "buy 4 larger drives now."),
    ],
)
def test_advice_of_twenty_words_is_not_too_long_and_of_21_is(what, words, told):
    orders = (order(what, 4, [0] * 5, [400] * 5), order("drives", 1, [5] * 5, [100] * 5))
    whole = crafted({"a name of six words or so": 100})
    advice = recommendation(due_in(3.0, with_figures({"money.orders": orders}, evaluation=whole)))
    assert advice.endswith(told)
    assert len(advice.split()) == words <= LONGEST_ADVICE_WORDS


def test_what_costs_less_than_what_was_advised_before_is_no_dearer():
    costs = {"a": 1000, "wild": dearer_in(80, by=1500, usually=500), "kept": 2000}
    whole = crafted(costs)
    assert [told.split()[0] for told in beside_sentences(whole)] == ["“wild”"]
    assert beside_sentences(replace(whole, advised="kept")) == []


SIX_WORDS = "a name of six words so"


@pytest.mark.parametrize(
    ("name", "things", "told"),
    [
        ("a", ("shelf", "drives"),
         "Order 1 shelf and 2 drives of 10 TB by August 2027, and nothing before, for “a”."),
        (SIX_WORDS, ("shelf", "drives"),
         f"Order 1 shelf and 2 drives of 10 TB by August 2027 for “{SIX_WORDS}”."),
        (SIX_WORDS, ("box", "shelf", "drives"),
         f"Order nothing for “{SIX_WORDS}” before August 2027."),
    ],
)  # fmt: skip
def test_a_plan_that_begins_later_says_what_comes_first_and_when(name, things, told):
    line = PlannedOrder(month=7, pool=0, unit="box", drives="ten", count=2, swap=False)
    plan = PurchasePlan(orders=(line,), lack_price="bridging", line_tb_by_month=(),
                        line_fraction=1.0, under_fraction=1.0)  # fmt: skip
    whole = replace(crafted({name: 100}), plans={name: plan})
    counts = {"box": 1, "shelf": 1, "drives": 2}
    orders = tuple(
        replace(
            order(what, counts[what], [7, 7], [9, 9]), drives="ten" if what == "drives" else None
        )
        for what in things
    )
    whole = with_figures({"money.orders": orders}, evaluation=due_in(7.0, whole))
    assert recommendation(whole) == told


def test_what_takes_ten_words_to_name_is_the_first_order():
    bought = (order("larger drives", 2, [0, 0], [9, 9]), order("work", 1, [0, 0], [9, 9]))
    told = recommendation(due_in(math.inf, with_figures({"money.orders": bought})))
    assert told == "Go on with “a”: place the first order now."


@pytest.mark.parametrize(
    ("cost", "least"), [(500, " of those that meet the needs"), (1000, ""), (2000, "")]
)
def test_level_ones_cost_least_of_those_that_meet_the_needs_where_another_costs_less(cost, least):
    told = crafted({"a": 1000, "b": 1010, "c": cost}, headroom(a=90, b=90, c=50))
    assert reason(told) == (
        f"Costs are level with “b”; it costs least on average{least} and meets all needs in 90 of"
        " 100 futures."
    )
