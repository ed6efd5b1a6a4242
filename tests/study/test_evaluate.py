"""The evaluation as a whole: what must hold whatever the numbers are."""

import math
from dataclasses import replace

import numpy as np
import pytest
from study.planned import planned
from study.small import outcomes_by_key, owned, with_tables

from storagecalc import ScenarioError, compare, evaluate
from storagecalc.study import evaluate as module
from storagecalc.study.decision.records import records
from storagecalc.study.money.planning import planning_futures
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.quantity import with_values


@pytest.fixture(scope="module")
def drawn(demo):
    return evaluate(demo, draws=300)


def test_scalars_are_the_point_whatever_the_draws(demo, drawn):
    for point, many in zip(evaluate(demo).builds, drawn.builds, strict=True):
        assert point.money.net_present_cost.point == many.money.net_present_cost.point
        assert point.money.purchases == many.money.purchases
        for name in ("rebuild_h", "read_error_probability"):
            assert getattr(point.loss, name) == getattr(many.loss, name)


def test_loss_of_its_own_pools_is_the_same_whatever_is_drawn(demo):
    """Further boxes and the TB in one pool follow every future; everything else the middle."""
    rented = demo.varied({"remedy.kind": "held elsewhere"})
    for point, many in zip(evaluate(rented).builds, evaluate(rented, draws=60).builds, strict=True):
        for name in type(point.loss).__slots__:
            if name != "lost_at_once_tb":
                assert getattr(point.loss, name) == getattr(many.loss, name), name


def test_percentiles_equal_the_point_without_draws(demo):
    for build in evaluate(demo).builds:
        cost = build.money.net_present_cost
        assert cost.point == cost.p10 == cost.p50 == cost.p90 == build.money.net_present_cost.mean


def test_percentiles_rise(drawn):
    for build in drawn.builds:
        for spread in (
            build.money.net_present_cost,
            build.capacity.first_fill_months,
            build.capacity.headroom_months,
        ):
            assert spread.p10 <= spread.p50 <= spread.p90
    held_tb = drawn.held_tb_by_month
    assert np.all(held_tb.p10 <= held_tb.p50)
    assert np.all(held_tb.p50 <= held_tb.p90)


def test_the_same_seed_gives_the_same_futures_and_another_does_not(demo, drawn):
    again, other = evaluate(demo, draws=300), evaluate(demo, draws=300, seed=1)
    for one, same, different in zip(drawn.builds, again.builds, other.builds, strict=True):
        assert np.array_equal(
            one.money.net_present_cost_by_draw, same.money.net_present_cost_by_draw
        )
        assert not np.array_equal(
            one.money.net_present_cost_by_draw, different.money.net_present_cost_by_draw
        )


def test_a_new_range_changes_no_other_stream(demo):
    wider = demo.varied({"place.desk_m": {"low": 2, "middle": 3.5, "high": 6}})
    one, other = evaluate(demo, draws=50), evaluate(wider, draws=50)
    assert np.array_equal(
        one.builds[0].money.net_present_cost_by_draw, other.builds[0].money.net_present_cost_by_draw
    )


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("drives.tb16.price", [300.0, 460.0, 700.0]),
        ("builds.eight_in_steps.lead_time_months", [0.0, 2.0, 9.0]),
        ("work.stage.shoot_days_per_month", [2.0, 5.0, 9.0]),
        ("drives.tb16.failures_per_drive_year", [0.005, 0.014, 0.06]),
        ("filling.free_fraction", [0.05, 0.15, 0.3]),
        ("keep.own_films.steps.0.keep_fraction", [0.3, 0.5, 0.8]),
        ("discount_rate_per_year", [0.0, 0.06, 0.2]),
        ("drives.tb16.service_life_years", [3.0, 5.0, 7.0]),
        ("builds.eight_at_once.box_warranty_years", [1.0, 3.0, 5.0]),
        ("rebuild.swap_wait_h", [0.0, 72.0, 300.0]),
        ("network.stream_mbit_s", [200.0, 400.0, 900.0]),
        ("needs.headroom_months", [12.0, 60.0, 84.0]),
        ("place.desk_m", [1.0, 3.5, 8.0]),
    ],
)
def test_a_grid_equals_one_scenario_after_another(demo, key, values):
    grid = evaluate(demo, draws=20, positions={key: values})
    for place, value in enumerate(values):
        alone = records(evaluate(demo.varied({key: value}), draws=20))
        for here, there in zip(records(grid.at(place)), alone, strict=True):
            here, there = dict(here), dict(there)
            assert here.pop("purchases") == []
            assert there.pop("purchases")
            _assert_close(here, there, key)


def _assert_close(here, there, where):
    if isinstance(here, dict):
        for name in here:
            _assert_close(here[name], there[name], f"{where}.{name}")
    elif isinstance(here, list):
        for one, other in zip(here, there, strict=True):
            _assert_close(one, other, where)
    elif isinstance(here, float):
        assert math.isclose(here, there, rel_tol=1e-9, abs_tol=1e-12), where
    else:
        assert here == there, where


def test_a_name_with_a_dot_is_no_way_into_another_table(damaged, raw):
    """``drives.tb16.x`` starts like a key of ``tb16`` and means the class of that longer name."""
    loaded = damaged({"drives": raw["drives"] | {"tb16.x": raw["drives"]["tb16"]}})
    changed = with_values(loaded, {"drives.tb16.x.price": 11.0, "drives.tb16.size_tb": 12.0})
    assert changed.drives["tb16.x"].price == 11.0
    assert changed.drives["tb16"].size_tb == 12.0
    assert changed.drives["tb16"].price == loaded.drives["tb16"].price
    assert changed.drives["tb16.x"].size_tb == loaded.drives["tb16.x"].size_tb


def test_grids_in_parts_equal_the_whole(demo, monkeypatch):
    positions = {"drives.tb16.price": np.linspace(300, 700, 7)}
    whole = evaluate(demo, draws=10, positions=positions)
    monkeypatch.setattr("storagecalc.study.evaluate.CELLS_AT_ONCE", 2 * 10 * 84)
    parts = evaluate(demo, draws=10, positions=positions)
    for one, other in zip(whole.builds, parts.builds, strict=True):
        for name in ("net_present_cost", "cost_by_year"):
            here, there = getattr(one.money, name), getattr(other.money, name)
            # Arrays of another length may be added up in another order.
            np.testing.assert_allclose(here.p10, there.p10, rtol=1e-12)
            np.testing.assert_allclose(here.p90, there.p90, rtol=1e-12)


@pytest.mark.parametrize(
    ("positions", "words"),
    [
        ({"drives.tb16.prise": [1.0]}, "did you mean"),
        ({"drives.tb16.price": [-1.0]}, "must be from 1"),
        ({"drives.tb16.price": [math.nan]}, "finite"),
        ({"drives.tb16.price": []}, "at least one"),
        ({"drives.tb16.price": "dear"}, "drives.tb16.price"),
        ({"builds.eight_at_once.bays": [8, 9]}, "varied"),
        ({"drives.tb16.price": [1.0, 2.0], "place.desk_m": [1.0]}, "one length"),
    ],
)
def test_bad_positions_are_named(demo, positions, words):
    with pytest.raises(ScenarioError, match=words):
        evaluate(demo, positions=positions)


@pytest.mark.parametrize("bad", [-1, 1.5, "many", True, math.inf])
def test_bad_draws_and_seeds_are_named(demo, bad):
    with pytest.raises(ValueError, match="draws must be a whole number"):
        evaluate(demo, draws=bad)
    with pytest.raises(ValueError, match="seed must be a whole number"):
        evaluate(demo, seed=bad)


def test_categories_add_up_and_the_total_is_the_present_value(demo):
    for key, outcome in outcomes_by_key(sampler(demo, draws=40).futures(0, 40)).items():
        flow = outcome.flow
        total = sum(flow.cost_by_category.values())
        assert np.allclose(total, flow.cost_by_month, rtol=1e-12, atol=0), key
        factors = 1.06 ** -(np.arange(84) / 12)
        present = (flow.cost_by_month * factors).sum(-1, keepdims=True)
        assert np.allclose(present, flow.net_present_cost, rtol=1e-12)


def test_futures_in_blocks_are_the_same_futures(demo, monkeypatch):
    lumpy = demo.varied({"work.stage.jobs_per_month": {"low": 1, "middle": 2, "high": 4}})
    whole = evaluate(lumpy, draws=50)
    monkeypatch.setattr("storagecalc.study.evaluate.CELLS_AT_ONCE", 7 * 84)
    monkeypatch.setattr("storagecalc.study.axes.SORTED_AT_ONCE", 1000)
    blocks = evaluate(lumpy, draws=50)
    assert np.array_equal(whole.held_tb_by_month.p90, blocks.held_tb_by_month.p90)
    for one, other in zip(whole.builds, blocks.builds, strict=True):
        assert one.alternative == other.alternative
        for name in ("net_present_cost_by_draw", "dearest_later_year_cost_by_draw"):
            assert np.array_equal(getattr(one.money, name), getattr(other.money, name))
        assert np.array_equal(one.money.cost_by_year.p10, other.money.cost_by_year.p10)
        assert one.capacity.first_order_months == other.capacity.first_order_months


def test_an_order_that_only_some_blocks_place_is_joined_like_any_other(small, monkeypatch):
    """All of the box is owned: there is work in month 0 only where a step is due at once."""
    all_owned = with_tables(
        small,
        {
            "owned.old": owned((4, 1)),
            "builds.box.drives_from": "old", "builds.box.starts_in": "old",
            "work.shoots.stored_today_tb": 4,
            "work.shoots.shoot_days_per_month": {"low": 10, "middle": 15, "high": 25},
        },
    )  # fmt: skip
    whole = evaluate(all_owned, draws=60).builds[0].money
    monkeypatch.setattr("storagecalc.study.evaluate.CELLS_AT_ONCE", 3 * 24)
    blocks = evaluate(all_owned, draws=60).builds[0].money
    for one, other in zip(whole.orders, blocks.orders, strict=True):
        assert one.what == other.what
        assert np.array_equal(one.month, other.month)
        assert np.array_equal(one.cost, other.cost)
    work = next(order for order in whole.orders if order.what == "work")
    placed = np.isfinite(work.month[:, 0])
    assert 0 < placed.sum() < 60
    assert np.array_equal(work.cost[:, 0], np.where(placed, 20.0, 0.0))


def test_more_draws_than_fit_are_refused(demo):
    with pytest.raises(ValueError, match="draws must be at most 100,000"):
        evaluate(demo, draws=100_001)


def test_every_build_is_costed_for_the_same_footage(demo):
    split = demo.varied(
        {
            "builds.eight_at_once.drives_at_first": 4,
            "builds.eight_at_once.order_at_fraction": 0.5,
        }
    )
    one, other = evaluate(demo, draws=50), evaluate(split, draws=50)
    assert np.array_equal(one.held_tb_by_month.p90, other.held_tb_by_month.p90)


def test_lead_time_moves_drives_cost_loss_and_power(demo):
    key = "builds.eight_in_steps.lead_time_months"
    soon, late = (evaluate(demo.varied({key: months})).builds[1] for months in (0, 12))
    assert soon.capacity.drive_failures.point > late.capacity.drive_failures.point
    assert soon.money.net_present_cost.point != late.money.net_present_cost.point
    assert soon.loss.box_loss_probability != late.loss.box_loss_probability
    assert soon.site.power_w > late.site.power_w
    assert late.capacity.unmet_tb_months > soon.capacity.unmet_tb_months


def test_a_small_build_pays_the_remedy(demo):
    small = demo.varied({"builds.eight_at_once.bays": 4, "builds.eight_at_once.drives_at_first": 4})
    cheap, full = evaluate(small).builds[0], evaluate(demo).builds[0]
    assert cheap.money.remedy_cost.point > full.money.remedy_cost.point
    assert cheap.capacity.unmet_tb_months > 0


@pytest.mark.parametrize("kind", ["next box", "held elsewhere", "early cull"])
def test_no_remedy_is_free(demo, kind):
    other = demo.varied({"remedy.kind": kind, "builds.eight_at_once.drives_at_first": 4,
                         "builds.eight_at_once.bays": 4})  # fmt: skip
    assert evaluate(other).builds[0].money.remedy_cost.point > 0


def test_more_footage_never_lengthens_headroom_and_a_stricter_rule_never_shortens_it(demo):
    last = None
    for days in (2.0, 4.0, 6.0, 9.0):
        result = evaluate(demo.varied({"work.stage.shoot_days_per_month": days}))
        headroom = [build.capacity.headroom_months.point for build in result.builds]
        assert last is None or all(
            now <= before for now, before in zip(headroom, last, strict=True)
        )
        last = headroom
    last = None
    for share in (0.9, 0.6, 0.3, 0.2):
        result = evaluate(demo.varied({"keep.own_films.steps.0.keep_fraction": share}))
        headroom = [build.capacity.headroom_months.point for build in result.builds]
        assert last is None or all(
            now >= before for now, before in zip(headroom, last, strict=True)
        )
        last = headroom


def test_more_redundancy_never_raises_loss(demo):
    chances = [
        evaluate(demo.varied({"builds.eight_at_once.redundancy": kind})).builds[0].loss
        for kind in ("none", "single parity", "double parity", "triple parity")
    ]
    by_kind = [loss.box_loss_probability for loss in chances]
    assert by_kind == sorted(by_kind, reverse=True)
    assert all(loss.box_loss_probability_low < loss.box_loss_probability_high for loss in chances)


def test_compare_has_one_row_a_build_and_no_gaps(drawn):
    frame = compare(drawn)
    assert list(frame["name"]) == [build.name for build in drawn.builds]
    numbers = frame.select_dtypes("number")
    assert "net_present_cost" in numbers
    assert "headroom_months_p10" in frame


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


@pytest.mark.parametrize(
    ("costs", "chosen"),
    [([1.0, 2.0, 3.0], 0), ([2.0, 1.0, 3.0], 1), ([3.0, 1.0, 2.0], 1), ([3.0, 2.0, 1.0], 2),
     ([1.0, 1.0, 1.0], 0)],
)  # fmt: skip
def test_of_several_plans_the_one_that_costs_least_is_followed(small, monkeypatch, costs, chosen):
    sample = sampler(planned(small))
    plan = module.purchase_plans(sample)["box"]
    plans = [{"box": replace(plan, orders=plan.orders[:count])} for count in (1, 2, 3)]
    cost_of = {each["box"].orders: cost for each, cost in zip(plans, costs, strict=True)}
    monkeypatch.setattr(module, "plan_candidates", lambda _: tuple(plans))
    monkeypatch.setattr(module, "planning_futures", lambda _: "futures")

    def mean_costs(drawn, tried):
        assert drawn == "futures"
        return {"box": cost_of[tried["box"].orders]}

    monkeypatch.setattr(module, "_mean_costs", mean_costs)
    assert module.purchase_plans(sample) == plans[chosen]


def test_a_plan_is_judged_by_its_mean_cost_in_the_futures_that_it_is_made_for(small):
    uncertain = planned(
        small, **{"work.shoots.shoot_days_per_month": {"low": 6, "middle": 10, "high": 16}}
    )
    two = with_tables(uncertain, {"builds.rule": small.as_written()["builds"]["box"]})
    sample = sampler(two, seed=3)
    plans = module.purchase_plans(sample)
    found = module._mean_costs(planning_futures(sample), plans)
    box = evaluate(two, draws=500, seed=3, plans=plans).builds[0]
    assert found == {"box": pytest.approx(box.money.net_present_cost.mean)}


def test_a_grid_without_plans_keeps_one_evaluation_for_all_places(small):
    grid = evaluate(small, positions={"running.care_h_per_month": [1.0, 2.0]})
    assert grid.places == ()
    assert grid.builds[0].money.orders
