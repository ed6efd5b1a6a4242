"""Needs by hand: each on the futures, all of them at once, and what they cannot do."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from study.decision.crafted import crafted, lasts, met_in

from storagecalc import evaluate
from storagecalc.study.decision.needs import close_calls, standings
from storagecalc.study.scenario.load import scenario_from

FIGURES = st.lists(st.integers(1, 12).map(float), min_size=10, max_size=10)


def standing(needs, **options):
    """How the one alternative stands, by need: what is asked and what it is judged on."""
    asked = {need: (required, {"a": judged}) for need, (required, judged) in needs.items()}
    return standings(crafted({"a": 100}, asked, **options))[0]


def only(needs, **options):
    return standing(needs, **options).needs[0]


def test_without_needs_all_futures_meet_them():
    alone = standing({})
    assert alone.needs == ()
    assert (alone.needs_met_fraction, alone.meets_needs) == (1.0, True)
    assert alone.missed == ()
    assert alone.costliest_need is None


@pytest.mark.parametrize(("count", "meets"), [(79, False), (80, True), (81, True)])
def test_a_need_is_met_where_enough_futures_meet_it(count, meets):
    """At a confidence of 0.8 eighty futures of a hundred are enough, seventy-nine are not."""
    found = standing({"headroom_months": (24, lasts(count))})
    assert found.needs[0].met_fraction == count / 100
    assert (found.needs[0].met, found.meets_needs) == (meets, meets)


@pytest.mark.parametrize("confidence", [0.5, 0.55, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.99])
def test_the_boundary_belongs_to_those_who_meet_it(confidence):
    count = round(100 * confidence)
    for futures, meets in ((count - 1, False), (count, True)):
        found = standing({"headroom_months": (24, lasts(futures))}, confidence=confidence)
        assert (found.meets_needs, found.needs[0].met) == (meets, meets)


def test_exactly_what_is_asked_is_enough_from_either_side():
    assert only({"headroom_months": (24, 24)}).met
    assert not only({"headroom_months": (24, 23.9)}).met
    assert only({"noise_dba": (38, 38)}).met
    assert not only({"noise_dba": (38, 38.1)}).met


def test_the_value_is_what_holds_at_the_confidence():
    """Of 1 to 100 months eighty futures have 21 or more; of 1 to 100 euros eighty have 80 or less.

    Counted out: 21, 22, ... 100 are eighty figures, and so are 1, 2, ... 80.
    """
    figures = np.arange(1.0, 101.0)
    months = only({"headroom_months": (24, figures)})
    assert (months.value, months.at_least, months.met_fraction) == (21.0, True, 0.77)
    euros = only({"upfront_cost": (75, figures)})
    assert (euros.value, euros.at_least, euros.met_fraction) == (80.0, False, 0.75)


@given(figures=FIGURES, required=st.integers(1, 12), confidence=st.sampled_from([0.5, 0.8, 0.9]))
def test_the_value_meets_what_is_asked_exactly_where_the_need_is_met(figures, required, confidence):
    for need in ("headroom_months", "upfront_cost"):
        found = only({need: (required, figures)}, confidence=confidence, draws=10)
        enough = found.value >= required if found.at_least else found.value <= required
        assert enough == found.met


def test_what_lasts_beyond_the_horizon_meets_every_need_for_headroom():
    found = only({"headroom_months": (24, met_in((0, 70), good=np.inf, bad=10))})
    assert (found.value, found.met_fraction, found.met) == (10.0, 0.7, False)
    assert only({"headroom_months": (24, np.inf)}).value == np.inf


@pytest.mark.parametrize(("probability", "fraction"), [(0.0009, 1.0), (0.001, 1.0), (0.0011, 0.0)])
def test_loss_counts_in_all_futures_or_in_none(probability, fraction):
    needs = {"headroom_months": (24, lasts(90)), "loss_probability": (0.001, probability)}
    found = standing(needs)
    loss = found.needs[1]
    assert (loss.value, loss.met_fraction, loss.met) == (probability, fraction, bool(fraction))
    assert found.needs_met_fraction == 0.9 * fraction
    assert found.meets_needs == bool(fraction)


def test_all_at_once_is_less_than_each_alone():
    """Headroom fails in futures 0 to 14, streams in 10 to 24: together 25 of a hundred."""
    found = standing(
        {
            "headroom_months": (24, met_in((15, 100), good=30, bad=10)),
            "streams": (5, met_in((0, 10), (25, 100), good=6, bad=4)),
        }
    )
    assert [need.met_fraction for need in found.needs] == [0.85, 0.85]
    assert all(need.met for need in found.needs)
    assert found.missed == ()
    assert found.needs_met_fraction == 0.75
    assert not found.meets_needs


def test_needs_missed_in_the_same_futures_are_missed_once():
    same = {"headroom_months": (24, lasts(85)), "streams": (5, met_in((0, 85), good=6, bad=4))}
    assert standing(same).needs_met_fraction == 0.85


def test_needs_left_out_free_their_futures():
    found = standing(
        {
            "headroom_months": (24, met_in((0, 90), good=30, bad=10)),
            "streams": (5, met_in((30, 100), good=6, bad=4)),
        }
    )
    assert found.needs_met_fraction == 0.6
    assert found.met_fraction_without(frozenset({"streams"})) == 0.9
    assert found.met_fraction_without(frozenset({"headroom_months"})) == 0.7
    assert found.met_fraction_without(frozenset({"headroom_months", "streams"})) == 1.0


def test_the_shortfall_is_what_is_missing_at_the_confidence():
    needs = {
        "headroom_months": (24, lasts(60)),
        "noise_dba": (38, 41.5),
        "upfront_cost": (9000, 8000),
    }
    headroom, noise, upfront = standing(needs).needs
    assert [need.shortfall for need in (headroom, noise, upfront)] == [14.0, 3.5, 0.0]
    assert [need.need for need in standing(needs).missed] == ["headroom_months", "noise_dba"]


def test_the_costliest_need_is_met_by_the_fewest_futures():
    found = standing(
        {
            "headroom_months": (24, lasts(85)),
            "streams": (5, met_in((0, 82), good=6, bad=4)),
            "noise_dba": (38, 30),
        }
    )
    assert found.costliest_need.need == "streams"


def test_the_point_alone_meets_all_or_nothing():
    for months, fraction in ((30, 1.0), (10, 0.0)):
        found = standing({"headroom_months": (24, months)}, draws=0)
        assert (found.needs_met_fraction, found.meets_needs) == (fraction, bool(fraction))


@given(
    months=FIGURES,
    euros=FIGURES,
    asked=st.tuples(st.integers(1, 12), st.integers(1, 12)),
    eased=st.tuples(st.integers(0, 12), st.integers(0, 12)),
    confidence=st.sampled_from([0.5, 0.7, 0.8, 0.9]),
)
def test_a_loosened_need_is_never_newly_missed(months, euros, asked, eased, confidence):
    def found(least, most):
        needs = {"headroom_months": (least, months), "upfront_cost": (most, euros)}
        return standing(needs, confidence=confidence, draws=10)

    strict, loose = found(*asked), found(asked[0] - eased[0], asked[1] + eased[1])
    for before, after in zip(strict.needs, loose.needs, strict=True):
        assert after.met >= before.met
        assert after.met_fraction >= before.met_fraction
        assert after.shortfall <= before.shortfall
    assert loose.needs_met_fraction >= strict.needs_met_fraction
    assert loose.meets_needs >= strict.meets_needs


@given(months=FIGURES, euros=FIGURES, streams=FIGURES)
def test_all_at_once_is_never_more_than_the_worst_of_them(months, euros, streams):
    needs = {"headroom_months": (6, months), "upfront_cost": (6, euros), "streams": (6, streams)}
    found = standing(needs, draws=10)
    assert found.needs_met_fraction <= min(need.met_fraction for need in found.needs)
    all_met = [m >= 6 and e <= 6 and s >= 6 for m, e, s in zip(months, euros, streams, strict=True)]
    assert found.needs_met_fraction == sum(all_met) / 10


def test_another_alternative_changes_nothing_about_the_needs_of_the_others(raw):
    with_it = standings(evaluate(scenario_from(raw, source="three"), draws=60))
    del raw["builds"]["eight_in_steps"]
    without = standings(evaluate(scenario_from(raw, source="two"), draws=60))
    kept = [each for each in with_it if each.build.key != "eight_in_steps"]
    assert len(kept) == len(without) == 2
    for one, other in zip(kept, without, strict=True):
        assert one.needs_met_fraction == other.needs_met_fraction
        for before, after in zip(one.needs, other.needs, strict=True):
            assert np.array_equal(before.met_by_draw, after.met_by_draw)
            assert before.value == pytest.approx(after.value, rel=1e-9)


def test_every_need_of_the_file_is_judged_in_its_order(demo):
    for each in standings(evaluate(demo, draws=20)):
        assert [need.need for need in each.needs] == [
            "headroom_months", "loss_probability", "streams", "noise_dba", "depth_mm",
            "upfront_cost", "cost_per_year",
        ]  # fmt: skip


def test_a_grid_is_refused(demo):
    with pytest.raises(ValueError, match="grid"):
        standings(evaluate(demo, positions={"place.desk_m": [1, 2]}))


CLOSE = [
    # At a confidence of 0.8 a need that 80 to 89 of a hundred futures meet is close.
    ("headroom_months", 24, lasts(79), True),
    ("headroom_months", 24, lasts(80), True),
    ("headroom_months", 24, lasts(89), True),
    ("headroom_months", 24, lasts(90), False),
    # Met in all futures, by a tenth of what is asked or by more.
    ("headroom_months", 24, 26, True),
    ("headroom_months", 24, 27, False),
    ("noise_dba", 40, 36, True),
    ("noise_dba", 40, 35.9, False),
    ("noise_dba", 40, 40, True),
    ("noise_dba", 40, 55, True),
    ("streams", 10, 11, True),
    ("streams", 10, 12, False),
    # Copies are counted: two of two are no close call, one of two is a miss.
    ("copies", 2, 2, False),
    ("copies", 2, 1, True),
]


@pytest.mark.parametrize(("need", "required", "judged", "close"), CLOSE)
def test_a_close_call_is_a_miss_or_is_met_by_no_more_than_a_tenth(need, required, judged, close):
    assert only({need: (required, judged)}).is_close(0.8) is close


@pytest.mark.parametrize(("met", "confidence"), [(97, 0.95), (95, 0.9)])
def test_a_need_met_in_all_futures_is_not_close_because_nearly_all_are_asked(met, confidence):
    """Where 90 or more are asked there is no tenth above it that a share could lie in."""
    found = only({"headroom_months": (24, lasts(met))}, confidence=confidence)
    assert found.met
    assert not found.is_close(confidence)


def test_close_calls_are_needs_that_are_close_for_anyone_with_all_that_meet_them():
    needs = {
        "headroom_months": (24, {"a": 40, "b": lasts(70)}),
        "noise_dba": (40, {"a": 20, "b": 25}),
        "streams": (10, {"a": 10, "b": 30}),
    }
    whole = crafted({"a": 100, "b": 300}, needs)
    calls = close_calls(whole)
    assert [[one.need for one in same] for same in calls] == [
        ["headroom_months"] * 2, ["streams"] * 2,
    ]  # fmt: skip
    assert [one.value for one in calls[1]] == [10, 30]
    assert close_calls(crafted({"a": 100})) == ()
