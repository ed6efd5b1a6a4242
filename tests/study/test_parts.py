"""The parts on a studio small enough to work out by hand."""

import numpy as np
import pytest

from storagecalc import Scenario, evaluate
from storagecalc.study.capacity.space import pools_of
from storagecalc.study.decision.records import records
from storagecalc.study.footage.footage import footage
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from

# 10 TB a month, kept for ever, nothing stored; drives of 10 TB, no losses on the ladder but parity.
SMALL = {
    "title": "by hand", "currency": "EUR", "start_date": "2027-01-01", "horizon_months": 24,
    "discount_rate_per_year": 0.0, "prices_are": "a guess",
    "work": {"shoots": {
        "keep": "all", "shoot_days_per_month": 10, "cameras": 1, "hours_per_camera_day": 10,
        "rate_mbit_s": 10 * 8e6 / (10 * 10 * 3600), "proxies_and_exports_fraction": 0,
    }},
    "keep": {"all": {}},
    "team": {"editors": 0},
    "drives": {"ten": {
        "size_tb": 10, "price": 100, "failures_per_drive_year": 0.012, "power_w": 10,
        "warranty_years": 1, "service_life_years": 10,
    }},
    "builds": {"box": {
        "drives": "ten", "bays": 8, "drives_at_first": 4, "redundancy": "single parity",
        "box_price": 1000, "box_power_w": 60, "order_at_fraction": 1.0, "lead_time_months": 0,
        "box_life_years": 10, "box_failures_per_year": 0,
    }},
    "filling": {"formatting_fraction": 0, "snapshot_fraction": 0, "free_fraction": 0},
    "prices": {
        "drive_change_per_year": 0, "box_change_per_year": 0, "inflation_per_year": 0,
        "electricity_change_per_year": 0,
    },
    "running": {
        "electricity_price_per_kwh": 1, "labour_price_per_h": 10, "care_h_per_month": 1,
        "work_per_order_h": 2,
    },
    "remedy": {"kind": "held elsewhere", "elsewhere_price_per_tb_month": 5},
}  # fmt: skip


@pytest.fixture
def small() -> Scenario:
    return scenario_from(SMALL, source="by hand")


def test_held_footage_grows_by_what_is_recorded(small):
    held = evaluate(small).held_tb_by_month.point
    np.testing.assert_allclose(held, 10.0 * np.arange(1, 25), rtol=1e-12)


def test_drives_are_ordered_when_the_footage_passes_the_space(small):
    """30 TB hold three months; then one drive a month until eight are in: 70 TB for seven."""
    build = evaluate(small).builds[0]
    assert build.capacity.ladder.usable_tb == 30.0
    assert build.capacity.full_ladder.usable_tb == 70.0
    assert build.capacity.first_fill_months.point == 3
    assert build.capacity.headroom_months.point == 7
    drives = [(row.month, row.count) for row in build.money.purchases if row.what == "drives"]
    assert drives == [(0, 4), (3, 1), (4, 1), (5, 1), (6, 1)]
    np.testing.assert_allclose(
        build.capacity.plannable_tb_by_month, [30, 30, 30, 40, 50, 60] + [70] * 18, rtol=1e-12
    )


def test_what_it_costs_by_hand(small):
    """Box 1000, eight drives, 24 h of care and five orders, electricity, rent beyond 70 TB."""
    build = evaluate(small).builds[0]
    cost = build.money.present_cost_by_category
    assert cost["box"] == pytest.approx(1000)
    assert cost["drives"] == pytest.approx(800)
    assert cost["labour"] == pytest.approx(10 * (24 * 1 + 5 * 2))
    drive_months = 3 * 4 + 5 + 6 + 7 + 18 * 8
    assert cost["power"] == pytest.approx((24 * 60 + 10 * drive_months) * 0.73)
    beyond = sum(10 * month - 70 for month in range(8, 25))
    assert cost["remedy"] == pytest.approx(5 * beyond)
    assert build.capacity.unmet_tb_months == pytest.approx(beyond)
    out_of_warranty = sum(4 if month < 15 else min(month - 10, 8) for month in range(12, 24))
    assert cost["failures"] == pytest.approx(100 * 0.001 * out_of_warranty)
    assert build.capacity.drive_failures == pytest.approx(0.001 * drive_months)
    assert build.money.net_present_cost.point == pytest.approx(sum(cost.values()))
    assert build.money.upfront_cost == pytest.approx(1000 + 400 + 10 * 3 + 100 * 0.73)


def test_a_late_order_is_bridged_at_the_rent_of_elsewhere(small):
    late = small.varied({"builds.box.lead_time_months": 2})
    build = evaluate(late).builds[0]
    np.testing.assert_allclose(
        build.capacity.plannable_tb_by_month[:9], [30] * 5 + [40, 50, 60, 70]
    )
    never_held = sum(max(0, 10 * month - 70) for month in range(1, 25))
    unmet = sum(
        max(0, 10 * (month + 1) - tb)
        for month, tb in enumerate(build.capacity.plannable_tb_by_month)
    )
    assert build.capacity.unmet_tb_months == pytest.approx(unmet)
    assert build.money.present_cost_by_category["remedy"] == pytest.approx(5 * unmet)
    assert unmet - never_held == pytest.approx(10 + 20 + 20 + 20 + 10)


def test_an_early_cull_is_paid_once_for_each_tb(small):
    build = evaluate(small.varied({"remedy.kind": "early cull"})).builds[0]
    assert build.money.present_cost_by_category["remedy"] == pytest.approx(250 * (240 - 70))


def test_next_boxes_stand_beside_the_full_one(small):
    """Beyond 70 TB one more box of 70 TB is needed each seven months: months 7, 14 and 21."""
    other = small.varied({"remedy.kind": "next box", "remedy.next_build": "box",
                          "remedy.migration_h": 8})  # fmt: skip
    cost = evaluate(other).builds[0].money.present_cost_by_category["remedy"]
    box = 1000 + 800 + 10 * (8 + 2)
    running = 0.73 * (60 + 80) * (7 * 1 + 7 * 2 + 3 * 3)
    assert cost == pytest.approx(3 * box + running)


def test_a_next_box_has_all_its_pools_and_new_drives_only(small):
    """Two pools of four, single parity: 60 TB a box, so that months 6, 12 and 18 bring the next."""
    pools = {"builds.box.grows_by": "whole pools", "builds.box.old_drives": "ten",
             "builds.box.old_drive_count": 2}  # fmt: skip
    other = small.varied({**pools, "remedy.kind": "next box", "remedy.next_build": "box",
                          "remedy.migration_h": 8})  # fmt: skip
    cost = evaluate(other).builds[0].money.present_cost_by_category["remedy"]
    box = 1000 + 800 + 10 * (8 + 2)
    running = 0.73 * (60 + 80) * (6 * 1 + 6 * 2 + 6 * 3)
    assert cost == pytest.approx(3 * box + running)


def test_a_box_and_its_drives_are_replaced_at_the_end_of_their_life(small):
    short = small.varied({"drives.ten.service_life_years": 2, "builds.box.box_life_years": 2,
                          "horizon_months": 36})  # fmt: skip
    rows = [(row.month, row.what, row.count) for row in evaluate(short).builds[0].money.purchases]
    assert (24, "box", 1) in rows
    assert (24, "drives", 4) in rows
    assert (27, "drives", 1) in rows


def test_a_box_that_fails_after_its_warranty_is_paid_for(small):
    """One in ten a year, two years of horizon, one of them covered: a tenth of a box."""
    risky = small.varied({"builds.box.box_failures_per_year": 0.1,
                          "builds.box.box_warranty_years": 1})  # fmt: skip
    more = [evaluate(each).builds[0].money.present_cost_by_category for each in (risky, small)]
    assert more[0]["failures"] - more[1]["failures"] == pytest.approx(0.1 * 1000)


def test_a_shelf_is_a_pool_of_its_own(demo):
    build = demo.builds["twelve_and_shelf"]
    pools = pools_of(build)
    assert pools.drives_by_step.tolist() == [
        [6, 8, 10, 12, 12, 12, 12, 12, 12],
        [0, 0, 0, 0, 4, 6, 8, 10, 12],
    ]
    ladder = evaluate(demo).builds[2].capacity.full_ladder
    assert ladder.usable_tb == pytest.approx((10 + 10) * 16)


def test_hot_spares_take_bays_but_give_no_space(small):
    spare = small.varied({"builds.box.hot_spares": 1})
    record = records(evaluate(spare))[0]
    assert record["nominal_tb"] == 40
    assert record["usable_tb"] == 20
    assert record["rebuild_h"] < records(evaluate(small))[0]["rebuild_h"]


def test_working_copies_belong_to_the_people_who_edit(small):
    held = evaluate(small).held_tb_by_month.point
    three = small.varied({"team.editors": 3, "team.working_tb_per_editor": 2})
    np.testing.assert_allclose(evaluate(three).held_tb_by_month.point - held, 6.0)


def test_dated_changes_and_ends_take_effect_in_their_month(small):
    raw = small.as_written()
    raw["work"]["shoots"] |= {
        "changes": [{"from_date": "2027-07-01", "cameras": 3}],
        "end_date": "2028-01-01",
    }
    held = evaluate(scenario_from(raw, source="changed")).held_tb_by_month.point
    np.testing.assert_allclose(np.diff(held, prepend=0), [10] * 6 + [30] * 6 + [0] * 12, atol=1e-9)


def test_what_a_keep_rule_moves_elsewhere_costs_rent_there(small):
    raw = small.as_written()
    raw["keep"]["all"] = {
        "steps": [{"after_months": 6, "keep_fraction": 0, "rest_goes_to": "vault"}],
        "fetched_back_fraction_per_year": 0,
    }
    raw["elsewhere"] = {"vault": {"price_per_tb_month": 2}}
    result = evaluate(scenario_from(raw, source="vault"))
    assert result.held_tb_by_month.point[-1] == pytest.approx(60)
    moved = sum(10 * max(0, month - 6) for month in range(1, 25))
    assert result.builds[0].money.present_cost_by_category["archive"] == pytest.approx(2 * moved)


def test_used_boxes_fetch_something_at_the_end(small):
    kept = small.varied({"prices.box_value_kept_per_year_fraction": 0.5})
    cost = evaluate(kept).builds[0].money.present_cost_by_category["sales"]
    assert cost == pytest.approx(-1000 * 0.25)


def test_stills_count_too(small):
    raw = small.as_written()
    raw["work"]["shoots"] |= {"stills_per_shoot_day": 1000, "still_mb": 50}
    scenario = scenario_from(raw, source="stills")
    more = footage(sampler(scenario).middle()).recorded_tb_by_month
    np.testing.assert_allclose(more, 10 + 10 * 1000 * 50 / 1e6)


def test_names_with_dots_do_not_take_each_others_values(small):
    raw = small.as_written()
    shoots = raw["work"].pop("shoots")
    raw["work"] = {
        "a": {**shoots, "cameras": {"low": 1, "middle": 2, "high": 3}},
        "a.cameras": {**shoots, "cameras": {"low": 4, "middle": 5, "high": 6}},
    }
    scenario = scenario_from(raw, source="dots")
    numbers = sampler(scenario).middle()
    assert [work.cameras for work in numbers.work.values()] == [2, 5]
    assert evaluate(scenario, draws=3).draws == 3
