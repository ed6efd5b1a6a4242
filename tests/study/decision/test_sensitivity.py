"""What matters most: by hand on futures one can read, against evaluations of its own, left out."""

from dataclasses import replace

import numpy as np
import pytest
from study.decision.crafted import crafted
from study.decision.two_boxes import KWH_MORE, two_boxes
from study.small import owned, with_tables

from storagecalc import evaluate
from storagecalc.study.decision import sensitivity
from storagecalc.study.decision.sensitivity import deciding_sliders, influences, reach
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.sampling import stratified
from storagecalc.study.scenario.quantity import Range, entries, middle

DRAWS = 1_000
DAYS, POWER, DRIFT = (
    "work.shoots.shoot_days_per_month",
    "running.electricity_price_per_kwh",
    "prices.drive_change_per_year",
)
RANGES = {
    DAYS: {"low": 8, "middle": 10, "high": 13},
    POWER: {"low": 0.6, "middle": 1, "high": 1.5},
    DRIFT: {"low": -0.1, "middle": 0, "high": 0.1},
}


def share(key):
    """From 0 to 1, how high an unknown is in each future."""
    return stratified(DRAWS, seed=0, key=key)


def told(costs, needs=None, **options):
    """What matters where two boxes that are alike cost what the test says."""
    alike = two_boxes({}, prices_are="quoted", **RANGES)
    return influences(replace(crafted(costs, needs, draws=DRAWS, **options), scenario=alike))


def by_key(found):
    return {each.key: each for each in found}


def test_the_gap_where_an_unknown_is_high_less_where_it_is_low():
    """By hand: 400 u, u in the mean 0.95 in the top tenth, 0.05 in the bottom one; the gap is
    from 1,040 in one of ten futures to 1,360 in nine."""
    found = told({"box": 1_000, "thrifty": 2_000 + 400 * share(DAYS)})
    (only,) = found
    assert only.key == DAYS
    assert only.gap_shift_cost == pytest.approx(400 * 0.9, abs=1)
    assert only.gap_share == pytest.approx(0.9 / 0.8, rel=5e-3)
    assert only.weight == only.gap_share
    assert only.needs_shift_fraction == 0
    assert (only.low, only.high, only.is_range, only.written) == (8, 13, True, True)


def test_a_gap_that_narrows_has_a_shift_below_nothing():
    (only,) = told({"box": 1_000, "thrifty": 2_000 - 400 * share(DAYS)})
    assert only.gap_shift_cost == pytest.approx(-400 * 0.9, abs=1)
    assert only.weight == pytest.approx(0.9 / 0.8, rel=5e-3)


def test_the_gap_is_the_others_cost_less_that_of_the_recommended():
    (only,) = told({"box": 1_000 + 400 * share(DAYS), "thrifty": 2_000})
    assert only.gap_shift_cost == pytest.approx(-400 * 0.9, abs=1)


def test_needs_met_where_an_unknown_is_high_less_where_it_is_low():
    """Missed in the highest three tenths of one unknown, whatever the costs do."""
    lasts = np.where(share(DRIFT) < 0.7, 30, 10)
    needs = {"headroom_months": (24, {"box": lasts, "thrifty": lasts})}
    found = told({"box": 1_000, "thrifty": 2_000}, needs, confidence=0.6)
    (only,) = found
    assert (only.key, only.needs_shift_fraction, only.gap_shift_cost) == (DRIFT, -1.0, 0.0)
    assert only.weight == 1.0


def test_all_needs_at_once_are_counted():
    """Two needs that fail at either end: in the middle of the range both are met."""
    lasts, plays = np.where(share(DRIFT) < 0.95, 30, 10), np.where(share(DRIFT) > 0.02, 4, 1)
    needs = {
        "headroom_months": (24, {"box": lasts, "thrifty": lasts}),
        "streams": (4, {"box": plays, "thrifty": plays}),
    }
    (only,) = told({"box": 1_000, "thrifty": 2_000}, needs, confidence=0.6)
    # Half of the highest tenth, a fifth of the lowest.
    assert only.needs_shift_fraction == pytest.approx(0.5 - 0.8)


def test_the_larger_of_both_ranks():
    needs_of = np.where(share(POWER) < 0.75, 30, 10)
    needs = {"headroom_months": (24, {"box": needs_of, "thrifty": needs_of})}
    gap = 1_000 + 400 * share(DAYS) + 100 * share(DRIFT)
    found = told({"box": 1_000, "thrifty": 1_000 + gap}, needs, confidence=0.6)
    assert [each.key for each in found] == [DAYS, POWER, DRIFT]
    assert [each.weight > 0.9 for each in found] == [True, True, False]
    assert found[1].weight == -found[1].needs_shift_fraction == 1.0


def test_without_another_it_is_the_own_cost_that_moves():
    moved = by_key(told({"box": 1_000 + 400 * share(DAYS)}))[DAYS]
    assert moved.gap_shift_cost == pytest.approx(400 * 0.9, abs=1)
    assert moved.gap_share == pytest.approx(0.9 / 0.8, rel=5e-3)


def test_what_chance_brings_is_none():
    """Costs that hang on nothing that is known of: no unknown is said to move them."""
    noise = np.random.default_rng(5).normal(size=DRAWS)
    assert not told({"box": 1_000, "thrifty": 2_000 + 100 * noise})


def test_one_number_is_put_low_and_high_by_hand():
    """A price of 1 a kWh, 0.7 to 1.3: the box of 50 W more costs so much more."""
    scenario = two_boxes({"box_power_w": 10, "box_price": 1_500})
    found = influences(evaluate(scenario, draws=20))
    power = by_key(found)[POWER]
    assert verdict(evaluate(scenario, draws=20)).recommended.build.key == "thrifty"
    assert (power.low, power.high) == (pytest.approx(0.7), pytest.approx(1.3))
    assert power.gap_shift_cost == pytest.approx(0.6 * KWH_MORE)
    # No range, so the gap is one number, and shares are of it.
    assert power.gap_share == pytest.approx(0.6 * KWH_MORE / (KWH_MORE - 500))
    assert not power.is_range
    # 500 more for the box, moved by 450 up and down.
    assert by_key(found)["builds.thrifty.box_price"].gap_shift_cost == pytest.approx(-900)
    assert by_key(found)["builds.box.box_price"].gap_shift_cost == pytest.approx(600)


def test_what_is_the_same_for_both_does_not_rank():
    keys = by_key(influences(evaluate(two_boxes({"box_power_w": 10}), draws=20)))
    assert POWER in keys
    for same in ("running.care_h_per_month", "running.labour_price_per_h", DAYS):
        assert same not in keys


def test_a_need_moves_with_one_number_too():
    """1,420 for the first order; 1,720 at the most the box may cost, 1,500 allowed."""
    scenario = two_boxes({"box_price": 5_000}, **{"needs.upfront_cost": 1_500})
    moved = by_key(influences(evaluate(scenario, draws=20)))["builds.box.box_price"]
    assert moved.needs_shift_fraction == -1.0


def test_what_is_unknown_and_what_is_not():
    boxes = {"box_power_w": 10, "bays": 4}
    tables = {"work.shoots.growth_per_year": 0.0, "work.shoots.stored_today_tb": 5}
    found = by_key(influences(evaluate(two_boxes(boxes, **tables), draws=20)))
    # Written: prices that are a guess, the studio's own footage, even a drift of nothing.
    assert {POWER, "drives.ten.price", "work.shoots.growth_per_year"} <= found.keys()
    assert found["work.shoots.growth_per_year"].written
    # What a data sheet says, what one counts and chooses.
    for known in ("builds.thrifty.box_power_w", "drives.ten.size_tb", "builds.box.bays",
                  "horizon_months", "builds.box.order_at_fraction"):  # fmt: skip
        assert known not in found


def test_a_zero_that_nobody_wrote_is_left_out():
    found = by_key(influences(evaluate(two_boxes({"bays": 4}), draws=20)))
    assert "work.shoots.growth_per_year" not in found
    # A default that is a guess, and no zero.
    assert not found["work.shoots.real_rate_fraction"].written


def test_quoted_prices_are_known():
    scenario = two_boxes({"box_power_w": 10}, prices_are="quoted")
    assert POWER not in by_key(influences(evaluate(scenario, draws=20)))


def test_each_end_is_what_an_evaluation_of_its_own_gives(demo):
    """The second route: one scenario a value, all builds in it, no grid."""
    evaluation = evaluate(demo, draws=sensitivity.PLAIN_DRAWS)
    advised = verdict(evaluation)
    plain = [each for each in influences(evaluation) if not each.is_range]
    assert len(plain) > sensitivity.MOST_AGAIN
    for each in plain[: sensitivity.MOST_AGAIN : 4]:
        gaps, met = [], []
        for value in (each.low, each.high):
            alone = evaluate(demo.varied({each.key: value}), draws=evaluation.draws)
            costs = {b.key: b.money.net_present_cost.mean for b in alone.builds}
            gaps.append(costs[advised.nearest_other.key] - costs[advised.recommended.build.key])
            found = verdict(alone)
            own = advised.recommended.build.key
            met += [one.needs_met_fraction for one in (*found.rivals, *found.others)
                    if one.build.key == own]  # fmt: skip
        assert each.gap_shift_cost == pytest.approx(gaps[1] - gaps[0], abs=1e-6)
        assert each.needs_shift_fraction == pytest.approx(met[1] - met[0], abs=1e-12)


def test_ranks_fall_and_every_range_of_the_demo_keeps_its_ends(demo):
    found = influences(evaluate(demo, draws=200))
    weights = [each.weight for each in found]
    assert weights == sorted(weights, reverse=True)
    assert min(weights) > 0
    known = {entry.key: entry for entry in entries(demo)}
    for each in found:
        entry = known[each.key]
        assert each.is_range is isinstance(entry.value, Range)
        assert each.low < each.high
        assert each.low <= middle(entry.value) <= each.high


def test_how_far_one_number_is_moved(demo):
    known = {entry.key: entry for entry in entries(demo)}
    assert reach(known["drives.tb16.power_w"]) == (pytest.approx(5.25), pytest.approx(9.75))
    # Nothing and drifts have no third: four notches of 0.01, of 50, of 0.005; four decibels.
    assert reach(known["work.documentary.growth_per_year"]) == (-0.04, 0.04)
    assert reach(known["work.stage.stills_per_shoot_day"]) == (0, 200)
    assert reach(known["prices.inflation_per_year"]) == (pytest.approx(0.005), 0.045)
    assert reach(known["builds.twelve_and_shelf.shelf.noise_dba"]) == (36, 44)


def test_an_option_is_compared_as_what_it_is(demo):
    """Smaller proxies at no price beat their own build: the numbers of both are moved."""
    habit = {"options.bare": {"build": "twelve_and_shelf", "proxies_and_exports_fraction": 0.1}}
    evaluation = evaluate(with_tables(demo.varied({"needs": {}}), habit), draws=50)
    assert verdict(evaluation).recommended.build.key == "bare"
    assert "options.bare.proxies_and_exports_fraction" in by_key(influences(evaluation))


def test_without_futures_there_is_nothing_to_compare_and_a_grid_is_refused(demo):
    assert influences(evaluate(demo)) == ()
    with pytest.raises(ValueError, match="grid"):
        influences(evaluate(demo, positions={"place.desk_m": [1, 2]}))


def test_sliders_for_what_matters_most(demo):
    evaluation = evaluate(demo, draws=100)
    first = [each.key for each in influences(evaluation)[:4]]
    assert [slider.key for slider in deciding_sliders(evaluation, 4)] == first
    assert deciding_sliders(evaluate(demo), 4) == ()


def test_what_no_slider_carries_is_passed_over(monkeypatch):
    """The lead time of a box that never grows has none."""
    evaluation = evaluate(two_boxes({"bays": 4}), draws=10)
    first, *_ = found = influences(evaluation)
    without = replace(first, key="builds.thrifty.lead_time_months")
    monkeypatch.setattr(sensitivity, "influences", lambda _: (without, *found))
    assert [slider.key for slider in deciding_sliders(evaluation, 1)] == [first.key]


def test_the_gap_is_to_the_nearest_other_where_no_other_meets_the_needs():
    needs = {"headroom_months": (24, {"box": 30, "thrifty": 10})}
    (only,) = told({"box": 2_000 + 400 * share(DAYS), "thrifty": 1_000}, needs)
    assert only.gap_shift_cost == pytest.approx(-400 * 0.9, abs=1)


def test_what_is_left_to_an_owned_box_does_not_matter(small):
    """Its depth stands in the table of the box; the build's own default is never looked at."""
    own = {
        "owned.old": owned((4, 1)), "builds.box.starts_in": "old", "builds.box.drives_from": "old",
        "needs.depth_mm": 400, "work.shoots.shoot_days_per_month": RANGES[DAYS],
    }  # fmt: skip
    found = {each.key for each in influences(evaluate(with_tables(small, own), draws=200))}
    assert "work.shoots.shoot_days_per_month" in found
    assert "builds.box.depth_mm" not in found
    assert not {key for key in found if key.startswith("builds.box.box_")} - {
        "builds.box.box_price"
    }
