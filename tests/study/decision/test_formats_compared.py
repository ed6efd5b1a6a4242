"""A dated change of the recording format: by hand, against varied scenarios, and in its limits."""

from datetime import date

import numpy as np
import pytest
from study.small import SMALL

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.models.formats import hours_per_tb, recording_format, recording_formats
from storagecalc.study.decision.formats_compared import (
    default_formats,
    formats_compared,
    with_format,
)
from storagecalc.study.scenario.load import scenario_from

UHD = "vc3_sq_uhd_25"


@pytest.fixture
def small() -> Scenario:
    return scenario_from(SMALL, source="by hand")


def with_work(**keys: object) -> Scenario:
    work = {**SMALL["work"]["shoots"], **keys}
    return scenario_from({**SMALL, "work": {"shoots": work}}, source="by hand")


def test_a_change_by_hand(small):
    """Four months of 10 TB, then 100 hours a month at the format's rate; 30 and 70 TB of space."""
    compared = formats_compared(small, from_date=date(2027, 5, 1), formats=[UHD])
    planned, other = compared.rows
    tb_per_h = 481.6896e6 / 8 * 3600 / 1e12
    held = np.concatenate([10.0 * np.arange(1, 5), 40 + 100 * tb_per_h * np.arange(1, 21)])
    np.testing.assert_allclose(other.evaluation.held_tb_by_month.point, held, rtol=1e-12)
    assert other.held_tb.point == pytest.approx(held[-1], rel=1e-12)
    assert planned.held_tb.point == pytest.approx(240, rel=1e-12)
    assert other.gb_per_h == pytest.approx(1000 * tb_per_h, rel=1e-12)
    assert other.hours_per_tb == pytest.approx(hours_per_tb(mbit_s=481.6896), rel=1e-12)
    (before,), (after,) = planned.evaluation.builds, other.evaluation.builds
    assert (before.capacity.first_fill_months.p50, before.capacity.headroom_months.p50) == (3, 7)
    # 40 TB after four months, 61.7 after five, 83.4 after six.
    assert (after.capacity.first_fill_months.p50, after.capacity.headroom_months.p50) == (3, 5)


def test_the_first_row_is_the_plan_itself(demo):
    compared = formats_compared(demo, draws=40)
    plan = evaluate(demo, draws=40)
    first = compared.rows[0]
    assert first.as_planned
    assert not any(row.as_planned for row in compared.rows[1:])
    assert np.array_equal(first.evaluation.held_tb_by_month.p90, plan.held_tb_by_month.p90)
    for one, other in zip(first.evaluation.builds, plan.builds, strict=True):
        assert np.array_equal(
            one.capacity.headroom_months_by_draw, other.capacity.headroom_months_by_draw
        )


def test_every_row_is_one_varied_scenario(demo):
    wanted = ["vc3_hq_uhd_25", "h264_hd_50_average"]
    compared = formats_compared(demo, work="documentary", formats=wanted, draws=30)
    assert compared.from_date == date(2029, 3, 1)
    for key, row in zip(wanted, compared.rows[1:], strict=True):
        alone = evaluate(demo.varied({"work.documentary.changes.0.format": key}), draws=30)
        assert row.held_tb.p90 == alone.held_tb_by_month.p90[-1]
        for one, other in zip(row.evaluation.builds, alone.builds, strict=True):
            assert np.array_equal(
                one.capacity.headroom_months_by_draw, other.capacity.headroom_months_by_draw
            )


def test_a_heavier_format_holds_more_and_never_lasts_longer(demo):
    keys = ["h264_hd_28_max", "h264_hd_50_average", "rdd36_hq_hd_25", UHD, "vc3_444_uhd_25"]
    rates = [recording_format(key).mbit_s for key in keys]
    assert rates == sorted(rates)
    rows = formats_compared(demo, work="stage", formats=keys).rows[1:]
    held = [row.held_tb.point for row in rows]
    assert held == sorted(held)
    for number in range(len(demo.builds)):
        lasts = [row.evaluation.builds[number].capacity.headroom_months.p50 for row in rows]
        assert lasts == sorted(lasts, reverse=True)


def test_later_planned_formats_give_way_and_other_changes_stay():
    scenario = with_work(
        changes=[
            {"from_date": date(2027, 3, 1), "rate_mbit_s": 50},
            {"from_date": date(2027, 6, 15), "format": UHD, "cameras": 2},
            {"from_date": date(2028, 1, 1), "format": "vc3_hq_uhd_25"},
        ]
    )
    key = "h264_hd_50_average"
    changed = with_format(scenario, work="shoots", from_date=date(2027, 6, 1), format_key=key)
    changes = [
        (change.from_date, change.format, change.rate_mbit_s, change.cameras)
        for change in changed.work["shoots"].changes
    ]
    assert changes == [
        (date(2027, 3, 1), None, 50, None),
        (date(2027, 6, 1), key, None, None),
        (date(2027, 6, 15), None, None, 2),
    ]
    same_day = with_format(scenario, work="shoots", from_date=date(2027, 6, 15), format_key=key)
    assert [change.format for change in same_day.work["shoots"].changes] == [None, key]
    assert same_day.work["shoots"].changes[1].cameras == 2
    rated = with_format(scenario, work="shoots", from_date=date(2027, 3, 1), format_key=key)
    (first, second) = rated.work["shoots"].changes
    assert (first.from_date, first.format, first.rate_mbit_s) == (date(2027, 3, 1), key, None)
    assert (second.format, second.cameras) == (None, 2)


def test_the_plan_row_tells_what_holds_on_the_date_and_what_comes_later():
    scenario = with_work(
        changes=[
            {"from_date": date(2027, 3, 1), "rate_mbit_s": 50},
            {"from_date": date(2027, 9, 15), "format": UHD},
        ]
    )
    early = formats_compared(scenario, from_date=date(2027, 6, 9), formats=[])
    assert early.from_date == date(2027, 6, 1)
    assert (early.rows[0].format_key, early.rows[0].mbit_s) == (None, 50)
    assert early.planned_again_date == date(2027, 9, 15)
    late = formats_compared(scenario, from_date=date(2027, 9, 1), formats=[])
    assert (late.rows[0].format_key, late.planned_again_date) == (UHD, None)


@pytest.mark.parametrize(
    ("keys", "asked"),
    [
        ({}, date(2028, 1, 1)),
        ({"changes": [{"from_date": date(2027, 4, 20), "rate_mbit_s": 9}]}, date(2027, 4, 1)),
        ({"changes": [{"from_date": date(2027, 4, 20), "cameras": 3}]}, date(2028, 1, 1)),
        ({"end_date": date(2027, 5, 1)}, date(2027, 3, 1)),
    ],
)
def test_the_date_is_that_of_the_plan_or_a_year_ahead(keys, asked):
    assert formats_compared(with_work(**keys), formats=[UHD]).from_date == asked


def test_a_short_horizon_still_has_a_date():
    scenario = scenario_from({**SMALL, "horizon_months": 12}, source="short")
    assert formats_compared(scenario, formats=[UHD]).from_date == date(2027, 7, 1)


def test_the_work_that_records_most_is_chosen(demo):
    assert formats_compared(demo, formats=[]).work == "stage"
    busy = demo.varied({"work.documentary.shoot_days_per_month": 20})
    assert formats_compared(busy, formats=[]).work == "documentary"


def test_without_cameras_there_is_nothing_to_compare():
    work = {"keep": "all", "shoot_days_per_month": 3, "stills_per_shoot_day": 400}
    scenario = scenario_from({**SMALL, "work": {"stills": work}}, source="stills only")
    compared = formats_compared(scenario)
    assert compared.rows == ()
    assert compared.work is None


def test_a_name_with_dots_in_it_is_a_name():
    raw = {**SMALL, "work": {"a.b": SMALL["work"]["shoots"]}}
    compared = formats_compared(scenario_from(raw, source="dots"), formats=[UHD])
    assert compared.work == "a.b"
    assert compared.rows[1].held_tb.point > compared.rows[0].held_tb.point


@pytest.mark.parametrize("key", [None, *(one.key for one in recording_formats() if one.width_px)])
def test_default_formats_are_few_apart_and_mostly_larger(demo, key):
    rate = recording_format(key).mbit_s if key is not None else 400.0
    found = [recording_format(one) for one in default_formats(demo, key, rate)]
    assert 1 <= len(found) <= 4
    assert len({one.key for one in found}) == len(found)
    assert all(not 1 / 1.2 < one.mbit_s / rate < 1.2 for one in found)
    assert all(one.width_px and one.family != "delivery" for one in found)
    if key is not None and recording_format(key).frames_per_s:
        wanted = recording_format(key).frames_per_s
        assert {one.frames_per_s for one in found} <= {wanted, None}


def test_bad_questions_are_named(demo):
    with pytest.raises(ValueError, match=r"work must be .* did you mean"):
        formats_compared(demo, work="stag")
    with pytest.raises(ScenarioError, match="did you mean"):
        formats_compared(demo, formats=["vc3_sq_uhd_2"])
    with pytest.raises(ScenarioError, match="after the scenario's start"):
        formats_compared(demo, from_date=date(2020, 1, 1), formats=[UHD])
    with pytest.raises(ScenarioError, match="would change nothing"):
        formats_compared(demo, from_date=date(2060, 1, 1), formats=[UHD])
