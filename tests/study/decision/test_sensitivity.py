"""Which assumptions decide: against one evaluation each, by hand, and what is left out."""

import math

import pytest

from storagecalc import evaluate
from storagecalc.study.decision.sensitivity import effects
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.scenario.quantity import Range, entries, middle


@pytest.fixture(scope="module")
def found(demo):
    return effects(evaluate(demo))


def by_key(found):
    return {effect.key: effect for effect in found}


def test_each_end_is_what_an_evaluation_of_its_own_gives(demo, found):
    """The second route: one scenario a value, all builds in it, no grid."""
    first = verdict(evaluate(demo)).first.key
    for effect in found[:: max(1, len(found) // 12)]:
        for value, cost, months in (
            (effect.low, effect.cost_from, effect.headroom_months_from),
            (effect.high, effect.cost_to, effect.headroom_months_to),
        ):
            builds = evaluate(demo.varied({effect.key: value})).builds
            alone = next(build for build in builds if build.key == first)
            assert alone.money.net_present_cost.point == pytest.approx(cost, rel=1e-12)
            assert alone.capacity.headroom_months.point == months


def test_an_hour_of_care_costs_what_it_costs(demo):
    """By hand: 1.8 h a month more (2.1 to 3.9), 48 an hour, 84 months, nothing rises."""
    flat = demo.varied({"prices.inflation_per_year": 0, "discount_rate_per_year": 0})
    care = by_key(effects(evaluate(flat)))["running.care_h_per_month"]
    assert (care.low, care.high) == (pytest.approx(2.1), pytest.approx(3.9))
    assert care.cost_to - care.cost_from == pytest.approx(1.8 * 48 * 84)
    assert care.headroom_share_fraction == 0


def test_shares_are_parts_of_all_effects_and_rank_them(demo):
    # A box that fills within the horizon, so that there is headroom to share out.
    tight = demo.varied({"needs": {}, "builds.twelve_and_shelf.box_price": 90_000})
    found = effects(evaluate(tight))
    assert sum(effect.cost_share_fraction for effect in found) == pytest.approx(1)
    assert sum(effect.headroom_share_fraction for effect in found) == pytest.approx(1)
    ranks = [effect.largest_share_fraction for effect in found]
    assert ranks == sorted(ranks, reverse=True)
    total = sum(abs(effect.cost_to - effect.cost_from) for effect in found)
    for effect in found:
        moved = abs(effect.cost_to - effect.cost_from)
        assert effect.cost_share_fraction == pytest.approx(moved / total)


def test_headroom_beyond_the_horizon_counts_as_the_horizon(demo):
    tight = demo.varied({"needs": {}, "builds.twelve_and_shelf.box_price": 90_000})
    found = effects(evaluate(tight.varied({"horizon_months": 48})))
    ends = [(min(e.headroom_months_from, 48), min(e.headroom_months_to, 48)) for e in found]
    assert any(math.isinf(effect.headroom_months_from) for effect in found)
    total = sum(abs(high - low) for low, high in ends)
    for effect, (low, high) in zip(found, ends, strict=True):
        assert effect.headroom_share_fraction == pytest.approx(abs(high - low) / total)


def test_moves_ranges_and_unwritten_guesses_and_nothing_else(demo, found):
    known = {entry.key: entry for entry in entries(demo)}
    for effect in found:
        entry = known[effect.key]
        assert not entry.quantity.whole
        assert not entry.quantity.choice
        guessed = not entry.written and entry.quantity.status == "guess"
        assert effect.is_range or guessed
        assert entry.quantity.lowest <= effect.low < effect.high <= entry.quantity.highest
        if effect.is_range:
            assert (effect.low, effect.high) == (entry.value.low, entry.value.high)
        else:
            assert effect.low <= entry.value <= effect.high
    keys = by_key(found)
    for left_out in ("builds.twelve_and_shelf.bays", "horizon_months", "needs.headroom_months"):
        assert left_out not in keys
    assert "running.labour_price_per_h" not in keys  # written, and no range
    assert "place.mains_v" not in keys  # common practice


def test_a_plain_guess_moves_by_a_third_or_by_notches(found):
    keys = by_key(found)
    watts = keys["drives.tb16.power_w"]
    assert (watts.low, watts.high) == (pytest.approx(0.7 * 7.5), pytest.approx(1.3 * 7.5))
    # Nothing and drifts have no third: four notches of 0.01, of 50, of 0.005.
    growth = keys["work.documentary.growth_per_year"]
    assert (growth.low, growth.high) == (pytest.approx(-0.04), pytest.approx(0.04))
    stills = keys["work.stage.stills_per_shoot_day"]
    assert (stills.low, stills.high) == (0, 200)
    wages = keys["prices.inflation_per_year"]
    assert (wages.low, wages.high) == (pytest.approx(0.005), pytest.approx(0.045))


def test_other_builds_are_left_alone(demo, found):
    first = verdict(evaluate(demo)).first.key
    wanted = {first, demo.remedy.next_build}
    assert {e.key.split(".")[1] for e in found if e.key.startswith("builds.")} <= wanted


def test_an_option_that_comes_first_is_the_one_looked_at(demo):
    """No proxies at all means less footage at no price, so it beats its own build."""
    habit = {"options.bare": {"build": "twelve_and_shelf", "proxies_and_exports_fraction": 0}}
    with_option = evaluate(demo.varied(habit | {"needs": {}}))
    first = verdict(with_option).first
    assert first.key == "bare"
    stage = by_key(effects(with_option))["work.stage.shoot_days_per_month"]
    low = evaluate(with_option.scenario.varied({"work.stage.shoot_days_per_month": stage.low}))
    alone = next(build for build in low.builds if build.key == "bare")
    assert alone.money.net_present_cost.point == pytest.approx(stage.cost_from, rel=1e-12)


def test_nothing_is_moved_where_everything_is_known(demo):
    known = demo.varied({entry.key: middle(entry.value) for entry in entries(demo)})
    assert not any(isinstance(entry.value, Range) for entry in entries(known))
    assert effects(evaluate(known)) == ()


def test_draws_do_not_change_the_effects_of_the_same_build(demo, found):
    drawn = evaluate(demo, draws=50)
    if verdict(drawn).first.key == verdict(evaluate(demo)).first.key:
        assert effects(drawn) == found


def test_a_grid_is_refused(demo):
    with pytest.raises(ValueError, match="grid"):
        effects(evaluate(demo, positions={"place.desk_m": [1, 2]}))
