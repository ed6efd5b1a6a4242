"""What must hold whatever the numbers are: across alternatives, causes, boxes and horizons."""

from dataclasses import fields, is_dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study.small import SMALL, further, outcomes_by_key, with_tables

from storagecalc import evaluate, load_scenario
from storagecalc.study.money.categories import CATEGORIES, NOT_PAID
from storagecalc.study.outcome import kept
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from

EXAMPLES = sorted((Path(__file__).parents[2] / "data_examples").glob("*.toml"))
DRAWS = 12
FEW = settings(max_examples=8)
SHARE = st.floats(0.0, 0.95)
CHANGE = st.floats(-0.3, 0.3)


def futures(scenario, draws=DRAWS):
    sample = sampler(scenario, draws=draws)
    return outcomes_by_key(sample.futures(0, draws) if draws else sample.middle())


def leaves(value, where=""):
    """Every number and text in a result, by its way."""
    if is_dataclass(value):
        for each in fields(value):
            yield from leaves(getattr(value, each.name), f"{where}.{each.name}")
    elif isinstance(value, (dict, tuple)):
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for name, part in items:
            yield from leaves(part, f"{where}[{name}]")
    else:
        yield where, value


# ---------------------------------------------------------------- alternatives


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_another_alternative_changes_no_numbers_of_those_there(path):
    scenario = load_scenario(path)
    first = next(iter(scenario.builds))
    more = with_tables(
        scenario,
        {
            "builds.added": scenario.as_written()["builds"][first] | {"name": "one more"},
            "options.habit": {"build": first, "cull_sooner_months": 2},
        },
    )
    found = {build.key: build for build in evaluate(more, draws=DRAWS).builds}
    assert {"added", "habit"} <= set(found)
    for build in evaluate(scenario, draws=DRAWS).builds:
        same = found[build.key]
        for topic in ("money", "capacity", "loss", "speed", "site"):
            here, there = (getattr(each, topic) for each in (build, same))
            for (where, one), (_, other) in zip(leaves(here), leaves(there), strict=True):
                np.testing.assert_array_equal(one, other, err_msg=where)


@FEW
@given(days=st.floats(2, 20), price=st.floats(10, 900), lead=st.floats(0, 9))
def test_a_build_costs_the_same_beside_any_other(days, price, lead):
    small = scenario_from(SMALL, source="by hand")
    alone = further(small, {"work.shoots.shoot_days_per_month": days})
    other = {**SMALL["builds"]["box"], "box_price": price, "lead_time_months": lead}
    beside = with_tables(alone, {"builds.other": other})
    one, two = (futures(each, 0)["box"].flow for each in (alone, beside))
    np.testing.assert_array_equal(one.cost_by_month, two.cost_by_month)


# ---------------------------------------------------------------- causes


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_causes_add_up_to_the_cost_of_every_future(path):
    for key, outcome in futures(load_scenario(path)).items():
        found = kept(outcome, DRAWS)
        assert list(found.present_cost_by_category) != []
        assert set(found.present_cost_by_category) == set(CATEGORIES)
        total = sum(found.present_cost_by_category.values())
        np.testing.assert_allclose(total, found.net_present_cost, rtol=1e-11, err_msg=key)
        assert np.all(found.remedy_cost <= total - found.present_cost_by_category[NOT_PAID])
        paid = sum(outcome.flow.cost_by_category[name] for name in CATEGORIES if name != NOT_PAID)
        np.testing.assert_allclose(paid, outcome.flow.paid_cost_by_month, rtol=1e-11)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_means_of_causes_add_up_to_the_headline(path):
    for build in evaluate(load_scenario(path), draws=60).builds:
        causes = build.money.present_cost_by_category
        assert sum(causes.values()) == pytest.approx(build.money.net_present_cost.mean, rel=1e-11)
        assert causes[NOT_PAID] <= 0


# ---------------------------------------------------------------- further boxes


@FEW
@given(
    change=CHANGE, inflation=st.floats(-0.05, 0.2), electricity=st.floats(-0.1, 0.2),
    days=st.floats(6, 25), life=st.floats(2, 4), warranty=st.floats(0, 3),
    order_at=st.floats(0.3, 1), spares=st.integers(0, 2),
)  # fmt: skip
def test_further_boxes_repeat_the_first_from_their_month_on_at_its_prices(
    change, inflation, electricity, days, life, warranty, order_at, spares
):
    """Where the next box is the build itself, without lead time and with all bays full: what a
    box costs in its third month costs the same later but for the prices. Care is a share instead,
    and migration comes on top."""
    small = scenario_from(SMALL, source="by hand")
    same = further(
        small,
        {
            "horizon_months": 60, "builds.box.drives_at_first": 8,
            "work.shoots.shoot_days_per_month": days, "builds.box.order_at_fraction": order_at,
            "prices.drive_change_per_year": change, "prices.box_change_per_year": change,
            "prices.inflation_per_year": inflation, "builds.box.cold_spares": spares,
            "prices.electricity_change_per_year": electricity,
            "drives.ten.service_life_years": life, "builds.box.box_life_years": life,
            "drives.ten.warranty_years": warranty, "builds.box.box_warranty_years": warranty,
            "builds.box.box_failures_per_year": 0.1,
        },
    )  # fmt: skip
    outcome = futures(same, 0)["box"]
    own, boxes = outcome.flow.holdings
    ordered = outcome.brought.further.boxes_ordered_by_month[0, 0]
    months = np.arange(60)
    for category, rise in (("box", change), ("drives", change), ("failures", change),
                           ("power", electricity)):  # fmt: skip
        first = own.cost_by_category[category][0, 0]
        expected = np.zeros(60)
        for month in np.flatnonzero(ordered):
            then = (1 + rise) ** (month / 12) * first[: 60 - month]
            expected[month:] += ordered[month] * then
        np.testing.assert_allclose(boxes.cost_by_category[category][0, 0], expected, rtol=1e-9)
    work = boxes.order_work_cost_by_month[0, 0]
    hours = ordered * (2 + 8)
    np.testing.assert_allclose(work, hours * 10 * (1 + inflation) ** (months / 12), rtol=1e-9)
    in_place = np.cumsum(ordered)
    care = boxes.cost_by_category["labour"][0, 0] - work
    expected = 0.25 * in_place * 10 * (1 + inflation) ** (months / 12)
    np.testing.assert_allclose(care, expected, rtol=1e-9, atol=1e-9)


# ---------------------------------------------------------------- worth at the end


@FEW
@given(box=SHARE, drive=SHARE, change=CHANGE, sold=st.floats(0, 1))
def test_worth_at_the_end_never_raises_a_cost(box, drive, change, sold):
    """In no future, for no build; and who keeps more is never dearer."""
    demo = load_scenario(EXAMPLES[-1])
    moved = {"prices.drive_change_per_year": change, "prices.drive_sale_fraction": sold}
    names = [f"prices.{what}_value_kept_per_year_fraction" for what in ("box", "drive")]
    none, some, more = (
        futures(demo.varied(moved | dict(zip(names, pair, strict=True))), 4)
        for pair in ((0.0, 0.0), (box, drive), (max(box, 0.9), max(drive, 0.9)))
    )
    for key, outcome in some.items():
        worth = -outcome.flow.cost_by_category[NOT_PAID]
        assert np.all(worth >= 0)
        assert not worth[..., :-1].any()
        bought = sum(outcome.flow.cost_by_category[name] for name in ("box", "drives", "shelf"))
        work = outcome.flow.cost_by_category["labour"]
        assert np.all(worth.sum(axis=-1) <= (bought + work).sum(axis=-1) * (1 + 1e-12))
        costs = [each[key].flow.net_present_cost for each in (more, some, none)]
        assert np.all(costs[0] <= costs[1] * (1 + 1e-12))
        assert np.all(costs[1] <= costs[2] * (1 + 1e-12))


# ---------------------------------------------------------------- a longer horizon


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("more", [1, 12])
def test_a_longer_horizon_changes_nothing_of_the_months_before(path, more):
    """What is held, ordered and paid, month by month; only what is left at the end moves."""
    scenario = load_scenario(path)
    months = scenario.horizon_months
    longer = futures(with_tables(scenario, {"horizon_months": months + more}), 5)
    for key, short in futures(scenario, 5).items():
        long = longer[key]
        for here, there in (
            (short.footage.held_tb_by_month, long.footage.held_tb_by_month),
            (short.grown.own.steps_ordered_by_month, long.grown.own.steps_ordered_by_month),
            (short.flow.paid_cost_by_month, long.flow.paid_cost_by_month),
            (short.power_w_by_month, long.power_w_by_month),
        ):
            np.testing.assert_allclose(here, there[..., :months], rtol=1e-10, err_msg=key)
