"""Loss of own pools and further boxes: by hand, by another route, and against the full average."""

import math

import numpy as np
import pytest
from scipy.linalg import expm
from study.small import further, outcomes_by_key, owned, with_tables

from storagecalc import evaluate
from storagecalc.models.failure import loss_probability_by_month
from storagecalc.study.loss.failure_rates import failure_rates
from storagecalc.study.loss.rebuild import rebuild_h
from storagecalc.study.outcome import kept
from storagecalc.study.sampling import sampler

TWENTY = {"size_tb": 20, "price": 250, "failures_per_drive_year": 0.024, "media_mb_s": 180}


def lost_by_chain(rates, rebuilds_h, *, drives: int) -> float:
    """Single parity, rebuilds at once, by the exponential of the chain's matrix month by month:
    none failed, one failed, lost."""
    state = np.array([1.0, 0.0, 0.0])
    for rate, hours in zip(rates, rebuilds_h, strict=True):
        first, second, back = drives * rate / 8760, (drives - 1) * rate / 8760, 1 / hours
        chain = np.array([[-first, first, 0], [back, -back - second, second], [0, 0, 0]])
        state = state @ expm(730 * chain)
    return float(state[2])


def copying_h(size_tb: float) -> float:
    """72 h until a drive is in, then a copy at 0.3 of 180 MB/s."""
    return 72 + size_tb * 1e6 / (0.3 * 180) / 3600


def test_after_a_swap_drives_fail_and_rebuild_as_the_larger_ones(small):
    """Three months of one class, twenty-one of the other: neither's rate for all months."""
    swapped = with_tables(
        small,
        {"drives.twenty": TWENTY, "builds.box.grows_by": "swapping",
         "builds.box.swap_to": "twenty"},
    )  # fmt: skip
    chance = evaluate(swapped).builds[0].loss.box_loss_probability_at_middle_rate
    hours = [copying_h(10)] * 3 + [copying_h(20)] * 21
    expected = lost_by_chain([0.012] * 3 + [0.024] * 21, hours, drives=4)
    assert chance == pytest.approx(expected, rel=1e-8)
    lower = lost_by_chain([0.012] * 24, hours, drives=4)
    higher = lost_by_chain([0.024] * 24, hours, drives=4)
    assert 1.05 * lower < chance < 0.95 * higher


def test_drives_of_two_classes_fail_as_their_mean_while_both_are_in(small):
    """Two old ones (0.12 a year) and two new ones (0.012) for six months, then four new ones."""
    old = {"size_tb": 10, "price": 1, "failures_per_drive_year": 0.12, "service_life_years": 5}
    mixed = with_tables(
        small.varied({"builds.box.bays": 4}),
        {"drives.old": old, "owned.box": owned((2, 4.5), drives="old"),
         "builds.box.drives_from": "box"},
    )  # fmt: skip
    chance = evaluate(mixed).builds[0].loss.box_loss_probability_at_middle_rate
    expected = lost_by_chain([0.066] * 6 + [0.012] * 18, [copying_h(10)] * 24, drives=4)
    assert chance == pytest.approx(expected, rel=1e-8)


def test_no_more_is_lost_at_once_than_one_pool_holds(small):
    """70 TB in the box, 30 on the shelf or the other way round, 240 to hold; with further boxes 70
    each; in pools 30."""
    shelf = {"bays": 4, "price": 300, "drives_at_first": 4}
    cases = (
        (with_tables(small, {"builds.box.shelf": shelf}), 70),
        (with_tables(small, {"builds.box.bays": 4, "builds.box.shelf": {**shelf, "bays": 8}}), 70),
        (further(small, {}), 70),
        (further(small, {"builds.box.grows_by": "whole pools"}), 30),
        (small.varied({"work.shoots.shoot_days_per_month": 1}), 24),
    )
    for scenario, most in cases:
        assert evaluate(scenario).builds[0].loss.lost_at_once_tb == pytest.approx(most)


def test_full_boxes_before_the_newest_count_where_that_is_smaller(small):
    """30 TB in the first box, then boxes of 30 and 70 TB, 62 TB more each month.

    After step n of the further boxes 70 TB stand in each whole one and 30 in a half one; what is
    held spreads over all of it. It is fullest in the second month, with 124 of 130 TB.
    """
    raw = small.as_written()
    raw["work"]["shoots"] |= {"shoot_days_per_month": 31, "cameras": 2, "end_date": "2027-05-01"}
    raw["builds"]["next"] = {**raw["builds"]["box"], "grows_by": "groups", "drives_per_step": 4}
    raw["builds"]["box"]["bays"] = 4
    raw["remedy"] = {"kind": "next box", "next_build": "next"}
    loss = evaluate(with_tables(small, raw)).builds[0].loss
    # Due above 30 TB of the first box, then above 30, 70, 100, 140, 170, 210, 240 and 280 more.
    shares = []
    for held in (62, 124, 186, 248):
        steps = 1 + sum(held - 30 > due for due in (30, 70, 100, 140, 170, 210, 240, 280))
        room = 30 + 70 * (steps // 2) + 30 * (steps % 2)
        shares.append(min(held, room) / room)
    assert loss.lost_at_once_tb == pytest.approx(70 * max(shares))


def test_in_no_future_is_more_lost_at_once_than_the_largest_pool_holds(demo):
    drawn = sampler(demo, draws=40).futures(0, 40)
    for outcome in outcomes_by_key(drawn).values():
        pools = [np.max(pool, axis=-1) for pool in outcome.space.pool_usable_tb]
        pools += [np.max(pool, axis=-1) for pool in outcome.box.space.pool_usable_tb]
        left = outcome.space.ladder.plannable_tb[..., 0] / outcome.space.ladder.usable_tb[..., 0]
        lost = kept(outcome, 40).lost_at_once_tb[..., 0]
        assert np.all(lost <= np.max(np.broadcast_arrays(*pools), axis=0) * left * (1 + 1e-12))


def test_a_further_box_that_stands_still_risks_what_the_chain_says(small):
    """All bays full at first: one of its boxes stands for 24 months, others come in months 7, 14
    and 21. Each by the chain; the quick way is less than a hundredth too high."""
    full = further(small, {"builds.box.drives_at_first": 8})
    build = evaluate(full).builds[0]
    assert [row.month for row in build.money.purchases if row.what == "further box"] == [7, 14, 21]
    left = 1.0
    for months in (24, 17, 10, 3):
        rates, hours = [0.012] * months, [copying_h(10)] * months
        left *= 1 - lost_by_chain(rates, hours, drives=8)
    chance = build.loss.box_loss_probability_at_middle_rate
    assert 1 - left < chance < (1 - left) * 1.01


def full_average(scenario, draws: int) -> dict[str, np.ndarray]:
    """The chance by rate with the chain walked for every further box of every future.

    Boxes that stand alike are walked once; own pools are those of the program.
    """
    sample = sampler(scenario, draws=draws)
    middle, drawn = sample.middle(), sample.futures(0, draws)
    rates = failure_rates(middle, sample.ranges, {})
    found = {}
    for key, outcome in outcomes_by_key(drawn).items():
        build, climb = outcome.box.build, outcome.grown.further
        counts = outcome.box.space.pools.drives_by_step[0]
        each = len(counts)
        steps = np.broadcast_to(climb.steps_in_place_by_month, (1, draws, scenario.horizon_months))
        survived = np.ones((draws, 43))
        for number in range(-(-int(steps.max()) // each)):
            stage = np.clip(steps[0] - number * each, 0, each)
            drives = np.concatenate([[0], counts])[stage]
            rows, which = np.unique(drives, axis=0, return_inverse=True)
            lost = loss_probability_by_month(
                drives_per_group_by_month=rows[:, None, :],
                parity_drives=2,
                failures_per_drive_year=rates.failures_per_drive_year_by_class[build.drives],
                rebuild_h=float(rebuild_h(middle, build, outcome.box.space)),
                repair="parallel",
            )[..., -1]
            survived *= 1 - lost[which.ravel()]
        found[key] = rates, 1 - survived.mean(axis=0, keepdims=True)
    return found


@pytest.mark.parametrize("next_build", ["eight_at_once", "eight_in_steps"])
def test_the_quick_average_of_further_boxes_is_near_the_full_one(demo, next_build):
    """A constant hazard at each step times the months that boxes stand there, against the chain
    walked with the drives of every month in 200 futures: at most 2 in 1,000 too high, never low.

    A group is safer in its first days, before any drive has failed; so the error is larger, up to
    5 in 100, where boxes stand for few months, which then hardly count.
    """
    scenario = demo.varied({"remedy.next_build": next_build})
    alone = evaluate(scenario.varied({"remedy.kind": "held elsewhere"}), draws=2)
    own = {build.key: build.loss for build in alone.builds}
    quick = {build.key: build.loss for build in evaluate(scenario, draws=200).builds}
    for key, (rates, further_lost) in full_average(scenario, 200).items():
        for name, at in (("_at_middle_rate", "middle"), ("_low", "low"), ("_high", "high")):
            mine = getattr(own[key], f"box_loss_probability{name}")
            boxes = float(rates.at(at, further_lost)[0])
            there = getattr(quick[key], f"box_loss_probability{name}")
            exact = mine + (1 - mine) * boxes
            assert boxes > 0
            assert exact * (1 - 1e-9) <= there <= exact * 1.002, (key, name)
            assert (there - mine) / (1 - mine) <= boxes * 1.05, (key, name)
        # Own and further boxes share one rate: their chances are added rate by rate.
        mean = own[key].box_loss_probability + float(rates.averaged(further_lost)[0])
        assert mean * (1 - 1e-3) <= quick[key].box_loss_probability <= mean * 1.002


def test_the_chance_of_further_boxes_hardly_hangs_on_how_many_futures_are_drawn(demo):
    few, many = (evaluate(demo, draws=draws).builds[0].loss for draws in (500, 2000))
    assert few.box_loss_probability == pytest.approx(many.box_loss_probability, rel=0.02)


def test_the_wait_is_that_of_the_spare_there_is(small):
    """10 TB at 100 MB/s and half of that in a rebuild; a day for a spare in the cupboard."""
    waits = {"rebuild.swap_wait_h": 60, "rebuild.cold_swap_h": 24,
             "rebuild.rebuild_speed_fraction": 0.5, "drives.ten.media_mb_s": 100}  # fmt: skip
    copy_h = 10e6 / 50 / 3600
    for spares, wait_h in (({}, 60), ({"cold_spares": 1}, 24), ({"hot_spares": 1}, 0)):
        scenario = small.varied({**waits, **{f"builds.box.{key}": n for key, n in spares.items()}})
        assert evaluate(scenario).builds[0].loss.rebuild_h == pytest.approx(wait_h + copy_h)


def test_what_goes_at_once_is_that_of_half_of_the_futures(small):
    doubt = {"low": 0.5, "middle": 1, "high": 2}
    whole = evaluate(small.varied({"work.shoots.shoot_days_per_month": doubt}), draws=40)
    lost_tb = whole.builds[0].loss.lost_at_once_tb
    held = whole.held_tb_by_month
    assert held.p10[-1] < lost_tb == pytest.approx(held.p50[-1])
    assert lost_tb < held.p90[-1]


def test_an_unreadable_file_counts_in_all_that_the_others_hold(small):
    """Seven data drives of the full box are read, 10 TB each, at one error in 10^14 bit."""
    risky = small.varied({"drives.ten.errors_per_bit": 1e-14})
    chance = evaluate(risky).builds[0].loss.read_error_probability
    assert chance == pytest.approx(1 - math.exp(-7 * 10e12 * 8 * 1e-14), rel=1e-6)
