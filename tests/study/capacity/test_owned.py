"""Boxes that are owned, by hand: what is kept counts as space, as long as it is kept."""

import math
from typing import Any

import numpy as np
import pytest
from study.small import SMALL, outcomes_by_key, owned, with_tables

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.study.decision.cautions import assumed, cautions
from storagecalc.study.decision.records import records
from storagecalc.study.outcome import Outcome
from storagecalc.study.sampling import sampler


def keeping(small: Scenario, changes: dict[str, Any] | None = None, **figures: Any) -> Scenario:
    """The small studio beside three drives with single parity, 20 TB, a year old."""
    box = owned((3, 1), **{"redundancy": "single parity", **figures})
    return with_tables(small, {"owned.old": box, "builds.box.keeps": ["old"], **(changes or {})})


def at_middle(scenario: Scenario) -> Outcome:
    return outcomes_by_key(sampler(scenario).middle())["box"]


def months_of(values: Any) -> list[float]:
    return np.broadcast_to(values, (1, 1, 24))[0, 0].tolist()


def test_what_is_kept_counts_as_space(small):
    """10 TB more a month: 30 and 20 TB are exceeded in month 5, 70 and 20 in month 9."""
    capacity = evaluate(keeping(small)).builds[0].capacity
    assert (capacity.first_fill_months.point, capacity.headroom_months.point) == (5, 9)
    np.testing.assert_allclose(capacity.plannable_tb_by_month[:8], [50] * 5 + [60, 70, 80])
    alone = evaluate(small).builds[0].capacity
    assert (alone.first_fill_months.point, alone.headroom_months.point) == (3, 7)
    assert capacity.ladder == alone.ladder


def test_the_space_that_would_last_as_long_as_asked_is_that_beside_it(small):
    """In the first twelve months at most 120 TB are held: 100 beside the 20 that are kept."""
    asked = {"needs.headroom_months": 12}
    assert evaluate(keeping(small, asked)).builds[0].capacity.asked_tb == 100
    assert evaluate(small.varied(asked)).builds[0].capacity.asked_tb == 120


def test_the_first_order_comes_a_lead_time_later_and_is_bridged(small):
    """20 TB stand until month 2, with 30 TB held in it; then 50 to the end of month 4."""
    waiting = keeping(small, {"builds.box.lead_time_months": 3})
    found = at_middle(waiting)
    ready = months_of(found.brought.plannable_tb_by_month)
    assert ready[:6] == [20, 20, 20, 50, 50, 50]
    assert months_of(found.flow.cost_by_category["rent"])[:6] == [0, 0, 50, 0, 0, 50]
    # Bought in month 0: its warranty runs, but it draws nothing until it stands.
    assert months_of(found.brought.own.drives["drives"].count_by_month)[:4] == [0, 0, 0, 4]
    assert months_of(found.power_w_by_month)[:4] == [90, 90, 90, 190]
    assert months_of(found.flow.holdings[0].bought_by_month["drives"])[:1] == [4]


def test_a_build_that_keeps_nothing_begins_with_its_first_delivery(small):
    late = {**SMALL["builds"]["box"], "lead_time_months": 3}
    both = keeping(small, {"builds.box.lead_time_months": 3, "builds.other": late})
    kept, other = (
        months_of(each.brought.own.plannable_tb_by_month)[0]
        for each in outcomes_by_key(sampler(both).middle()).values()
    )
    assert (kept, other) == (0, 30)


def test_where_nothing_is_ordered_nothing_waits(small):
    """It goes on in one owned box with its four drives and keeps another."""
    going_on = {
        "owned.first": owned((4, 1)), "builds.box.starts_in": "first",
        "builds.box.drives_from": "first", "builds.box.lead_time_months": 3,
    }  # fmt: skip
    found = at_middle(keeping(small, going_on))
    assert months_of(found.brought.plannable_tb_by_month)[:2] == [50, 50]
    assert found.flow.upfront_cost.item() == 0
    three = at_middle(keeping(small, {**going_on, "owned.first": owned((3, 1))}))
    assert months_of(three.brought.plannable_tb_by_month)[:4] == [20, 20, 20, 50]
    assert three.flow.upfront_cost.item() == 100 + 20


def test_the_rule_knows_when_what_is_kept_goes(small):
    """Kept for four months. A month ahead, 40 TB of month 3 are compared with 30: a drive a month
    from then on, each standing a month later."""
    going = {"builds.box.keeps_months": 4, "builds.box.lead_time_months": 1}
    found = at_middle(keeping(small, going))
    assert months_of(found.brought.plannable_tb_by_month)[:7] == [20, 50, 50, 50, 40, 50, 60]
    assert found.grown.rule_order_months.item() == 3
    assert found.grown.first_fill_months.item() == 4
    assert found.grown.order_by_months.item() == 3


def test_further_boxes_come_when_it_goes(small):
    """70 TB in the box full of drives, 20 kept until month 8, in which 90 TB are held."""
    full = {
        "builds.box.drives_at_first": 8, "builds.box.keeps_months": 8,
        "remedy": {"kind": "next box", "next_build": "box"},
    }  # fmt: skip
    build = evaluate(keeping(small, full)).builds[0]
    rows = [row.month for row in build.money.purchases if row.what == "further box"]
    assert rows[:2] == [8, 14]
    to_the_end = evaluate(keeping(small, {**full, "builds.box.keeps_months": 24})).builds[0]
    rows = [row.month for row in to_the_end.money.purchases if row.what == "further box"]
    assert rows[:2] == [9, 16]


def test_without_months_it_stays_until_the_box_is_worn_out(small):
    """Nine and a half of ten years old: six months."""
    (kept,) = evaluate(keeping(small, box_age_years=9.5)).builds[0].capacity.kept
    assert (kept.name, kept.plannable_tb, kept.stays_months) == ("old", 20, 6)
    named = keeping(small, {"builds.box.keeps_months": 9}, box_age_years=9.5, name="The old one")
    (kept,) = records(evaluate(named))[0]["kept"]
    assert kept == {"name": "The old one", "plannable_tb": 20, "months": 9}


@pytest.mark.parametrize(("months", "told"), [(None, "not kept"), (3, "worn-out box")])
def test_a_box_that_is_worn_out_stays_only_where_the_file_says_so(small, months, told):
    changes = {} if months is None else {"builds.box.keeps_months": months}
    evaluation = evaluate(keeping(small, changes, box_age_years=11))
    (kept,) = evaluation.builds[0].capacity.kept
    assert kept.stays_months == (months or 0)
    assert {each.kind for each in cautions(evaluation)} & {"not kept", "worn-out box"} == {told}


def test_what_holds_all_beside_it_is_not_full_from_the_start(small):
    """45 TB are held at first, 30 to plan with as bought and 20 kept."""
    stored = {"work.shoots.stored_today_tb": 35}
    for scenario, told in ((keeping(small, stored), False), (small.varied(stored), True)):
        kinds = {each.kind for each in cautions(evaluate(scenario))}
        assert ("full from the start" in kinds) is told


def test_drives_that_move_are_as_many_as_go_in_lot_after_lot(small):
    """Three of one year, then one of the five that are worn out in month 6; the others stay out."""
    lots = owned((3, 1), (5, 9.5))
    build = evaluate(
        with_tables(small, {"owned.old": lots, "builds.box.drives_from": "old",
                            "work.shoots.shoot_days_per_month": 1})
    ).builds[0]  # fmt: skip
    bought = [(row.month, row.count) for row in build.money.purchases if row.what == "drives"]
    assert bought == [(6, 1)]
    assert build.capacity.ladder.plannable_tb == 30


def test_a_box_that_goes_on_is_as_its_own_table_says(small):
    """200 W and 8 years in its table; 60 W where the build says so itself."""
    raw = with_tables(
        small,
        {"owned.old": owned((4, 1), box_power_w=200, box_life_years=8, box_noise_dba=55,
                            depth_mm=700, weight_kg=31),
         "builds.box.starts_in": "old", "work.shoots.shoot_days_per_month": 1},
    ).as_written()  # fmt: skip
    for key in ("box_power_w", "box_life_years"):
        del raw["builds"]["box"][key]
    goes_on = with_tables(small, raw)
    build = evaluate(goes_on).builds[0]
    assert build.site.power_w == pytest.approx(200 + 4 * 10)
    assert (build.site.depth_mm.point, build.site.weight_kg) == (700, 31)
    assert [row.month for row in build.money.purchases if row.what == "box"] == []
    older = goes_on.varied({"owned.old.box_age_years": 7})
    (bought,) = [row.month for row in evaluate(older).builds[0].money.purchases
                 if row.what == "box"]  # fmt: skip
    assert bought == 12
    said = goes_on.varied({"builds.box.box_power_w": 60})
    assert evaluate(said).builds[0].site.power_w == pytest.approx(60 + 4 * 10)
    grid = evaluate(goes_on, positions={"builds.box.box_power_w": [60, 90]})
    assert grid.at(1).builds[0].site.power_w == pytest.approx(90 + 4 * 10)


def test_only_what_counts_of_an_owned_box_is_assumed(small):
    """The build writes power, life and failures; of drives that only move no box counts."""

    def found(**keys: Any) -> set[str]:
        changes = {f"builds.box.{key}": value for key, value in keys.items()}
        box = owned((3, 1), redundancy="single parity")
        evaluation = evaluate(with_tables(small, {"owned.old": box, **changes}))
        return {entry.key for entry in assumed(evaluation)}

    assert "owned.old.depth_mm" not in found(drives_from="old")
    assert "builds.box.depth_mm" in found(drives_from="old")
    kept = found(keeps=["old"])
    assert {"owned.old.depth_mm", "owned.old.hot_spares", "builds.box.depth_mm"} <= kept
    going_on = found(starts_in="old")
    assert "owned.old.depth_mm" in going_on
    assert "builds.box.depth_mm" not in going_on


def test_noise_depth_and_power_of_what_stays(small):
    """42 dBA and 50 dBA are 50.64 together, at 1 m; 250 W of the build and 90 W of the box."""
    loud = keeping(
        small, {"builds.box.drives_at_first": 8, "place.desk_m": 1}, box_noise_dba=50, depth_mm=800
    )
    site = evaluate(loud).builds[0].site
    assert site.noise_dba.point == pytest.approx(10 * math.log10(10**4.2 + 10**5))
    assert site.depth_mm.point == 800
    assert site.full_power_w == pytest.approx(60 + 8 * 10 + 90)
    assert site.power_w == pytest.approx(60 + 8 * 10 + 90)


@pytest.mark.parametrize(
    ("lots", "figures", "words"),
    [
        (((9, 1),), {}, "owned.old: the box has 8 bays, too few for the 9 drives of its lots"),
        (((1, 1), (1, 2)), {"redundancy": "triple parity"}, "the drives of lots must be"),
        (((3, 1),), {"redundancy": "striped mirrors"}, "cannot be laid out"),
        (((3, 1),), {"drives": "gone"}, r"owned.old.drives = .gone.: must be one of .drives.: ten"),
        ((), {}, "must have at least one entry"),
    ],
)
def test_a_box_that_cannot_be_is_named(small, lots, figures, words):
    with pytest.raises(ScenarioError, match=words):
        with_tables(small, {"owned.old": owned(*lots, **figures)})


DOUBTFUL = {
    "builds.box.lead_time_months": {"low": 1, "middle": 2, "high": 4},
    "work.shoots.shoot_days_per_month": {"low": 7, "middle": 10, "high": 15},
    "remedy": {"kind": "next box", "next_build": "box"},
    "needs.headroom_months": 12,
    "place.desk_m": 2,
}


def doubtful(small: Scenario) -> Scenario:
    """Kept until it is worn out, in some futures within the two years and in some later."""
    return keeping(
        small, DOUBTFUL, box_age_years={"low": 7.9, "middle": 9, "high": 9.8}, box_noise_dba=50,
        lots=[{"count": 2, "age_years": {"low": 8.5, "middle": 9.3, "high": 9.9}},
              {"count": 1, "age_years": 0}],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("owned.old.box_age_years", [7.0, 9.0, 11.0]),
        ("owned.old.box_life_years", [9.2, 10.5]),
        ("owned.old.lots.0.age_years", [1.0, 9.4, 12.0]),
        ("owned.old.box_power_w", [10.0, 200.0]),
        ("owned.old.box_noise_dba", [30.0, 60.0]),
        ("builds.box.lead_time_months", [0.0, 3.0, 9.0]),
        ("drives.ten.size_tb", [6.0, 14.0]),
        ("drives.ten.failures_per_drive_year", [0.01, 0.1]),
    ],
)
def test_a_grid_equals_one_scenario_after_another(small, key, values):
    scenario = doubtful(small)
    grid = evaluate(scenario, draws=20, positions={key: values})
    for place, value in enumerate(values):
        alone = records(evaluate(scenario.varied({key: value}), draws=20))
        for here, there in zip(records(grid.at(place)), alone, strict=True):
            same(here | {"purchases": []}, there | {"purchases": []}, key)


def test_futures_in_blocks_are_the_same_futures(small, monkeypatch):
    scenario = doubtful(small)
    whole = records(evaluate(scenario, draws=30))
    monkeypatch.setattr("storagecalc.study.evaluate.CELLS_AT_ONCE", 7 * 24)
    for one, other in zip(whole, records(evaluate(scenario, draws=30)), strict=True):
        same(one, other, "blocks")


def same(one: Any, other: Any, where: str) -> None:
    if isinstance(one, dict):
        assert set(one) == set(other)
        for name in one:
            same(one[name], other[name], f"{where}.{name}")
    elif isinstance(one, list):
        for here, there in zip(one, other, strict=True):
            same(here, there, where)
    elif isinstance(one, float):
        assert math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12), where
    else:
        assert one == other, where
