"""What is paid, when and for what, on a studio small enough to work out by hand."""

import numpy as np
import pytest
from study.small import further, outcomes_by_key, owned, with_tables

from storagecalc import evaluate
from storagecalc.study.money.categories import NOT_PAID
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from


def test_what_it_costs_by_hand(small):
    """Box 1000, eight drives, 24 h of care and five orders, electricity, rent beyond 70 TB.

    At the end box, drives and the work around each order are worth 0.7 a year of what was paid.
    """
    build = evaluate(small).builds[0]
    cost = build.money.present_cost_by_category
    assert cost["box"] == pytest.approx(1000)
    assert cost["drives"] == pytest.approx(800)
    assert cost["labour"] == pytest.approx(10 * (24 * 1 + 5 * 2))
    drive_months = 3 * 4 + 5 + 6 + 7 + 18 * 8
    assert cost["power"] == pytest.approx((24 * 60 + 10 * drive_months) * 0.73)
    beyond = sum(10 * month - 70 for month in range(8, 25))
    assert cost["rent"] == pytest.approx(5 * beyond)
    assert build.money.remedy_cost.point == pytest.approx(5 * beyond)
    assert build.capacity.unmet_tb_months == pytest.approx(beyond)
    out_of_warranty = sum(4 if month < 15 else min(month - 10, 8) for month in range(12, 24))
    assert cost["failures"] == pytest.approx(100 * 0.001 * out_of_warranty)
    assert build.capacity.drive_failures.point == pytest.approx(0.001 * drive_months)
    later = sum((100 + 20) * 0.7 ** ((24 - month) / 12) for month in (3, 4, 5, 6))
    assert cost["worth at the end"] == pytest.approx(-(1000 + 400 + 20) * 0.49 - later)
    assert build.money.net_present_cost.point == pytest.approx(sum(cost.values()))
    assert build.money.upfront_cost.point == pytest.approx(1000 + 400 + 10 * 2)


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
    assert build.money.present_cost_by_category["rent"] == pytest.approx(5 * unmet)
    assert unmet - never_held == pytest.approx(10 + 20 + 20 + 20 + 10)


def test_an_early_cull_is_paid_once_for_each_tb(small):
    money = evaluate(small.varied({"remedy.kind": "early cull"})).builds[0].money
    assert money.present_cost_by_category["deleted early"] == pytest.approx(250 * (240 - 70))
    assert money.present_cost_by_category["rent"] == 0
    assert money.remedy_cost.point == pytest.approx(250 * (240 - 70))


def test_further_boxes_are_bought_filled_and_grown_until_each_is_full(small):
    """Beyond 70 TB the next box comes with four drives (30 TB), then takes one a month from the
    fourth month on: boxes in months 7, 14 and 21, five orders each, the third box one so far.

    Drive-months: 3 x 4 + 5 + 6 + 7 + 11 x 8, then 3 x 4 + 5 + 6 + 7 + 4 x 8, then 3 x 4. In their
    second year the four of month 7 are paid for when they fail for five months, two more follow.
    """
    other = further(small, {})
    build = evaluate(other).builds[0]
    bought = 3 * 1000 + (8 + 8 + 4) * 100
    work = 10 * (3 * 8 + (5 + 5 + 1) * 2)
    box_months, drive_months = 17 + 10 + 3, 118 + 62 + 12
    running = 10 * 0.25 * box_months + 0.73 * (60 * box_months + 10 * drive_months)
    failed = 100 * 0.001 * (4 * 3 + 5 + 6)
    assert build.money.remedy_cost.point == pytest.approx(bought + work + running + failed)
    rows = build.money.purchases
    assert [row.month for row in rows if row.what == "further box"] == [7, 14, 21]
    assert build.capacity.further_boxes.point == 3
    assert build.money.present_cost_by_category["rent"] == 0


def test_a_further_box_has_all_its_pools_and_new_drives_only(small):
    """Two pools of four, single parity: 30 TB, then 60 TB a box. Boxes in months 6, 12 and 18, the
    second pool of each three months later; the drives owned before are in the first box only.

    4 drives for 18, 15, 12, 9, 6 and 3 months; those of months 6 and 9 fail at our cost for the
    last 6 and 3 of them.
    """
    pools = {"builds.box.grows_by": "whole pools", "owned.old": owned((2, 4)),
             "builds.box.drives_from": "old"}  # fmt: skip
    other = further(small, pools)
    bought = 3 * 1000 + 6 * 4 * 100
    work = 10 * (3 * 8 + 6 * 2)
    box_months, drive_months = 18 + 12 + 6, 4 * (18 + 15 + 12 + 9 + 6 + 3)
    running = 10 * 0.25 * box_months + 0.73 * (60 * box_months + 10 * drive_months)
    failed = 100 * 0.001 * 4 * (6 + 3)
    cost = evaluate(other).builds[0].money.remedy_cost.point
    assert cost == pytest.approx(bought + work + running + failed)


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


def test_used_boxes_are_worth_something_at_the_end(small):
    kept = small.varied({"prices.box_value_kept_per_year_fraction": 0.5,
                         "prices.drive_value_kept_per_year_fraction": 0})  # fmt: skip
    cost = evaluate(kept).builds[0].money.present_cost_by_category
    assert cost["worth at the end"] == pytest.approx(-1000 * 0.25)
    assert cost["sales"] == 0


# ---------------------------------------------------------------- the first order


EXTRAS = {
    "copies": {"near": {"another_building": False, "price": 500, "capacity_tb": 45},
               "far": {"another_building": True, "price_per_tb_month": 3}},
    "costs": {"switch": {"price": 900}, "insurance": {"price": 50, "every_months": 12},
              "later": {"price": 70, "from_date": "2027-02-01"},
              "rack": {"price": 300, "life_years": 1}},
}  # fmt: skip


def test_the_first_order_is_what_month_0_orders_and_no_running_cost(small):
    """Box, four drives and a spare, two hours of work, a copy, a switch, a rack: no insurance, no
    rent, no care, no electricity, nothing of next month."""
    ordered = with_tables(small, {**EXTRAS, "builds.box.cold_spares": 1})
    money = evaluate(ordered).builds[0].money
    assert money.upfront_cost.point == pytest.approx(1000 + 500 + 20 + 500 + 900 + 300)
    listed = {row.what: row.cost for row in money.purchases if row.month == 0}
    assert listed == {"box": 1000, "drives": 500, "work": 20, "copy: near": 500,
                      "other: switch": 900, "other: rack": 300}  # fmt: skip
    assert sum(listed.values()) == pytest.approx(money.upfront_cost.point)


def test_the_order_list_adds_up_to_the_first_order_in_the_demos(demo):
    for build in evaluate(demo, draws=5).builds:
        listed = [row.cost for row in build.money.purchases if row.month == 0]
        assert sum(listed) == pytest.approx(build.money.upfront_cost.point, rel=1e-12)


@pytest.mark.parametrize(
    ("keys", "first", "full"),
    [
        ({}, 1400 / 30, 1800 / 70),
        ({"cold_spares": 1}, 1500 / 30, 1900 / 70),
        ({"starts_in": "old"}, 400 / 30, 800 / 70),
        ({"shelf": {"bays": 5, "price": 300, "drives_at_first": 4}}, 1400 / 30, 2600 / 110),
        ({"drives_from": "old"}, 1100 / 30, 1500 / 70),
        ({"keeps": ["old"]}, 1400 / 30, 1800 / 70),
    ],
)
def test_cost_per_usable_tb_is_hardware_over_the_space_of_that_hardware(small, keys, first, full):
    """As bought and with all bays full, at today's prices; owned things are not bought."""
    dear = with_tables(small, {**EXTRAS, "prices.drive_change_per_year": 0.3})
    changes = {f"builds.box.{key}": value for key, value in keys.items()}
    built = with_tables(dear, {"owned.old": owned((3, 1)), **changes})
    money = evaluate(built).builds[0].money
    assert money.cost_per_usable_tb.point == pytest.approx(first)
    assert money.full_cost_per_usable_tb.point == pytest.approx(full)


# ---------------------------------------------------------------- other costs


@pytest.mark.parametrize(
    ("cost", "times"),
    [
        ({}, [0]),
        ({"every_months": 5}, [0, 5, 10, 15, 20]),
        ({"life_years": 1}, [0, 12]),
        ({"life_years": 1.4}, [0, 17]),
        ({"from_date": "2027-07-01"}, [6]),
        ({"from_date": "2027-07-01", "every_months": 9}, [6, 15]),
        ({"builds": ["box"]}, [0]),
        ({"builds": ["other"]}, []),
    ],
)
def test_other_costs_come_once_or_again_at_prices_of_the_month(small, cost, times):
    """Prices of everything else rise by 21 in 100 a year: by a tenth every six months."""
    raw = small.as_written()
    raw["builds"]["other"] = dict(raw["builds"]["box"])
    raw["costs"] = {"thing": {"price": 100, **cost}}
    raw["prices"]["inflation_per_year"] = 0.21
    money = evaluate(with_tables(small, raw)).builds[0].money
    expected = sum(100 * 1.1 ** (month / 6) for month in times)
    assert money.present_cost_by_category["other costs"] == pytest.approx(expected)
    assert money.upfront_cost.point == pytest.approx(
        1420 + (100 if 0 in times and "every_months" not in cost else 0)
    )


# ---------------------------------------------------------------- care, migration


def test_a_shelf_takes_its_share_of_care(small):
    """Shelf in month 7 (80 of 70 TB): 24 h, a quarter of it for 17 months, six orders of 2 h."""
    shelved = with_tables(
        small.varied({"running.further_box_care_fraction": 0.25}),
        {"builds.box.shelf": {"bays": 4, "price": 300, "drives_at_first": 4}},
    )
    cost = evaluate(shelved).builds[0].money.present_cost_by_category
    assert cost["labour"] == pytest.approx(10 * (24 + 0.25 * 17 + 6 * 2))


def test_a_further_box_that_has_not_come_yet_takes_no_care(small):
    """Each comes a year after its order, none within the twelve months: 12 h of the first box."""
    late = {"horizon_months": 12, "builds.box.lead_time_months": 12}
    with_care, without = (
        evaluate(further(small, {**late, "running.care_h_per_month": hours})).builds[0]
        for hours in (1, 0)
    )
    assert with_care.capacity.further_boxes.point > 0
    labour = [each.money.present_cost_by_category["labour"] for each in (with_care, without)]
    assert labour[0] - labour[1] == pytest.approx(10 * 12)


def test_a_further_box_that_wears_out_is_replaced_too(small):
    """Boxes live for two years of three: those of months 0 and 7 have successors in 24 and 31."""
    short = further(small, {"builds.box.box_life_years": 2, "horizon_months": 36})
    rows = evaluate(short).builds[0].money.purchases
    assert [row.month for row in rows if row.what == "box"] == [0, 24]
    further_rows = [row.month for row in rows if row.what == "further box"]
    assert further_rows == [7, 14, 21, 28, 31, 35]


def test_a_copy_that_is_full_costs_rent_for_what_it_holds(small):
    """10, 20, 30, 40, then 45 TB at 3: what goes beyond is not copied and not paid for."""
    far = {"another_building": True, "price_per_tb_month": 3, "capacity_tb": 45}
    build = evaluate(with_tables(small, {"copies": {"far": far}})).builds[0]
    held = sum(min(10 * month, 45) for month in range(1, 25))
    assert build.money.present_cost_by_category["copies"] == pytest.approx(3 * held)
    assert build.capacity.copies_full_months["far"].point == 4


def test_a_place_elsewhere_is_paid_for_each_of_its_copies(small):
    """Two copies: rent, media and the hours of bringing it there twice; fetching none."""
    raw = small.as_written()
    raw["keep"]["all"] = {
        "steps": [{"after_months": 6, "keep_fraction": 0, "rest_goes_to": "vault"}],
        "fetched_back_fraction_per_year": 0,
    }
    vault = {"price_per_tb_month": 2, "copies": 2, "handling_h_per_tb": 0.5,
             "media_price_per_tb": 7}  # fmt: skip
    raw["elsewhere"] = {"vault": vault}
    costs = evaluate(scenario_from(raw, source="vault")).builds[0].money.present_cost_by_category
    moved = [10 * max(0, month - 6) for month in range(1, 25)]
    paid = 2 * 2 * sum(moved) + 2 * (7 + 0.5 * 10) * moved[-1]
    assert costs["archive"] == pytest.approx(paid)


@pytest.mark.parametrize(("day", "dearest"), [("2027-06-01", 0), ("2028-06-01", 1)])
def test_the_dearest_later_year_may_be_the_first_without_its_first_month(small, day, dearest):
    late = with_tables(small, {"costs.late": {"price": 20000, "from_date": day}})
    money = evaluate(late).builds[0].money
    paid = outcomes_by_key(sampler(late).middle())["box"].flow.paid_cost_by_month
    by_year = money.cost_by_year.point.copy()
    by_year[0] -= paid[0, 0, 0]
    assert by_year.argmax() == dearest
    assert money.dearest_later_year_cost.point == pytest.approx(by_year[dearest])
    assert money.dearest_later_year_cost_by_draw.tolist() == [money.dearest_later_year_cost.point]


@pytest.mark.parametrize(("day", "times"), [(None, 8), ("2027-01-01", 8), ("2027-03-01", 8),
                                            ("2027-04-01", 7), ("2027-02-01", 8)])  # fmt: skip
def test_what_comes_again_is_due_from_its_first_month_on(small, day, times):
    """Every three months of 24: from month 0, 1 or 2 eight times, from month 3 seven."""
    again = {"price": 10, "every_months": 3} | ({} if day is None else {"from_date": day})
    costs = evaluate(with_tables(small, {"costs.again": again})).builds[0].money
    assert costs.present_cost_by_category["other costs"] == pytest.approx(10 * times)


def test_what_is_paid_by_year_in_todays_money(small):
    """By hand: 1,000 in month 13 of a scenario with a rate of a tenth."""
    plain = small.varied({"discount_rate_per_year": 0.1})
    late = with_tables(plain, {"costs.late": {"price": 1_000, "from_date": "2028-02-01"}})
    one, other = (evaluate(each).builds[0].money for each in (plain, late))
    more = other.present_cost_by_year - one.present_cost_by_year
    assert more.tolist() == pytest.approx([0, 1_000 * 1.1 ** (-13 / 12)])


def test_the_years_and_what_is_left_at_the_end_are_all_costs(demo):
    for build in evaluate(demo, draws=40).builds:
        money = build.money
        assert money.present_cost_by_year.shape == (7,)
        left = money.present_cost_by_category[NOT_PAID]
        assert left < 0
        assert money.present_cost_by_year.sum() + left == pytest.approx(money.net_present_cost.mean)
    grid = evaluate(demo, draws=5, positions={"discount_rate_per_year": [0.0, 0.1]})
    years = grid.builds[0].money.present_cost_by_year
    assert years.shape == (2, 7)
    # Month 0 counts in full at any rate, what comes later for less.
    assert (years[0, 1:] > years[1, 1:]).all()
