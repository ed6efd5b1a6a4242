"""Plans and calendar as JSON: the figures that sentences tell, and nothing that is no number."""

import json
from dataclasses import replace

import pytest
from study.decision.crafted import crafted
from study.planned import planned
from study.small import SMALL
from views.figures import with_figures
from views.orders import order

from storagecalc import evaluate
from storagecalc.study.decision import plan_records as records
from storagecalc.study.decision.first_order import first_orders
from storagecalc.study.decision.foresight import foresights
from storagecalc.study.decision.order_reasons import order_reasons
from storagecalc.study.decision.plan_records import calendar_records, plan_records
from storagecalc.study.decision.purchase_calendar import purchase_calendar
from storagecalc.study.decision.tuned_rule import tuned_rules
from storagecalc.study.scenario.load import scenario_from


@pytest.fixture(scope="module")
def evaluation():
    return evaluate(planned(scenario_from(SMALL, source="by hand")), draws=20)


@pytest.fixture(scope="module")
def record(evaluation):
    (found,) = plan_records(evaluation)
    return json.loads(json.dumps(found, allow_nan=False))


def test_orders_have_their_month_date_things_and_price(record):
    assert record["name"] == "box"
    assert record["orders"][0] == {
        "month": 0,
        "date": "2027-01-01",
        "things": [
            {"what": "box", "count": 1, "drives": None, "size_tb": None},
            {"what": "drives", "count": 4, "drives": "ten", "size_tb": 10.0},
        ],
        "cost_mean": 1400.0,
    }
    assert [each["date"] for each in record["orders"]] == [
        "2027-01-01", "2027-04-01", "2027-05-01", "2027-06-01", "2027-07-01",
    ]  # fmt: skip


def test_lines_say_why(evaluation, record):
    reasons = order_reasons(evaluation)["box"]
    assert [each["why"] for each in record["lines"]] == [each.reason for each in reasons]
    assert record["lines"][0] == {
        "month": 0, "pool": 0, "unit": "box", "drives": "ten", "count": 4, "swap": False,
        "why": "space", "needed_months": 0,
    }  # fmt: skip


def test_the_line_planned_for_is_told(evaluation, record):
    plan = evaluation.plans["box"]
    assert record["line_tb_by_month"] == [10.0 * (month + 1) for month in range(12)]
    assert (record["line_fraction"], record["under_fraction"]) == (1.0, 1.0)
    assert record["lack_price"] == plan.lack_price == "bridging"


def test_what_is_told_of_it_is_what_sentences_tell(evaluation, record):
    found, rule = foresights(evaluation)["box"], tuned_rules(evaluation)["box"]
    assert record["foresight"]["not_knowing_cost_mean"] == found.not_knowing_cost_mean
    assert record["foresight"]["futures"] == found.futures
    assert record["rule"]["tuned"]["cost_mean"] == rule.tuned.cost_mean
    assert record["rule"]["written"]["order_at_fraction"] == rule.written.order_at_fraction
    firsts = first_orders(evaluation)["box"]
    assert [each["horizon_months"] for each in record["first_orders"]] == [
        each.horizon_months for each in firsts
    ]
    assert record["first_order_stays"] is (len({each.lines for each in firsts}) == 1)


def test_without_a_plan_there_is_no_record(small):
    assert plan_records(evaluate(small)) == []


def test_what_is_never_needed_has_no_month(evaluation, monkeypatch):
    (first, *_) = order_reasons(evaluation)["box"]
    worth = replace(first, reason="worth", needed_months=float("inf"))
    monkeypatch.setattr(records, "order_reasons", lambda _: {"box": (worth,)})
    (found,) = plan_records(evaluation)
    assert found["lines"][0]["needed_months"] is None


def test_the_calendar_has_every_alternative_and_its_orders(evaluation):
    (lane,) = calendar_records(evaluation)
    (drawn,) = purchase_calendar(evaluation).lanes
    assert (lane["name"], lane["recommended"]) == ("box", True)
    assert [each["month"] for each in lane["orders"]] == [each.month for each in drawn.orders]
    assert lane["orders"][1] == {
        "month": 3, "date": "2027-04-01", "month_p10": 3, "month_p90": 3, "placed_fraction": 1.0,
        "things": [{"what": "drives", "count": 1, "drives": "ten", "size_tb": 10.0}],
        "cost_mean": 100.0,
    }  # fmt: skip
    assert json.dumps(lane, allow_nan=False)


def test_line_and_futures_under_it_have_their_own_share(evaluation):
    plan = replace(evaluation.plans["box"], line_fraction=0.9, under_fraction=0.8)
    (found,) = plan_records(replace(evaluation, plans={"box": plan}))
    assert (found["line_fraction"], found["under_fraction"]) == (0.9, 0.8)


def test_first_orders_have_their_lines_and_a_build_without_a_rule_has_none(evaluation, monkeypatch):
    monkeypatch.setattr(records, "tuned_rules", lambda _: {})
    (found,) = plan_records(evaluation)
    assert found["rule"] is None
    assert found["first_orders"][0]["lines"] == [
        {"month": 0, "pool": 0, "unit": "box", "drives": "ten", "count": 4, "swap": False}
    ]


def test_the_calendar_has_the_median_between_its_ends():
    later = order("shelf", 1, range(4, 12), [300] * 8)
    whole = with_figures({"money.orders": (later,)}, evaluation=crafted({"a": 1, "b": 3}), number=1)
    first, second = calendar_records(whole)
    assert (first["recommended"], second["recommended"]) == (True, False)
    (told,) = second["orders"]
    assert (told["month_p10"], told["month"], told["month_p90"]) == (4, 7, 11)
    assert told["date"] == "2027-08-01"
