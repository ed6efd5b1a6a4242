"""Options beside buying, copies, and what can be quoted: equal service and sums that add up."""

import numpy as np
import pytest
from study.small import SMALL, outcomes_by_key, with_tables

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.study.decision.needs import standings
from storagecalc.study.decision.records import records
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.footage.footage import footage
from storagecalc.study.footage.options import option_footage
from storagecalc.study.outcome import kept
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from

SHELF = {"price_per_tb_month": 2.0, "fetch_h_per_tb": 0.0}


def small_with(**changes: object) -> Scenario:
    tables = {name.replace("__", "."): value for name, value in changes.items()}
    return with_tables(scenario_from(SMALL, source="by hand"), tables)


def moving(after_months: int = 4, **place: object) -> Scenario:
    return small_with(
        elsewhere__vault={**SHELF, **place},
        options__off={
            "build": "box", "to": "vault", "move_off_after_months": after_months,
            "needed_back_fraction_per_year": 0,
        },
    )  # fmt: skip


def test_moving_off_by_hand():
    """10 TB a month, four months on the box: 40 TB held, the rest in the vault at 2 a TB-month."""
    box, off = evaluate(moving()).builds
    assert (off.key, off.alternative.build_key, off.alternative.habit) == (
        "off",
        "box",
        "moving off",
    )
    assert off.name == "box, moved off after 4 months"
    assert off.capacity.headroom_months.point == np.inf
    moved = sum(10 * max(0, month - 4) for month in range(1, 25))
    assert off.money.present_cost_by_category["archive"] == pytest.approx(2 * moved)
    assert off.money.present_cost_by_category["rent"] == 0
    assert off.money.remedy_cost.point == 0
    assert box.money.present_cost_by_category["archive"] == 0
    assert off.capacity.drive_failures.point < box.capacity.drive_failures.point


def test_media_are_bought_once_for_each_copy_of_a_new_tb():
    shelf = {"price_per_tb_month": 0.0, "media_price_per_tb": 12.0, "handling_h_per_tb": 0.5}
    cost = evaluate(moving(**shelf, copies=2)).builds[1].money.present_cost_by_category["archive"]
    assert cost == pytest.approx(200 * 2 * (12 + 0.5 * 10))


def test_every_option_serves_the_same_footage(demo):
    raw = demo.as_written()
    raw["options"] = {
        "off": {"build": "eight_in_steps", "to": "vault", "move_off_after_months": 12},
        "sooner": {"build": "eight_in_steps", "cull_sooner_months": 6},
        "proxies": {"build": "eight_in_steps", "proxies_and_exports_fraction": 0},
    }
    scenario = scenario_from(raw, source="options")
    numbers = sampler(scenario, draws=60, seed=0).futures(0, 60)
    base = footage(numbers)
    for key, option in numbers.options.items():
        served = option_footage(numbers, option, base)
        assert np.array_equal(served.demanded_tb_by_month, base.demanded_tb_by_month), key
        assert np.all(served.held_tb_by_month <= base.held_tb_by_month + 1e-9), key
        if option.proxies_and_exports_fraction is None:
            moved = sum(served.moved_tb_by_month.values()) - sum(base.moved_tb_by_month.values())
            gone = base.held_tb_by_month - served.held_tb_by_month
            assert np.all(moved <= gone + 1e-9), key
            if option.to is not None:
                assert np.allclose(moved, gone, rtol=1e-12), key
            else:
                # Deleted once, at the time when the sooner rule thins it: each TB of the gap that
                # opens was deleted early, and more of them where older gaps close meanwhile.
                early = np.cumsum(served.deleted_early_tb_by_month, axis=-1)
                assert np.all(early >= gone - 1e-9), key
                assert np.all(served.deleted_early_tb_by_month >= 0), key


def test_stored_footage_moves_off_at_once_by_its_age():
    """24 TB of the last 24 months, all kept so far: 4 of them are younger than 4 months."""
    scenario = small_with(
        elsewhere__vault=SHELF,
        work__shoots__stored_today_tb=24,
        work__shoots__stored_oldest_months=24,
        work__shoots__shoot_days_per_month=0,
        options__off={"build": "box", "to": "vault", "move_off_after_months": 4},
    )
    numbers = sampler(scenario).middle()
    off = option_footage(numbers, numbers.options["off"], footage(numbers))
    np.testing.assert_allclose(off.held_tb_by_month[0, 0, :5], [3, 2, 1, 0, 0], atol=1e-9)
    np.testing.assert_allclose(off.moved_tb_by_month["vault"][0, 0, :5], [21, 22, 23, 24, 24])


def test_thinning_sooner_gives_up_what_the_later_rule_would_still_hold():
    """Half deleted after 6 months, or after 2: each month's 5 TB go early once, those of the last
    two months not yet, 22 times in all; what was stored today is none."""
    scenario = small_with(
        keep__all={"steps": [{"after_months": 6, "keep_fraction": 0.5}]},
        options__sooner={"build": "box", "cull_sooner_months": 4},
    )
    cost = evaluate(scenario).builds[1].money.present_cost_by_category
    assert cost["deleted early"] == pytest.approx(250 * 22 * 5)
    assert evaluate(scenario).builds[0].money.present_cost_by_category["deleted early"] == 0


def test_smaller_proxies_hold_less_and_give_up_nothing():
    scenario = small_with(
        work__shoots__proxies_and_exports_fraction=0.5,
        options__proxies={"build": "box", "proxies_and_exports_fraction": 0.1},
    )
    box, smaller = evaluate(scenario).builds
    assert smaller.capacity.first_fill_months.point > box.capacity.first_fill_months.point - 1e-9
    assert smaller.money.present_cost_by_category["deleted early"] == 0
    assert smaller.money.net_present_cost.point < box.money.net_present_cost.point


def test_moving_off_can_come_first_and_thinning_too(demo):
    raw = demo.as_written()
    raw["builds"] = {"eight_at_once": raw["builds"]["eight_at_once"]}
    del raw["costs"]
    raw["needs"]["headroom_months"] = 12
    raw["needs"]["cost_per_year"] = 90_000
    raw["needs"]["upfront_cost"] = 90_000
    raw["builds"]["eight_at_once"]["box_price"] = 30_000
    raw["work"]["stage"]["stored_today_tb"] = 60  # full soon in every future
    raw["needs"]["headroom_months"] = 1
    for option, habit in (
        ({"to": "vault", "move_off_after_months": 6}, "moving off"),
        ({"cull_sooner_months": 9}, "thinning sooner"),
    ):
        raw["options"] = {"habit": {"build": "eight_at_once", **option}}
        raw["remedy"]["cull_price_per_tb"] = 1
        found = verdict(evaluate(scenario_from(raw, source="option"), draws=200))
        assert found.recommended.build.alternative.habit == habit


def test_a_copy_has_its_price_and_its_fill_date():
    """A copy of 45 TB costs 500 and is full in month 4; a rented one takes 3 a TB-month."""
    scenario = small_with(
        copies__second={"another_building": True, "capacity_tb": 45, "price": 500},
        copies__third={"another_building": True, "price_per_tb_month": 3},
        needs__copies=2,
    )
    evaluation = evaluate(scenario)
    build = evaluation.builds[0]
    assert build.capacity.copies_full_months["second"].point == 4.0
    assert build.capacity.copies_full_months["third"].point == np.inf
    rent = 3 * sum(10 * month for month in range(1, 25))
    assert build.money.present_cost_by_category["copies"] == pytest.approx(500 + rent)
    need = next(
        need
        for need in next(s.needs for s in standings(evaluation) if s.build is build)
        if need.need == "copies"
    )
    assert (need.value, need.met) == (2, True)


def test_without_copies_the_need_for_two_is_not_met(demo):
    evaluation = evaluate(demo.varied({"needs.copies": 2}))
    assert all(
        not need.met
        for build in evaluation.builds
        for need in next(s.needs for s in standings(evaluation) if s.build is build)
        if need.need == "copies"
    )


def test_costs_by_kind_of_work_add_up_and_divide_by_shoot_days(demo):
    points = outcomes_by_key(sampler(demo).middle())
    futures = {key: kept(point, 1) for key, point in points.items()}
    for build in evaluate(demo).builds:
        own = futures[build.key]
        assert sum(own.held_fraction_by_work.values()) == pytest.approx(1.0)
        parts = [
            build.money.cost_per_shoot_day[key].point * own.shoot_days_by_work[key].item()
            for key in build.money.cost_per_shoot_day
        ]
        assert sum(parts) == pytest.approx(build.money.net_present_cost.point)
    raw = scenario_from(SMALL, source="by hand")
    alone = evaluate(raw).builds[0]
    days = alone.money.cost_per_shoot_day["shoots"].point
    assert days == pytest.approx(alone.money.net_present_cost.point / (24 * 10))


def test_records_name_the_habit(demo):
    assert [record["option"] for record in records(evaluate(demo))] == [None] * 3


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ({"build": "bix", "cull_sooner_months": 3}, 'did you mean "box"'),
        ({"build": "box"}, "one change of habit"),
        ({"build": "box", "move_off_after_months": 3}, "belong together"),
        ({"build": "box", "move_off_after_months": 3, "to": "vult"}, "must be one of"),
        (
            {"build": "box", "cull_sooner_months": 3, "proxies_and_exports_fraction": 0},
            "one change",
        ),
        ({"build": "box", "cull_sooner_months": 3, "name": "Box"}, "already the name"),
    ],
)
def test_contradictory_options_are_named(option, words):
    with pytest.raises(ScenarioError, match=words):
        small_with(elsewhere__vault=SHELF, options__x=option)


@pytest.mark.parametrize(
    "habit", [{"move_off_after_months": 6, "to": "shelf"}, {"cull_sooner_months": 3}]
)
def test_kinds_of_work_under_one_rule_leave_as_under_rules_of_their_own(small, habit):
    """What leaves is added up by rule: two rules that are alike must tell the same."""
    shoots = small.as_written()["work"]["shoots"] | {"stored_today_tb": 8}
    rule = {
        "fetched_back_fraction_per_year": 0.3,
        "steps": [
            {"after_months": 4, "keep_fraction": 0.7},
            {"after_months": 9, "keep_fraction": 0.2, "rest_goes_to": "shelf"},
        ],
    }
    works = {"a": shoots, "b": shoots | {"cameras": 2, "stored_oldest_months": 9}}
    for work in works.values():
        work["keep"] = "same"
    tables = {
        "work": works,
        "keep": {"same": rule, "other": rule},
        "elsewhere.shelf": {"price_per_tb_month": 1},
        "options.habit": {"build": "box", **habit},
    }
    one = with_tables(small, tables)
    two = with_tables(one, {"work.b.keep": "other"})
    for key, here in outcomes_by_key(sampler(one).middle()).items():
        there = outcomes_by_key(sampler(two).middle())[key].footage
        for name in ("moved_tb_by_month", "moved_in_tb_by_month", "fetched_tb_by_month"):
            mine, other = getattr(here.footage, name)["shelf"], getattr(there, name)["shelf"]
            assert mine.any()
            np.testing.assert_allclose(mine, other, rtol=1e-12)
        early = here.footage.deleted_early_tb_by_month
        np.testing.assert_allclose(early, there.deleted_early_tb_by_month, rtol=1e-12)
