"""The best plan in words: on a studio worked out by hand, and on figures of the test's own."""

import math
from dataclasses import replace

import pytest
from study.planned import planned
from study.small import SMALL, further

from storagecalc import evaluate
from storagecalc.study.capacity.purchase_plan import PlannedOrder
from storagecalc.study.decision.first_order import FirstOrder
from storagecalc.study.decision.foresight import Foresight
from storagecalc.study.decision.order_reasons import OrderReason
from storagecalc.study.decision.tuned_rule import RuleCost, TunedRule
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text import plan as words
from storagecalc.views.text.plan import (
    LAST_ORDERS,
    NEEDS_APART,
    NO_PLAN,
    WHY,
    foresight_sentence,
    horizon_sentences,
    line_sentence,
    plan_sentences,
    plan_table,
    plan_tables,
    rule_sentences,
    sureness_sentences,
)


@pytest.fixture(scope="module")
def small():
    return scenario_from(SMALL, source="by hand")


@pytest.fixture(scope="module")
def evaluation(small):
    """Ten TB more each month for a year: the box and four drives now, then one a month."""
    return evaluate(planned(small), draws=20)


def box(evaluation):
    return evaluation.builds[0]


def line(month, count=1, *, unit=None, swap=False):
    return PlannedOrder(month=month, pool=0, unit=unit, drives="ten", count=count, swap=swap)


def test_the_table_has_a_row_an_order_with_its_price_and_its_reason(evaluation):
    table = plan_table(evaluation)
    assert table.title == "Best plan of “box”: five orders, now to July 2027"
    assert table.rows[0] == ("now", "1 box and 4 drives of 10 TB", "EUR 1,400", WHY["space"])
    assert table.rows[1][:3] == ("April 2027", "1 drive of 10 TB", "EUR 100")
    assert len(table.rows) == 5
    assert table.align == "llrl"


@pytest.mark.parametrize(
    ("months", "title"),
    [
        ((), "no order"),
        ((0,), "one order, now"),
        ((0, 3), "two orders, now and April 2027"),
        ((3, 4, 14), "three orders, April 2027 to March 2028"),
        ((0, 3, 4, 14), "four orders, now to March 2028"),
    ],
)
def test_the_title_says_how_often_and_when(evaluation, months, title):
    orders = [words.PlannedOrders(month=month, things=(), cost=1.0) for month in months]
    told = words.plan_title(box(evaluation), orders, evaluation.scenario)
    assert told == f"Best plan of “box”: {title}"


@pytest.mark.parametrize(
    ("reason", "needed", "told"),
    [
        ("space", 3.0, "space is needed then"),
        (
            "late",
            3.0,
            "space is short from April 2027 on; holding that elsewhere until then costs less",
        ),
        ("price", 3.0, "dearer if ordered later; space is needed in April 2027"),
        ("work", 3.0, "shares the work of one order; space is needed in April 2027"),
        ("sale", 3.0, "no longer sold later; space is needed in April 2027"),
        ("worth", math.inf, "saves more than it costs"),
    ],
)
def test_every_reason_has_its_words(evaluation, monkeypatch, reason, needed, told):
    lines = evaluation.plans["box"].orders
    found = tuple(
        OrderReason(line=each, reason=reason, needed_months=needed, waiting_cost=0.0)
        for each in lines
    )
    monkeypatch.setattr(words, "order_reasons", lambda _: {"box": found})
    assert {row[3] for row in plan_table(evaluation).rows} == {told}


def test_parts_of_one_order_are_named_where_their_reasons_differ(evaluation, monkeypatch):
    now = evaluation.plans["box"].orders[0]
    parts = (replace(now, count=3), replace(now, count=1, unit=None))

    def told(*whys):
        found = tuple(
            OrderReason(line=part, reason=why, needed_months=3.0, waiting_cost=0.0)
            for part, why in zip(parts, whys, strict=True)
        )
        monkeypatch.setattr(words, "order_reasons", lambda _: {"box": found})
        return plan_table(evaluation).rows[0][3]

    assert told("space", "space") == "space is needed then"
    assert told("space", "price") == (
        "1 box and 3 drives of 10 TB: space is needed then. 1 drive of 10 TB: dearer if ordered"
        " later; space is needed in April 2027"
    )


def test_without_a_plan_it_says_how_to_have_one(small):
    without = evaluate(small)
    assert plan_sentences(without) == [NO_PLAN]
    assert plan_table(without).rows == ()
    assert sureness_sentences(without) == []


@pytest.mark.parametrize(
    ("line_share", "under", "told"),
    [
        (0.92, 0.8, "It is planned for space that 92 of 100 futures do not exceed in any one month,"
                    " so that 80 of 100 stay within it in all months;"),
        (1.0, 1.0, "It is planned for the most space that any future asks for;"),
    ],
)  # fmt: skip
def test_the_line_says_who_has_room(evaluation, line_share, under, told):
    plan = replace(evaluation.plans["box"], line_fraction=line_share, under_fraction=under)
    changed = replace(evaluation, plans={"box": plan})
    beyond = " what a fuller one holds beyond it is held elsewhere."
    assert line_sentence(changed, box(changed)) == told + beyond


def test_with_further_boxes_fuller_futures_get_one(small):
    changed = evaluate(further(planned(small), {}))
    assert line_sentence(changed, changed.builds[0]).endswith(
        "; a fuller one is bridged until the last order stands, then gets a further box."
    )


@pytest.mark.parametrize(
    ("mean", "low", "high", "told"),
    [
        (1234.0, 120.0, 3456.0, "Not knowing which future will come costs about EUR 1,200 on"
         " average (120 to 3,500 in 8 of 10 of 200 futures); no other way of ordering can save more"
         " than that."),
        (0.2, 0.0, 0.9, "Knowing every month beforehand would save nothing."),
    ],
)  # fmt: skip
def test_foresight_is_told_with_its_range(evaluation, monkeypatch, mean, low, high, told):
    found = Foresight(futures=200, plan_cost_mean=9.0, foresight_cost_mean=8.0,
                      not_knowing_cost_mean=mean, not_knowing_cost_p10=low,
                      not_knowing_cost_p90=high)  # fmt: skip
    monkeypatch.setattr(words, "foresights", lambda _: {"box": found})
    assert foresight_sentence(evaluation, box(evaluation)) == told


def rule(share, step, cost):
    return RuleCost(order_at_fraction=share, drives_per_step=step, cost_mean=cost)


BY_RULE = (
    "By a rule instead of a plan the same box, begun and grown with drives of 10 TB, costs EUR"
    " 3,000 on average ordering at 80 % full, one drive at a time"
)


@pytest.mark.parametrize(
    ("written", "tuned", "told"),
    [
        (rule(0.8, 1, 3000), rule(0.85, 2, 2500), [
            f"{BY_RULE}, and EUR 2,500 ordering at 85 % full, two drives at a time, in"
            " futures that this was not tried on; the plan costs EUR 2,400 in the same futures.",
            "On costs alone, who keeps to a rule writes order_at_fraction = 0.85,"
            " grows_by = \"groups\" and drives_per_step = 2."]),
        (rule(0.8, 1, 3000), rule(0.85, 1, 2500), [
            f"{BY_RULE}, and EUR 2,500 ordering at 85 % full, one drive at a time, in"
            " futures that this was not tried on; the plan costs EUR 2,400 in the same futures.",
            "On costs alone, who keeps to a rule writes order_at_fraction = 0.85."]),
        # Better where it was tuned, and no better where it was not.
        (rule(0.8, 1, 3000), rule(0.85, 1, 3000), [
            f"{BY_RULE}, and EUR 3,000 ordering at 85 % full, one drive at a time, in"
            " futures that this was not tried on; the plan costs EUR 2,400 in the same futures."
        ]),
        (rule(0.8, 1, 3000), rule(0.8, 1, 3000), [
            f"{BY_RULE}, and no other order point or step does better; the plan"
            " costs EUR 2,400 in the same futures."]),
    ],
)  # fmt: skip
def test_a_rule_is_advised_where_it_costs_less(evaluation, monkeypatch, written, tuned, told):
    found = TunedRule(futures=500, written=written, tuned=tuned, plan_cost_mean=2400.0)
    monkeypatch.setattr(words, "tuned_rules", lambda _: {"box": found})
    assert rule_sentences(evaluation, box(evaluation)) == told


def test_a_build_that_cannot_follow_a_rule_has_no_advice(evaluation, monkeypatch):
    monkeypatch.setattr(words, "tuned_rules", lambda _: {})
    assert rule_sentences(evaluation, box(evaluation)) == []


def test_what_is_swapped_has_no_step(evaluation, monkeypatch):
    found = TunedRule(futures=9, written=rule(0.8, 1, 9.0), tuned=rule(0.8, 1, 9.0),
                      plan_cost_mean=9.0)  # fmt: skip
    build = evaluation.scenario.builds["box"].model_copy(update={"grows_by": "swapping"})
    scenario = evaluation.scenario.model_copy(update={"builds": {"box": build}})
    monkeypatch.setattr(words, "tuned_rules", lambda _: {"box": found})
    changed = replace(evaluation, scenario=scenario)
    (told,) = rule_sentences(changed, box(changed))
    assert "ordering at 80 % full, and no other" in told


def first(months, *lines):
    return FirstOrder(horizon_months=months, lines=lines)


@pytest.mark.parametrize(
    ("found", "told"),
    [
        ((first(24, line(0, 4, unit="box")), first(36, line(0, 4, unit="box")),
          first(48, line(0, 4, unit="box"))),
         ["Looking as far as four years ahead leaves the first order as it is."]),
        ((first(24, line(0, 4, unit="box")), first(36, line(0, 4, unit="box")),
          first(48, line(3, 6, swap=True), line(3, 1))),
         ["The first order hangs on how far one looks: two years ahead it is 1 box and 4 drives of"
          " 10 TB now, four years ahead 6 larger drives of 10 TB and 1 drive of 10 TB in April"
          " 2027."]),
        ((first(24), first(36, line(0, 4, unit="box"))),
         ["The first order hangs on how far one looks: two years ahead it is nothing, three years"
          " ahead 1 box and 4 drives of 10 TB now."]),
        ((first(24), first(36)), []),
        ((first(240, line(0)),), []),
    ],
)  # fmt: skip
def test_whether_the_first_order_stays_is_told(evaluation, monkeypatch, found, told):
    monkeypatch.setattr(words, "first_orders", lambda _: {"box": found})
    assert horizon_sentences(evaluation, box(evaluation)) == told


def test_all_of_it_is_told_once_and_in_order(evaluation):
    told = plan_sentences(evaluation)
    assert told[0] == line_sentence(evaluation, box(evaluation))
    assert told[1] == foresight_sentence(evaluation, box(evaluation))
    assert told[-2:] == [LAST_ORDERS, NEEDS_APART]
    assert len(set(told)) == len(told)
    assert told[1:-2] == [
        *dict.fromkeys(
            (*sureness_sentences(evaluation), *rule_sentences(evaluation, box(evaluation)))
        )
    ]


@pytest.mark.parametrize(("plan_cost", "told"), [(2400.0, False), (2600.0, True)])
def test_a_rule_that_costs_less_is_told_beside_the_plan(evaluation, monkeypatch, plan_cost, told):
    found = TunedRule(futures=9, written=rule(0.8, 1, 3000), tuned=rule(0.9, 1, 2500),
                      plan_cost_mean=plan_cost)  # fmt: skip
    monkeypatch.setattr(words, "tuned_rules", lambda _: {"box": found})
    said = any("By a rule" in sentence for sentence in sureness_sentences(evaluation))
    assert said is told


def test_each_order_has_the_reasons_of_its_own_month(evaluation, monkeypatch):
    whys = dict(zip((0, 3, 4, 5, 6), ("space", "worth", "space", "worth", "space"), strict=True))
    found = tuple(
        OrderReason(line=each, reason=whys[each.month], needed_months=9.0, waiting_cost=0.0)
        for each in evaluation.plans["box"].orders
    )
    monkeypatch.setattr(words, "order_reasons", lambda _: {"box": found})
    assert [row[3] for row in plan_table(evaluation).rows] == [WHY[why] for why in whys.values()]


def test_a_rule_that_costs_as_much_as_the_plan_is_not_told_beside_it(evaluation, monkeypatch):
    same = rule(0.9, 1, 2500)
    found = TunedRule(futures=9, written=rule(0.8, 1, 3000), tuned=same, plan_cost_mean=2500.0)
    monkeypatch.setattr(words, "tuned_rules", lambda _: {"box": found})
    assert not any("By a rule" in sentence for sentence in sureness_sentences(evaluation))


def test_an_end_of_one_is_worth_telling(evaluation, monkeypatch):
    found = Foresight(futures=200, plan_cost_mean=9.0, foresight_cost_mean=8.0,
                      not_knowing_cost_mean=1.0, not_knowing_cost_p10=0.0,
                      not_knowing_cost_p90=1.0)  # fmt: skip
    monkeypatch.setattr(words, "foresights", lambda _: {"box": found})
    told = foresight_sentence(evaluation, box(evaluation))
    assert "(0 to 1 in 8 of 10 of 200 futures)" in told


@pytest.mark.parametrize(
    ("written", "tuned", "keys"),
    [
        (1, 2, 'order_at_fraction = 0.8, grows_by = "groups" and drives_per_step = 2'),
        (2, 1, 'order_at_fraction = 0.8, grows_by = "one drive" and drives_per_step = 1'),
    ],
)
def test_another_step_alone_is_another_rule(evaluation, monkeypatch, written, tuned, keys):
    found = TunedRule(futures=9, written=rule(0.8, written, 3000), tuned=rule(0.8, tuned, 2500),
                      plan_cost_mean=2400.0)  # fmt: skip
    monkeypatch.setattr(words, "tuned_rules", lambda _: {"box": found})
    assert rule_sentences(evaluation, box(evaluation))[1:] == [
        f"On costs alone, who keeps to a rule writes {keys}."
    ]


def test_every_plan_has_its_table_and_nothing_else_has(small, evaluation):
    assert plan_tables(evaluation) == [plan_table(evaluation, box(evaluation))]
    assert plan_tables(evaluate(small)) == []
