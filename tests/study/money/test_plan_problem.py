"""What the planner is asked: every field by hand, for a studio that can be worked out by hand."""

from typing import Any

import numpy as np
import pytest
from study.small import FURTHER, owned, with_tables

from storagecalc import Scenario
from storagecalc.models.expansion import DriveOption, OwnedLot, OwnedPool, Problem, UnitOption
from storagecalc.study.money.plan_problem import plan_problem
from storagecalc.study.money.planning import further_box
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.money.unmet_price import further_box_price_by_month
from storagecalc.study.sampling import sampler

MONTHS = np.arange(24)
SHARE = "share of a further box"
REQUIRED = np.linspace(5.0, 50.0, 24)
SHELF = {"bays": 6, "price": 400, "drives_at_first": 3, "shelves_at_most": 2, "power_w": 20}
TEN = {"size_tb": 10, "price": 100, "failures_per_drive_year": 0.012, "power_w": 10,
       "warranty_years": 1, "service_life_years": 10}  # fmt: skip
# A drive of ten: 10 W at 1 a kWh; 0.001 fail a month, in nine of ten years out of warranty.
RUNNING = 7.3 + 0.001 * 0.9 * 100


def asked(small: Scenario, **tables: Any) -> Problem:
    middle = sampler(with_tables(small, tables)).middle()
    build = middle.builds["box"]
    return plan_problem(middle, build, price_paths(middle), further_box(middle), SHARE, REQUIRED)


def menu(small: Scenario, **tables: Any) -> dict[str, DriveOption]:
    return {option.key: option for option in asked(small, **tables).drive_options}


def test_rules_and_prices_of_all_orders(small):
    problem = asked(small)
    np.testing.assert_array_equal(problem.required_tb_by_month, REQUIRED)
    assert (problem.boxes_at_most, problem.lead_time_months, problem.owned) == (1, 0, ())
    assert (problem.sell_at_end, problem.allow_swap, problem.first_order_waits) == (
        True, False, False,
    )  # fmt: skip
    assert problem.discount_rate_per_year == 0
    assert problem.plannable_fraction == 1
    assert not problem.swap_cost_by_month.any()


def test_what_can_be_planned_with_is_the_share_left_of_usable_space(small):
    left = {
        "filling.formatting_fraction": 0.1,
        "filling.snapshot_fraction": 0.2,
        "filling.free_fraction": 0.25,
    }
    assert asked(small, **left).plannable_fraction == pytest.approx(0.9 * 0.8 * 0.75)
    assert asked(small, discount_rate_per_year=0.07).discount_rate_per_year == 0.07


@pytest.mark.parametrize(("months", "whole"), [(0, 0), (2, 2), (2.1, 3), (23, 23), (24, 23)])
def test_the_lead_time_is_whole_months_within_the_horizon(small, months, whole):
    assert asked(small, **{"builds.box.lead_time_months": months}).lead_time_months == whole


def test_where_no_order_comes_in_time_none_is_possible(small):
    """What waits for a delivery of 24 months never stands in 24 months; a first box does."""
    late, box = {"builds.box.lead_time_months": 23.5}, {"owned.old": owned((4, 1))}
    for own in ({"builds.box.keeps": ["old"]}, {"builds.box.drives_from": "old"}):
        [option] = asked(small, **late, **box, **own).drive_options
        assert option.last_order_month == -1
        [option] = asked(small, **{"builds.box.lead_time_months": 23}, **box, **own).drive_options
        assert option.last_order_month is None
    [option] = asked(small, **late).drive_options
    assert option.last_order_month is None


def test_a_drive_costs_its_price_power_and_failures(small):
    [option] = asked(small).drive_options
    assert (option.key, option.size_tb, option.first_order_month) == ("ten", 10, 0)
    assert option.last_order_month is None
    assert option.value_kept_per_year_fraction == 0.7
    assert option.price_by_month == pytest.approx(np.full(24, 100.0))
    assert option.running_cost_by_month == pytest.approx(np.full(24, RUNNING))


def test_prices_move_as_in_the_ledger(small):
    """A quote to the end of March, then the trend; thrice the price in the shortage's months."""
    moving = {
        "prices.drive_change_per_year": 0.2,
        "prices.electricity_change_per_year": 0.1,
        "prices.drive_value_kept_per_year_fraction": 0.5,
        "drives.ten.price_holds_until_date": "2027-03-10",
        "shortages.flood": {"from_date": "2027-09-01", "months": 4, "price_factor": 3},
    }
    [option] = asked(small, **moving).drive_options
    trend = 100 * 1.2 ** (MONTHS / 12)
    price = np.where(MONTHS <= 2, 100, trend) * np.where((MONTHS >= 8) & (MONTHS < 12), 3, 1)
    assert option.price_by_month == pytest.approx(price)
    power = 7.3 * 1.1 ** (MONTHS / 12)
    assert option.running_cost_by_month == pytest.approx(power + 0.0009 * price)
    assert option.value_kept_per_year_fraction == 0.5


@pytest.mark.parametrize(("warranty_years", "uncovered"), [(0, 1), (1, 0.9), (4, 0.6), (10, 0)])
def test_failures_are_paid_for_in_the_share_of_life_without_warranty(
    small, warranty_years, uncovered
):
    [option] = asked(small, **{"drives.ten.warranty_years": warranty_years}).drive_options
    assert option.running_cost_by_month[0] == pytest.approx(7.3 + 0.1 * uncovered)


def test_a_warranty_beyond_the_life_pays_for_nothing_more(small):
    lives = {"drives.ten.warranty_years": 6, "drives.ten.service_life_years": 4}
    [option] = asked(small, **lives).drive_options
    assert option.running_cost_by_month[0] == pytest.approx(7.3)


def test_every_class_is_on_the_menu_until_it_goes_out_of_sale(small):
    found = menu(
        small,
        **{
            "drives.twenty": {**TEN, "size_tb": 20, "available_until_date": "2027-06-15"},
            "drives.five": {**TEN, "size_tb": 5, "available_until_date": "2026-02-01"},
            "drives.two": {**TEN, "size_tb": 2, "available_until_date": "2027-01-20"},
        },
    )
    last = {key: option.last_order_month for key, option in found.items()}
    assert last == {"ten": None, "twenty": 5, "five": -1, "two": 0}


@pytest.mark.parametrize(
    ("other", "chosen"),
    [
        ({"price": 99}, "other"),
        ({"price": 100}, "ten"),
        ({"price": 101}, "ten"),
        ({"price": 50, "available_until_date": "2028-11-30"}, "ten"),
        ({"price": 50, "available_until_date": "2028-12-01"}, "other"),
        ({"price": 50, "available_until_date": "2026-12-31"}, "ten"),
    ],
)
def test_of_two_of_one_size_there_is_the_one_longer_on_sale_then_the_cheaper(small, other, chosen):
    assert list(menu(small, **{"drives.other": {**TEN, **other}})) == [chosen]


def test_of_two_of_one_size_there_is_always_the_one_that_is_owned(small):
    own = {
        "drives.cheap": {**TEN, "price": 10},
        "drives.mine": {**TEN, "price": 500, "available_until_date": "2026-12-01"},
        "drives.cheaper": {**TEN, "price": 5},
        "owned.old": owned((4, 1), drives="mine"),
        "builds.box.drives_from": "old",
    }
    assert list(menu(small, **own)) == ["mine"]


def test_a_box_costs_its_price_power_and_failures(small):
    box = {
        "prices.box_change_per_year": 0.1,
        "prices.box_value_kept_per_year_fraction": 0.6,
        "builds.box.box_price_holds_until_date": "2027-02-01",
        "builds.box.box_failures_per_year": 0.06,
        "builds.box.box_warranty_years": 4,
        "builds.box.hot_spares": 1,
        "builds.box.grows_by": "groups",
        "builds.box.drives_per_step": 2,
    }
    [option] = asked(small, **box).unit_options
    assert isinstance(option, UnitOption)
    price = np.where(MONTHS <= 1, 1000, 1000 * 1.1 ** (MONTHS / 12))
    assert option.price_by_month == pytest.approx(price)
    assert option.running_cost_by_month == pytest.approx(43.8 + 0.005 * 0.6 * price)
    assert (option.key, option.bays, option.redundancy) == ("box", 8, "single parity")
    assert (option.hot_spares, option.drives_at_first, option.drives_per_step) == (1, 4, 2)
    assert (option.value_kept_per_year_fraction, option.at_most) == (0.6, 1)
    assert option.needs_one_of == ()


def test_a_shelf_costs_its_price_power_and_a_share_of_care(small):
    shelf = {
        "prices.box_change_per_year": 0.1,
        "prices.inflation_per_year": 0.05,
        "prices.electricity_change_per_year": 0.2,
        "running.further_box_care_fraction": 0.25,
        "running.care_h_per_month": 4,
        "prices.box_value_kept_per_year_fraction": 0.6,
        "builds.box.hot_spares": 1,
        "builds.box.shelf": SHELF,
    }
    _, option = asked(small, **shelf).unit_options
    assert option.price_by_month == pytest.approx(400 * 1.1 ** (MONTHS / 12))
    power, care = 14.6 * 1.2 ** (MONTHS / 12), 0.25 * 4 * 10 * 1.05 ** (MONTHS / 12)
    assert option.running_cost_by_month == pytest.approx(power + care)
    assert (option.key, option.bays, option.redundancy) == ("shelf", 6, "single parity")
    assert (option.hot_spares, option.drives_at_first, option.drives_per_step) == (0, 3, 1)
    assert (option.value_kept_per_year_fraction, option.at_most) == (0.6, 2)
    assert option.needs_one_of == ("box",)


def test_drives_are_swapped_only_where_that_is_how_it_grows(small):
    larger = {"drives.twenty": {**TEN, "size_tb": 20}, "builds.box.swap_to": "twenty"}
    filled = asked(small, **larger)
    assert not filled.allow_swap
    assert filled.unit_options[0].bays == 8
    grown = {**larger, "builds.box.grows_by": "swapping", "builds.box.shelf": SHELF}
    problem = asked(small, **grown, **{"prices.drive_sale_fraction": 0.4})
    assert problem.allow_swap
    assert [unit.bays for unit in problem.unit_options] == [4, 3]
    # It is sold when the month is over; the planner counts to the beginning of it.
    assert problem.swap_sale_fraction == pytest.approx(0.4 * 0.7 ** (1 / 12))
    assert asked(small, **grown).swap_sale_fraction == 0


def test_owned_drives_stand_and_fetch_nothing(small):
    own = {
        "owned.old": owned((1, 2.5), (5, 1)),
        "builds.box.drives_from": "old",
    }
    problem = asked(small, **own)
    lots = (
        OwnedLot(count=1, age_months=30.0, price_paid=0.0),
        OwnedLot(count=3, age_months=12.0, price_paid=0.0),
    )
    assert problem.owned == (OwnedPool(unit="box", drive="ten", lots=lots),)
    assert problem.unit_options[0].price_by_month[0] == 1000
    going_on = asked(small, **own, **{"builds.box.starts_in": "old", "builds.box.bays": 8})
    assert not going_on.unit_options[0].price_by_month.any()
    assert going_on.unit_options[0].running_cost_by_month[0] == pytest.approx(43.8)


def test_a_first_order_waits_beside_what_is_kept(small):
    kept = {"owned.old": owned((4, 1)), "builds.box.keeps": ["old"]}
    assert asked(small, **kept).first_order_waits
    assert not asked(small, **{"owned.old": owned((4, 1))}).first_order_waits


def test_an_order_costs_its_work_less_what_that_is_worth_at_the_end(small):
    """Two hours at 10; of those of month t, 0.7 a year is left after 24 months."""
    cost = asked(small).order_cost_by_month
    assert cost == pytest.approx(20 * (1 - 0.7 ** ((24 - MONTHS) / 12)))


def test_work_is_worth_no_more_than_it_costs_then_and_later_money_is_worth_less(small):
    moving = {"prices.inflation_per_year": -0.04, "discount_rate_per_year": 0.1}
    work = 20 * 0.96 ** (MONTHS / 12)
    left = 0.7 ** ((24 - MONTHS) / 12) * 20 * 0.96 ** (23 / 12)
    today = left * 1.1 ** ((MONTHS - 23) / 12)
    assert asked(small, **moving).order_cost_by_month == pytest.approx(work - today)
    rising = asked(small, **{"prices.inflation_per_year": 0.04}).order_cost_by_month
    assert rising == pytest.approx(20 * 1.04 ** (MONTHS / 12) * (1 - 0.7 ** ((24 - MONTHS) / 12)))


def test_work_on_what_is_worn_out_by_then_is_worth_nothing(small):
    """With drives of two years, that of the last two of three years is still of use."""
    lives = with_tables(small, {"horizon_months": 36, "drives.ten.service_life_years": 2})
    middle, months = sampler(lives).middle(), np.arange(36)
    build, paths = middle.builds["box"], price_paths(middle)
    problem = plan_problem(middle, build, paths, None, SHARE, np.zeros(36))
    worth = np.where(months >= 12, 0.7 ** ((36 - months) / 12), 0)
    assert problem.order_cost_by_month == pytest.approx(20 * (1 - worth))


@pytest.mark.parametrize(
    ("box", "first"),
    [
        ({}, 0.0),
        ({"starts_in": "old"}, 20 * (1 - 0.49)),
        ({"starts_in": "old", "cold_spares": 1}, 0.0),
        ({"drives_from": None}, 20 * (1 - 0.49)),
        ({"drives_from": None, "cold_spares": 1}, 20 * (1 - 0.49)),
    ],
)
def test_what_is_ordered_on_day_one_anyway_costs_no_further_work(small, box, first):
    """A new box for owned drives, or spares for the cupboard."""
    own = {"owned.old": owned((4, 1)), "builds.box.drives_from": "old"}
    own |= {f"builds.box.{key}": value for key, value in box.items()}
    cost = asked(small, **{key: value for key, value in own.items() if value is not None})
    assert cost.order_cost_by_month[0] == pytest.approx(first)
    assert cost.order_cost_by_month[1] == pytest.approx(20 * (1 - 0.7 ** (23 / 12)))


def test_what_finds_no_room_is_rented(small):
    dearer = asked(small, **{"prices.inflation_per_year": 0.06}).unmet_price_by_month
    assert dearer == pytest.approx(5 * 1.06 ** (MONTHS / 12))


def test_once_all_is_ordered_it_costs_its_share_of_a_further_box_and_bridging_until_then(small):
    middle = sampler(with_tables(small, FURTHER)).middle()
    share = further_box_price_by_month(middle, price_paths(middle), further_box(middle))
    cheap = asked(small, **{**FURTHER, "remedy.elsewhere_price_per_tb_month": 500})
    assert cheap.unmet_price_by_month == pytest.approx(np.full(24, 500.0))
    assert cheap.later_unmet_price_by_month == pytest.approx(share)
    # Where bridging is cheaper than a further box, it stays at that.
    dear = asked(small, **{**FURTHER, "remedy.elsewhere_price_per_tb_month": 2.2})
    assert dear.later_unmet_price_by_month == pytest.approx(np.minimum(2.2, share))
    assert share.min() < 2.2 < share.max()


def test_a_plan_may_take_it_to_be_bridged_to_the_end(small):
    middle = sampler(with_tables(small, FURTHER)).middle()
    build, prices = middle.builds["box"], price_paths(middle)
    bridged = plan_problem(middle, build, prices, further_box(middle), "bridging", REQUIRED)
    assert bridged.later_unmet_price_by_month is None
    rented = asked(small)
    assert rented.later_unmet_price_by_month is None


def test_one_future_is_asked_for_in_its_own_prices(small):
    """A range of the price of drives: each future has its own, whatever it stands beside."""
    ranged = with_tables(small, {"drives.ten.price": {"low": 50, "middle": 100, "high": 170}})
    sample = sampler(ranged, draws=3)
    prices = []
    for draw in range(3):
        drawn = sample.futures(draw, draw + 1)
        box = drawn.builds["box"]
        problem = plan_problem(drawn, box, price_paths(drawn), further_box(drawn), SHARE, REQUIRED)
        prices.append(problem.drive_options[0].price_by_month[0])
    drawn = sample.futures(0, 3)
    assert prices == pytest.approx(drawn.drives["ten"].price[0, :, 0])
    assert len(set(prices)) == 3
