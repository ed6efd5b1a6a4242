"""Pools as they are: how they grow, what spares and old drives change, what can be had."""

import numpy as np
import pytest
from study.small import owned, with_tables

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.models.failure import loss_probability_by_month
from storagecalc.study.capacity.space import pools_of, space
from storagecalc.study.decision.cautions import cautions
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from


def with_larger(small: Scenario, **keys: object) -> Scenario:
    raw = small.as_written()
    raw["drives"]["twenty"] = {
        "size_tb": 20, "price": 250, "failures_per_drive_year": 0.024, "power_w": 12,
        "warranty_years": 5, "service_life_years": 10,
    }  # fmt: skip
    raw["owned"] = {"old": owned((2, 1)), "four": owned((2, 1), bays=4)}
    raw["builds"]["box"] |= keys
    return scenario_from(raw, source="with larger drives")


def test_whole_pools_come_beside_the_first(small):
    """Four drives with single parity hold 30 TB; the second pool of four makes it 60."""
    pools = pools_of(small.varied({"builds.box.grows_by": "whole pools"}).builds["box"])
    assert pools.drives_by_step.tolist() == [[4, 4], [0, 4]]
    build = evaluate(small.varied({"builds.box.grows_by": "whole pools"})).builds[0]
    assert build.capacity.full_ladder.usable_tb == 60
    assert build.capacity.headroom_months.point == 6


def test_what_builds_share_cannot_be_written_to(small):
    pools = pools_of(small.builds["box"])
    assert pools_of(small.varied({"drives.ten.price": 1}).builds["box"]) is pools
    for shared in (pools.drives_by_step, pools.stint_numbers_by_step):
        with pytest.raises(ValueError, match="read-only"):
            shared[...] = 1


def test_groups_come_several_drives_at_a_time(small):
    grown = small.varied({"builds.box.grows_by": "groups", "builds.box.drives_per_step": 2})
    assert pools_of(grown.builds["box"]).drives_by_step.tolist() == [[4, 6, 8]]


def test_swapping_gives_space_only_with_the_last_drive(small):
    """Four drives of 10 TB hold 30; when all four are 20 TB they hold 60."""
    swapped = with_larger(small, grows_by="swapping", swap_to="twenty")
    build = evaluate(swapped).builds[0]
    assert build.capacity.ladder.usable_tb == 30
    assert build.capacity.full_ladder.usable_tb == 60
    rows = [(row.month, row.what, row.count) for row in build.money.purchases]
    assert (3, "larger drives", 4) in rows
    assert build.money.present_cost_by_category["drives"] == pytest.approx(4 * 100 + 4 * 250)
    slow_h = 4 * build.loss.rebuild_h
    assert build.capacity.swap_slow_days == pytest.approx(slow_h / 24)


def test_after_a_swap_the_larger_drives_fail_and_draw(small):
    swapped = evaluate(with_larger(small, grows_by="swapping", swap_to="twenty")).builds[0]
    fails = 3 * 4 * 0.012 / 12 + 21 * 4 * 0.024 / 12
    assert swapped.capacity.drive_failures.point == pytest.approx(fails)
    power_w = (3 * (60 + 40) + 21 * (60 + 48)) / 24
    assert swapped.site.power_w == pytest.approx(power_w)


def test_a_full_box_may_be_swapped_before_the_shelf_comes(small):
    grown = with_larger(
        small, swap_to="twenty", shelf={"bays": 4, "price": 300, "drives_at_first": 4}
    )
    pools = pools_of(grown.builds["box"])
    assert pools.drives_by_step.tolist() == [[4, 5, 6, 7, 8, 8, 8], [0, 0, 0, 0, 0, 0, 4]]
    assert pools.stint_numbers_by_step[0].tolist() == [0] * 5 + [1] * 2
    assert evaluate(grown).builds[0].capacity.full_ladder.usable_tb == 7 * 20 + 3 * 10


def test_unequal_drives_count_as_the_smallest(small):
    """Two old drives of 8 TB and two new ones of 10 TB: labels of 36 TB, 24 TB usable."""
    raw = small.as_written()
    raw["drives"]["old"] = {"size_tb": 8, "price": 1}
    raw["owned"] = {"old": owned((2, 4), drives="old")}
    raw["builds"]["box"]["drives_from"] = "old"
    build = evaluate(scenario_from(raw, source="old drives")).builds[0]
    assert build.capacity.ladder.nominal_tb == 36
    assert build.capacity.ladder.usable_tb == 24
    assert build.money.purchases[1].count == 2


def with_old_drives(scenario, *, age_years, **of_the_class):
    """Two of the four drives owned before: their class fails and draws more than the new one."""
    raw = scenario.as_written()
    old = {"size_tb": 10, "price": 1, "failures_per_drive_year": 0.12, "power_w": 20}
    raw["drives"]["old"] = {**old, "warranty_years": 1, "service_life_years": 5, **of_the_class}
    raw["owned"] = {"old": owned((2, age_years), drives="old", bays=4)}
    raw["builds"]["box"] |= {"drives_from": "old", "bays": 4}
    return scenario_from(raw, source="old drives")


def test_old_drives_are_replaced_when_they_are_worn_out(small):
    """Four and a half of five years old: in the seventh month both give way to new ones."""
    build = evaluate(with_old_drives(small, age_years=4.5)).builds[0]
    drives = [
        (row.month, row.count, row.cost) for row in build.money.purchases if row.what == "drives"
    ]
    assert drives == [(0, 2, 200), (6, 2, 200)]
    assert build.money.present_cost_by_category["drives"] == pytest.approx(400)


def test_old_drives_fail_and_draw_like_their_own_class_until_then(small):
    """Six months of 2 old and 2 new drives, then eighteen of 4 new ones."""
    build = evaluate(with_old_drives(small, age_years=4.5)).builds[0]
    failing = 6 * (2 * 0.12 + 2 * 0.012) / 12 + 18 * 4 * 0.012 / 12
    assert build.capacity.drive_failures.point == pytest.approx(failing)
    mean_w = 60 + (6 * (2 * 20 + 2 * 10) + 18 * 4 * 10) / 24
    assert build.site.power_w == pytest.approx(mean_w)


def test_old_drives_are_paid_for_when_they_fail_out_of_warranty(small):
    """Half a year of warranty left, a year of life after it: 2 drives, 12 months, 0.12 a year.

    New drives have one year of warranty: the two bought at first are paid for in the second, and
    those that follow the old ones in the nineteenth month not within the two years.
    """
    owned = with_old_drives(small, age_years=0.5, service_life_years=2)
    build = evaluate(owned).builds[0]
    old, new = 12 * 2 * 0.12 / 12, 12 * 2 * 0.012 / 12
    assert build.money.present_cost_by_category["failures"] == pytest.approx(100 * (old + new))


def test_worn_out_drives_are_replaced_at_once_and_it_is_said(small):
    evaluation = evaluate(with_old_drives(small, age_years=5))
    build = evaluation.builds[0]
    bought = sorted((row.month, row.count) for row in build.money.purchases if row.what == "drives")
    assert sum(count for month, count in bought if month == 0) == 4
    assert "worn-out drives" in {caution.kind for caution in cautions(evaluation)}
    fresh = cautions(evaluate(with_old_drives(small, age_years=1)))
    assert "worn-out drives" not in {caution.kind for caution in fresh}


def going_on(scenario, **figures):
    return with_tables(
        scenario, {"owned.old": owned((4, 1), **figures), "builds.box.starts_in": "old"}
    )


def test_a_box_that_is_owned_is_bought_when_it_is_worn_out(small):
    """Nine of ten years old: nothing on day one, the successor in the thirteenth month."""
    build = evaluate(going_on(small, box_age_years=9)).builds[0]
    assert [row.month for row in build.money.purchases if row.what == "box"] == [12]
    assert build.money.upfront_cost.point == pytest.approx(
        evaluate(small).builds[0].money.upfront_cost.point - 1000
    )
    full_cost = evaluate(small).builds[0].money.full_cost.point
    assert build.money.full_cost.point == pytest.approx(full_cost - 1000)
    old = going_on(small, box_age_years=10)
    assert [row.month for row in evaluate(old).builds[0].money.purchases if row.what == "box"] == [
        0
    ]
    assert "worn-out box" in {caution.kind for caution in cautions(evaluate(old))}


def test_a_box_that_is_owned_fails_out_of_warranty(small):
    """Out of its three years' warranty from the seventh month on: 18 months at 0.1 a year."""
    failing = going_on(small, box_age_years=2.5).varied({"builds.box.box_failures_per_year": 0.1})
    sure = failing.varied({"builds.box.box_failures_per_year": 0})
    build, unfailing = (evaluate(each).builds[0] for each in (failing, sure))
    more, less = (each.money.present_cost_by_category["failures"] for each in (build, unfailing))
    assert more - less == pytest.approx(1000 * 18 * 0.1 / 12)


def test_a_cold_spare_shortens_the_wait_and_costs_a_drive(small):
    plain, spare = (
        evaluate(small.varied({"builds.box.cold_spares": count})).builds[0] for count in (0, 1)
    )
    assert spare.loss.rebuild_h == pytest.approx(plain.loss.rebuild_h - 72 + 16)
    assert spare.loss.box_loss_probability < plain.loss.box_loss_probability
    assert spare.money.upfront_cost.point == pytest.approx(plain.money.upfront_cost.point + 100)
    assert spare.capacity.ladder == plain.capacity.ladder


def test_drives_that_are_no_longer_made_end_the_growth(small):
    """To be had until May 2027: the fourth month's drive is the last, six in all, 50 TB."""
    raw = small.as_written()
    raw["drives"]["ten"]["available_until_date"] = "2027-05-01"
    build = evaluate(scenario_from(raw, source="discontinued")).builds[0]
    drives = [(row.month, row.count) for row in build.money.purchases if row.what == "drives"]
    assert drives == [(0, 4), (3, 1), (4, 1)]
    assert build.capacity.headroom_months.point == 5
    np.testing.assert_allclose(build.capacity.plannable_tb_by_month, [30] * 3 + [40] + [50] * 20)


@pytest.mark.parametrize("pairs", [2, 3, 4])
def test_striped_mirrors_are_independent_pairs(small, pairs):
    one, many = (
        evaluate(
            small.varied(
                {"builds.box.redundancy": "striped mirrors",
                 "builds.box.drives_at_first": 2 * count,
                 "builds.box.bays": 2 * count, "builds.box.grows_by": "groups",
                 "builds.box.drives_per_step": 2}
            )
        ).builds[0].loss.box_loss_probability_at_middle_rate
        for count in (1, pairs)
    )  # fmt: skip
    assert many == pytest.approx(1 - (1 - one) ** pairs, rel=1e-9)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"grows_by": "swapping"}, "needs swap_to"),
        ({"drives_per_step": 2}, "grows_by"),
        ({"grows_by": "groups"}, "drives_per_step"),
        ({"swap_to": "thirty"}, "must be one of"),
        ({"drives_from": "twenty"}, "must be one of"),
        ({"starts_in": "four"}, "bays = 8: must be 4, as in .owned.four."),
        ({"keeps": ["old", "gone"]}, r"keeps.1 = .gone.: must be one of .owned.: old, four"),
        ({"keeps": ["old", "old"]}, "twice: write each once"),
        ({"keeps_months": 3}, "needs keeps"),
        ({"keeps": ["old"], "drives_from": "old"}, "keeps and drives_from both name"),
        ({"keeps": ["old"], "starts_in": "old"}, "keeps and starts_in both name"),
        ({"redundancy": "striped mirrors"}, "grow by pairs"),
        ({"grows_by": "magic"}, "one drive"),
        ({"redundancy": "mirror"}, "a mirror gains no space"),
        ({"redundancy": "mirror", "bays": 12, "drives_at_first": 12}, "every drive holds the same"),
    ],
)
def test_contradictions_are_named(small, keys, words):
    with pytest.raises(ScenarioError, match=words):
        with_larger(small, **keys)


def test_a_swap_must_be_to_larger_drives(small):
    raw = with_larger(small, swap_to="twenty", drives_from="old").as_written()
    raw["owned"]["old"]["drives"] = "twenty"
    swapped = scenario_from(raw, source="swapped")
    for size_tb in (10, 8, {"low": 6, "middle": 9, "high": 15}):
        with pytest.raises(ScenarioError, match='swap_to = "twenty": must be a class of larger'):
            swapped.varied({"drives.twenty.size_tb": size_tb})


def test_where_no_larger_drives_come_a_swap_gains_nothing(small):
    doubt = {"low": 8, "middle": 14, "high": 24}
    swapped = with_larger(small, grows_by="swapping", swap_to="twenty")
    doubtful = swapped.varied({"drives.twenty.size_tb": doubt})
    numbers = sampler(doubtful, draws=200, seed=0).futures(0, 200)
    before, after = space(numbers, numbers.builds["box"]).ladder.plannable_tb[0].T
    assert (after >= before).all()
    assert 0.05 < (after == before).mean() < 0.5
    assert np.isfinite(evaluate(doubtful, draws=200).builds[0].money.net_present_cost.p90)


def test_mirrors_of_unlike_width_have_each_their_own_chance_of_loss(small):
    """Three drives in the box, two on the shelf from the month it is ordered for."""
    mirrors = small.varied(
        {
            "builds.box.redundancy": "mirror",
            "builds.box.grows_by": "whole pools",
            "builds.box.bays": 3,
            "builds.box.drives_at_first": 3,
            "builds.box.shelf": {"bays": 2, "price": 300, "drives_at_first": 2},
        }
    )
    build = evaluate(mirrors).builds[0]
    since = [row.month for row in build.money.purchases if row.what == "shelf"]
    assert since == [1]
    month = np.arange(24)
    chances = [
        loss_probability_by_month(
            drives_per_group_by_month=drives,
            parity_drives=parity,
            failures_per_drive_year=0.012,
            rebuild_h=build.loss.rebuild_h,
            repair="parallel",
        )[-1]
        for drives, parity in ((np.full(24, 3), 2), (np.where(month < 1, 0, 2), 1))
    ]
    expected = chances[0] + chances[1] - chances[0] * chances[1]
    assert build.loss.box_loss_probability_at_middle_rate == pytest.approx(expected, rel=1e-9)


def test_a_grid_of_whole_pools_equals_one_scenario_after_another(small):
    pools = small.varied({"builds.box.grows_by": "whole pools"})
    days = [2.0, 5.0, 10.0]
    grid = evaluate(pools, positions={"work.shoots.shoot_days_per_month": days})
    for place, count in enumerate(days):
        alone = evaluate(pools.varied({"work.shoots.shoot_days_per_month": count})).builds[0].loss
        here = grid.at(place).builds[0].loss
        assert here.expected_tb_lost == pytest.approx(alone.expected_tb_lost, rel=1e-12)


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("owned.old.lots.0.age_years", [0.5, 4, 4.5, 6]),
        ("owned.old.box_age_years", [0.5, 9, 10]),
        ("owned.old.box_power_w", [10, 90]),
        ("builds.box.box_power_w", [10, 90]),
    ],
)
def test_a_grid_of_ages_equals_one_scenario_after_another(small, key, values):
    owned = with_old_drives(small, age_years=3).varied(
        {"owned.old.box_age_years": 2, "builds.box.starts_in": "old"}
    )
    grid = evaluate(owned, draws=5, positions={key: values})
    for place, value in enumerate(values):
        alone = evaluate(owned.varied({key: value}), draws=5).builds[0]
        here = grid.at(place).builds[0]
        assert here.money.net_present_cost.p90 == pytest.approx(
            alone.money.net_present_cost.p90, rel=1e-12
        )
        assert here.site.power_w == pytest.approx(alone.site.power_w, rel=1e-12)
        for name in ("point", "mean", "p10", "p50", "p90"):
            for topic, what in (("capacity", "drive_failures"), ("money", "cost_by_year")):
                one, other = (getattr(getattr(each, topic), what) for each in (here, alone))
                np.testing.assert_allclose(getattr(one, name), getattr(other, name), rtol=1e-12)


def test_an_age_may_be_a_range(small):
    doubt = {"low": 3, "middle": 4, "high": 4.8}
    owned = with_old_drives(small, age_years=doubt)
    spread = evaluate(owned, draws=50).builds[0].money.cost_by_year
    assert (spread.p10 <= spread.p90).all()
    assert (spread.p10 < spread.p90).any()


def test_one_class_may_be_in_doubt_and_the_other_not(small):
    doubt = {"low": 0.01, "middle": 0.024, "high": 0.06}
    raw = with_larger(small, swap_to="twenty", grows_by="swapping").as_written()
    raw["drives"]["twenty"]["failures_per_drive_year"] = doubt
    doubtful = evaluate(scenario_from(raw, source="doubt"), draws=20).builds[0]
    sure = evaluate(with_larger(small, swap_to="twenty", grows_by="swapping")).builds[0]
    assert doubtful.capacity.drive_failures.point == sure.capacity.drive_failures.point
    assert doubtful.money.net_present_cost.p10 <= doubtful.money.net_present_cost.p90
