"""Break-evens whose values one can work out by hand, and how they are pinned down."""

from dataclasses import replace

import numpy as np
import pytest
from study.decision.two_boxes import KWH_MORE, two_boxes

from storagecalc import evaluate
from storagecalc.study.alternatives import alternatives
from storagecalc.study.decision import break_even
from storagecalc.study.decision.break_even import BreakEven, Crossing, break_evens, draws_a_position
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.sliders import moved

POWER, BOX = "running.electricity_price_per_kwh", "builds.box.box_price"
RANGE = {"low": 0.3, "middle": 0.46, "high": 0.8}
# 500 more for a box that draws 50 W less: it pays from this price of a kWh on.
PAYS_FROM = 500 / KWH_MORE
THRIFTY = {"box_power_w": 10, "box_price": 1_500}
# Four drives at 100 and two hours at 10 beside the box: 1,100 for it is all there is.
BUDGET = {BOX: {"low": 900, "middle": 1_000, "high": 1_200}, "needs.upfront_cost": 1_520}


def only(scenario, key, *, draws=0):
    (found,) = break_evens(evaluate(scenario, draws=draws), [key])
    return found


def test_the_price_of_electricity_from_which_the_thrifty_box_pays():
    found = only(two_boxes(THRIFTY, **{POWER: RANGE}), POWER)
    (crossing,) = found.crossings
    assert (found.low, found.today, found.high) == (0.3, 0.46, 0.8)
    assert crossing.value == pytest.approx(PAYS_FROM, abs=0.5e-3 * 0.5)
    assert (crossing.side, crossing.recommended.key) == ("above", "thrifty")
    assert (crossing.meets_needs, crossing.missed_needs, crossing.met_needs) == (True, (), ())
    assert found.nearest is crossing
    assert not found.unsettled


def drawn_at(scenario, key, value, *, draws):
    """What a quantity is in every future where its slider stands at a value."""
    futures = sampler(moved(scenario, {key: value}), draws=draws).futures(0, draws)
    section, *way = key.split(".")
    table = getattr(futures, section)
    for name in way:
        table = table[name] if isinstance(table, dict) else getattr(table, name)
    return np.ravel(table)


def test_with_futures_the_range_goes_along_and_its_mean_is_what_pays():
    """What electricity costs on average is more than its middle, so it pays from less on."""
    scenario = two_boxes(THRIFTY, **{POWER: RANGE})
    found = only(scenario, POWER, draws=40)
    (crossing,) = found.crossings
    assert crossing.value < PAYS_FROM - 0.02
    means = [drawn_at(scenario, POWER, crossing.value + way, draws=40).mean()
             for way in (-0.5e-3, 0.5e-3)]  # fmt: skip
    assert means[0] < PAYS_FROM < means[1]


def test_with_futures_a_budget_is_kept_in_as_many_as_are_asked():
    """Four fifths of the futures stay within 1,100 below the crossing, and fewer above it."""
    scenario = two_boxes({"box_price": 1_600}, **BUDGET)
    found = only(scenario, BOX, draws=100)
    (crossing,) = found.crossings
    below, above = (
        (drawn_at(scenario, BOX, crossing.value + way, draws=100) <= 1_100).mean()
        for way in (-0.15, 0.15)
    )
    assert above < 0.8 <= below
    assert crossing.side == "below"
    assert (crossing.met_needs, crossing.meets_needs) == (("upfront_cost",), True)


@pytest.mark.parametrize("draws", [0, 40])
@pytest.mark.parametrize(
    ("key", "thrifty", "tables"),
    [(POWER, THRIFTY, {POWER: RANGE}), (BOX, {"box_price": 1_150}, BUDGET)],
)
def test_just_below_and_above_it_is_what_a_slider_there_would_say(key, thrifty, tables, draws):
    scenario = two_boxes(thrifty, **tables)
    whole = evaluate(scenario, draws=draws)
    (found,) = break_evens(whole, [key])
    advised, way = verdict(whole).recommended.build.key, (found.high - found.low) / 1_000
    assert found.crossings
    for crossing in found.crossings:
        sign = 1 if crossing.side == "above" else -1
        beyond = verdict(evaluate(moved(scenario, {key: crossing.value + sign * way}), draws=draws))
        before = verdict(evaluate(moved(scenario, {key: crossing.value - sign * way}), draws=draws))
        assert beyond.recommended.build.key == crossing.recommended.key
        own = [next(each for each in (*one.rivals, *one.others) if each.build.key == advised)
               for one in (before, beyond)]  # fmt: skip
        assert own[1].meets_needs == crossing.meets_needs
        missed = [{need.need for need in each.missed} for each in own]
        assert missed[1] - missed[0] == {*crossing.missed_needs}
        assert missed[0] - missed[1] == {*crossing.met_needs}


def test_below_today_the_recommendation_of_the_other_side():
    dear = {"low": 0.5, "middle": 0.7, "high": 0.9}
    found = only(two_boxes(THRIFTY, **{POWER: dear}), POWER)
    (crossing,) = found.crossings
    assert crossing.value == pytest.approx(PAYS_FROM, abs=0.5e-3 * 0.4)
    assert (crossing.side, crossing.recommended.key) == ("below", "box")


def test_a_number_without_a_range_is_moved_by_a_third():
    found = only(two_boxes(THRIFTY, **{POWER: 0.5}), POWER)
    assert (found.low, found.high) == (pytest.approx(0.35), pytest.approx(0.65))
    assert found.nearest.value == pytest.approx(PAYS_FROM, abs=0.5e-3 * 0.3)


@pytest.mark.parametrize(("off", "side"), [(-1e-5, "above"), (1e-5, "below")])
def test_a_crossing_hard_by_today_lies_on_its_side_of_it(off, side):
    found = only(two_boxes(THRIFTY, **{POWER: PAYS_FROM + off}), POWER)
    (crossing,) = found.crossings
    assert crossing.side == side
    assert crossing.recommended.key == {"above": "thrifty", "below": "box"}[side]


def test_nothing_changes_where_nothing_does():
    found = only(two_boxes(THRIFTY, **{POWER: 0.4}), POWER)
    assert found.crossings == ()
    assert found.nearest is None


def test_the_price_at_which_a_budget_no_longer_does():
    """Four drives at 100 and two hours at 10 beside the box: 1,100 for it is all there is."""
    found = only(two_boxes({"box_price": 1_600}, **BUDGET), BOX)
    (crossing,) = found.crossings
    assert crossing.value == pytest.approx(1_100, abs=0.5e-3 * 300)
    assert (crossing.recommended.key, crossing.side) == ("box", "above")
    assert not crossing.meets_needs
    assert (crossing.missed_needs, crossing.met_needs) == (("upfront_cost",), ())


def test_where_a_budget_that_is_missed_today_would_do():
    limits = {BOX: {"low": 900, "middle": 1_120, "high": 1_200}, "needs.upfront_cost": 1_520}
    found = only(two_boxes({"box_price": 1_600}, **limits), BOX)
    (crossing,) = found.crossings
    assert (crossing.side, crossing.value) == ("below", pytest.approx(1_100, abs=0.2))
    assert crossing.meets_needs
    assert (crossing.missed_needs, crossing.met_needs) == ((), ("upfront_cost",))


def test_beyond_a_budget_another_may_be_recommended():
    """Dearer than 1,100 the box misses the budget, and one of 1,050 that draws more meets it."""
    limits = {BOX: {"low": 900, "middle": 1_000, "high": 1_120}, "needs.upfront_cost": 1_520}
    found = only(two_boxes({"box_price": 1_050, "box_power_w": 100}, **limits), BOX)
    (crossing,) = found.crossings
    assert crossing.value == pytest.approx(1_100, abs=0.2)
    assert (crossing.recommended.key, crossing.missed_needs) == ("thrifty", ("upfront_cost",))


def test_two_crossings_between_two_positions_are_both_found(monkeypatch):
    """The budget ends at 1,100; from 1,150 on the other, over it as well, is cheaper."""
    monkeypatch.setattr(break_even, "POSITIONS", 2)
    found = only(two_boxes({"box_price": 1_150}, **BUDGET), BOX)
    assert [round(each.value) for each in found.crossings] == [1_100, 1_150]
    assert [each.recommended.key for each in found.crossings] == ["box", "thrifty"]
    assert [each.missed_needs for each in found.crossings] == [("upfront_cost",), ()]
    assert found.nearest is found.crossings[0]


def test_unsettled_where_fewer_futures_recommend_another():
    """What the evaluation recommends in its own futures is not what these few do."""
    scenario = two_boxes(THRIFTY, **{POWER: RANGE})
    whole = evaluate(scenario, draws=40)
    (other,) = {"box", "thrifty"} - {verdict(whole).recommended.build.key}
    (found,) = break_evens(replace(whole, advised=other), [POWER])
    assert found.unsettled
    (found,) = break_evens(whole, [POWER])
    assert not found.unsettled


@pytest.mark.parametrize("settled_from", [break_even.DRAWS, break_even.MORE_DRAWS, 10_000])
def test_more_futures_are_drawn_where_few_recommend_another(monkeypatch, settled_from):
    scenario, asked = two_boxes(THRIFTY, **{POWER: RANGE}), []
    box, thrifty = alternatives(scenario)

    def states(axis, values):
        asked.append((axis.draws, len(values)))
        chosen = box if axis.draws >= settled_from else thrifty
        return [break_even._State(chosen, True, ())] * len(values)

    monkeypatch.setattr(break_even._Axis, "states", states)
    found = only(scenario, POWER)
    few, many = (break_even.DRAWS, 42), [(break_even.MORE_DRAWS, 1), (break_even.MORE_DRAWS, 42)]
    expected = {
        break_even.DRAWS: [few],
        break_even.MORE_DRAWS: [few, *many],
        10_000: [few, many[0]],
    }
    assert asked == expected[settled_from]
    assert found.unsettled is (settled_from == 10_000)


def test_the_nearest_to_today_on_either_side():
    scenario = two_boxes(THRIFTY)
    box, _ = alternatives(scenario)
    one = Crossing(value=2.0, side="below", recommended=box, meets_needs=True, missed_needs=(),
                   met_needs=())  # fmt: skip
    crossings = (one, replace(one, value=4.5, side="above"), replace(one, value=9.0))
    found = BreakEven(key="", quantity=None, low=0, today=4, high=10, crossings=crossings,
                      unsettled=False)  # fmt: skip
    assert found.nearest is crossings[1]


def test_several_keys_keep_their_order_and_what_is_no_quantity_is_refused():
    evaluation = evaluate(two_boxes(THRIFTY), draws=5)
    assert [each.key for each in break_evens(evaluation, [BOX, POWER])] == [BOX, POWER]
    with pytest.raises(ValueError, match="box_prise is no quantity"):
        break_evens(evaluation, ["builds.box.box_prise"])
    gridded = evaluate(two_boxes(THRIFTY), positions={POWER: [1, 2]})
    with pytest.raises(ValueError, match="grid"):
        break_evens(gridded, [POWER])


def test_either_side_of_a_crossing_of_the_demo_is_what_a_slider_there_says(demo):
    """The second route: the same futures, one scenario a value, no grid."""
    key = "work.stage.shoot_days_per_month"
    found = only(demo, key, draws=60)
    nearest, way = found.nearest, (found.high - found.low) / 1_000
    sign = 1 if nearest.side == "above" else -1
    whole = verdict(evaluate(demo, draws=60)).recommended.build.key
    beyond, before = (
        verdict(evaluate(moved(demo, {key: nearest.value + each * way}), draws=60))
        for each in (sign, -sign)
    )
    assert beyond.recommended.build.key == nearest.recommended.key
    assert before.recommended.build.key == whole


def test_a_large_studio_gets_fewer_futures_at_each_position(demo):
    """Three builds over 84 months: 20,000 cells are 79 futures; over 240 months, the least."""
    assert draws_a_position(demo, 50) == 50
    assert draws_a_position(demo, 100) == 79
    long = demo.varied({"horizon_months": 240})
    assert draws_a_position(long, 100) == 40
    assert draws_a_position(long, 30) == 30
