"""Records for JSON: the promised keys, plain values, and the point where nothing is drawn."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from study.decision.crafted import crafted, lasts

from storagecalc import evaluate
from storagecalc.study.axes import Spread
from storagecalc.study.decision.records import compare, records, verdict_record
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.measures import MEASURES

PROMISED = """
    name meets_needs needs needs_met_fraction nominal_tb usable_tb usable_tib plannable_tb asked_tb
    upfront_cost net_present_cost net_present_cost_mean net_present_cost_p10 net_present_cost_p90
    net_present_cost_by_cause cost_per_usable_tb full_cost_per_usable_tb levelised_cost_per_tb_year
    remedy_cost unmet_tb_months cost_by_year cost_by_year_mean first_fill_months headroom_months
    first_order_by_date box_loss_probability box_loss_probability_at_middle_rate
    box_loss_probability_low box_loss_probability_high lost_at_once_tb gone_for_good_probability
    expected_tb_lost drive_failures rebuild_h streams power_w peak_power_w noise_dba purchases
"""
WHAT = {"box", "shelf", "drives", "larger drives", "further box", "work"}


@pytest.fixture(scope="module", params=[0, 60])
def evaluation(request, demo):
    return evaluate(demo, draws=request.param)


def test_every_promised_key_is_there(evaluation):
    for record in records(evaluation):
        assert [key for key in PROMISED.split() if key not in record] == []


def test_json_can_hold_all_of_it(evaluation):
    json.dumps([records(evaluation), verdict_record(evaluation)], allow_nan=False)


def test_causes_add_up_to_the_mean_and_worth_at_the_end_is_subtracted(evaluation):
    for record in records(evaluation):
        causes = record["net_present_cost_by_cause"]
        assert math.fsum(causes.values()) == pytest.approx(
            record["net_present_cost_mean"], rel=1e-9
        )
        assert causes["worth at the end"] < 0


def test_orders_of_month_0_add_up_to_what_is_paid_at_first(evaluation):
    for record in records(evaluation):
        first = [row["cost"] for row in record["purchases"] if row["month"] == 0]
        assert math.fsum(first) == pytest.approx(record["upfront_cost"], rel=1e-9)


def test_orders_are_of_the_known_kinds(evaluation):
    for record in records(evaluation):
        for row in record["purchases"]:
            assert row["what"] in WHAT or row["what"].startswith(("copy: ", "other: "))


def test_without_draws_everything_is_the_point(demo):
    for record in records(evaluate(demo)):
        for key, value in record.items():
            point = key.removesuffix("_mean")
            if key.endswith("_mean"):
                assert value == pytest.approx(record[point], rel=1e-9), key
            for share in ("_p10", "_p50", "_p90"):
                if key.endswith(share):
                    assert value == record[key.removesuffix(share)], key


def test_what_never_happens_is_null(demo):
    roomy = demo.varied({"builds.twelve_and_shelf.bays": 60, "needs.headroom_months": 12})
    record = records(evaluate(roomy))[2]
    assert record["headroom_months"] == {"p10": None, "p50": None, "p90": None}
    assert record["needs"][0]["value"] is None
    assert record["needs"][0]["met"] is True


def test_asked_space_is_null_where_nobody_asks(demo):
    needs = {key: value for key, value in demo.as_written()["needs"].items() if "months" not in key}
    assert [each["asked_tb"] for each in records(evaluate(demo.varied({"needs": needs})))] == [
        None, None, None,
    ]  # fmt: skip


def test_needs_stand_as_they_are_judged():
    needs = {"headroom_months": (24, {"a": lasts(85)}), "noise_dba": (38, {"a": 40})}
    (record,) = records(crafted({"a": 100}, needs))
    assert (record["meets_needs"], record["needs_met_fraction"]) == (False, 0.0)
    assert record["needs"] == [
        {
            "need": "headroom_months",
            "required": 24.0,
            "value": 30.0,
            "met": True,
            "met_fraction": 0.85,
        },
        {"need": "noise_dba", "required": 38.0, "value": 40.0, "met": False, "met_fraction": 0.0},
    ]


def test_compare_has_one_row_an_alternative(evaluation):
    table = compare(evaluation)
    assert list(table["name"]) == [build.name for build in evaluation.builds]
    assert "headroom_months_p50" in table.columns


def test_each_of_the_five_figures_stands_under_its_own_name():
    evaluation = crafted({"a": 100})
    (build,) = evaluation.builds
    cost, years, months, day = (
        Spread(point=each + 1, mean=each + 2, p10=each + 3, p50=each + 4, p90=each + 5)
        for each in (10.0, np.array([20.0, 30.0]), 40.0, 50.0)
    )
    told = {"upfront_cost": cost, "cost_by_year": years, "cost_per_shoot_day": {"shoots": day}}
    money = replace(build.money, **told)
    changed = replace(
        build, money=money, capacity=replace(build.capacity, first_fill_months=months)
    )
    (record,) = records(replace(evaluation, builds=(changed,)))
    names = ("upfront_cost", *(f"upfront_cost_{each}" for each in ("mean", "p10", "p50", "p90")))
    assert [record[name] for name in names] == [11, 12, 13, 14, 15]
    assert (record["cost_by_year"], record["cost_by_year_mean"]) == ([21, 31], [22, 32])
    assert record["first_fill_months"] == {"p10": 43, "p50": 44, "p90": 45}
    assert record["cost_per_shoot_day"] == {"shoots": 52}


def test_every_measure_tells_the_figure_it_is_named_for():
    """Each key of a record is the field of its own name, but for those that say the same anew."""
    renamed = {
        "usable_tb": "ladder.usable_tb",
        "nominal_tb": "ladder.nominal_tb",
        "plannable_tb": "ladder.plannable_tb",
        "full_plannable_tb": "full_ladder.plannable_tb",
        "cost_per_year": "dearest_later_year_cost",
        "fills_within_horizon_fraction": "fills_fraction",
        "first_order_by_date": "first_order_months",
    }
    for measure in MEASURES:
        assert measure.at.split(".", 1)[1] == renamed.get(measure.key, measure.key)
        if measure.judged_at:
            assert measure.judged_at == f"{measure.at}_by_draw"


def test_an_only_alternative_is_the_cheapest_in_every_future():
    assert verdict(crafted({"a": 100})).cheaper_fraction == 1.0
