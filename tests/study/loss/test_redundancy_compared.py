"""Redundancies and spares side by side: by hand, by another route, and what must always hold."""

import math

import pytest
from study.small import SMALL

from storagecalc import Scenario, evaluate
from storagecalc.models.failure import loss_probability, read_error_probability
from storagecalc.study.loss.redundancy_compared import redundancy_compared
from storagecalc.study.scenario.load import scenario_from

# Four drives in four bays, so their number never changes; a rebuild copies 10 TB at 100 MB/s.
COPY_H = 10e12 / 100e6 / 3600
WAIT_H, COLD_H = 50.0, 10.0


def box(**keys: object) -> Scenario:
    drives = {"ten": {**SMALL["drives"]["ten"], "media_mb_s": 100}}
    builds = {"box": {**SMALL["builds"]["box"], "bays": 4, **keys}}
    rebuild = {"rebuild_speed_fraction": 1, "swap_wait_h": WAIT_H, "cold_swap_h": COLD_H}
    raw = {**SMALL, "drives": drives, "builds": builds, "rebuild": rebuild}
    return scenario_from(raw, source="by hand")


def rows_of(found):
    return {row.redundancy: row for row in found.rows}


def test_without_redundancy_the_first_failure_loses_all():
    """Four drives, 0.012 failures a drive-year, two years: 1 - exp(-0.096)."""
    none = rows_of(redundancy_compared(box(), years=[1]))["none"].by_repair["parallel"]
    one, two = none.loss_probability_by_year
    assert one == pytest.approx(-math.expm1(-0.048), rel=1e-9)
    assert two == pytest.approx(-math.expm1(-0.096), rel=1e-9)
    assert none.loss_probability == two


@pytest.mark.parametrize("repair", ["parallel", "one at a time"])
def test_each_row_is_the_chain_of_its_own_drives(repair):
    found = redundancy_compared(box(), years=[1, 2])
    assert found.years == (1, 2)
    for kind, parity in (("single parity", 1), ("double parity", 2), ("triple parity", 3)):
        row = rows_of(found)[kind]
        chances = row.by_repair[repair].loss_probability_by_year
        for years, chance in zip(found.years, chances, strict=True):
            assert chance == pytest.approx(
                loss_probability(
                    drives_per_group=4,
                    parity_drives=parity,
                    failures_per_drive_year=0.012,
                    rebuild_h=WAIT_H + COPY_H,
                    horizon_years=years,
                    repair=repair,
                ),
                rel=1e-9,
            )
        assert row.plannable_tb == 10 * (4 - parity)
        assert row.read_error_probability == pytest.approx(
            read_error_probability(read_tb=10 * (4 - parity), errors_per_bit=1e-15), rel=1e-9
        )


def test_striped_mirrors_are_independent_pairs():
    row = rows_of(redundancy_compared(box()))["striped mirrors"]
    pair = loss_probability(
        drives_per_group=2,
        parity_drives=1,
        failures_per_drive_year=0.012,
        rebuild_h=WAIT_H + COPY_H,
        horizon_years=2,
        repair="parallel",
    )
    two_pairs = -math.expm1(2 * math.log1p(-pair))
    assert row.by_repair["parallel"].loss_probability == pytest.approx(two_pairs, rel=1e-9)
    assert row.plannable_tb == 20


def test_spares_by_hand():
    none, cold, hot = redundancy_compared(box()).spares
    assert (none.hot_spares, none.cold_spares, none.as_written) == (0, 0, True)
    assert none.rebuild_h == pytest.approx(WAIT_H + COPY_H)
    assert (cold.cold_spares, cold.plannable_tb) == (1, 30)
    assert cold.rebuild_h == pytest.approx(COLD_H + COPY_H)
    assert (hot.hot_spares, hot.plannable_tb) == (1, 20)
    assert hot.rebuild_h == pytest.approx(COPY_H)
    chances = [row.by_repair["parallel"].loss_probability for row in (none, cold, hot)]
    assert chances == sorted(chances, reverse=True)
    three = loss_probability(
        drives_per_group=3,
        parity_drives=1,
        failures_per_drive_year=0.012,
        rebuild_h=COPY_H,
        horizon_years=2,
        repair="parallel",
    )
    assert chances[-1] == pytest.approx(three, rel=1e-9), "the spare itself holds nothing"


def test_spares_are_told_as_the_scenario_rebuilds():
    in_turn = box(redundancy="double parity").varied({"rebuild.repair": "one at a time"})
    found = redundancy_compared(in_turn)
    double = rows_of(found)["double parity"].by_repair["one at a time"].loss_probability
    assert list(found.spares[0].by_repair) == ["one at a time"]
    same = found.spares[0].by_repair["one at a time"].loss_probability
    assert same == pytest.approx(double, rel=1e-12)


@pytest.mark.parametrize(
    ("keys", "kinds"),
    [
        ({}, ["none", "single parity", "double parity", "triple parity", "striped mirrors"]),
        ({"drives_at_first": 3}, ["none", "single parity", "double parity"]),
        ({"bays": 2, "drives_at_first": 2}, ["none", "single parity", "mirror"]),
        ({"bays": 2, "drives_at_first": 2, "redundancy": "mirror"}, ["none", "mirror"]),
        (
            {"redundancy": "mirror", "bays": 3, "drives_at_first": 3},
            ["none", "single parity", "double parity", "mirror"],
        ),
        ({"hot_spares": 1}, ["none", "single parity", "double parity"]),
    ],
)
def test_only_what_the_drives_can_form_is_told(keys, kinds):
    found = redundancy_compared(box(**keys))
    assert [row.redundancy for row in found.rows] == kinds
    assert sum(row.as_written for row in found.rows) == 1


def test_a_builds_own_spares_are_among_those_compared():
    found = redundancy_compared(box(redundancy="none", hot_spares=2))
    counts = [(row.hot_spares, row.cold_spares) for row in found.spares]
    assert counts == [(0, 0), (0, 1), (1, 0), (2, 0)]
    assert [row.as_written for row in found.spares] == [False, False, False, True]


def test_what_is_written_agrees_with_the_evaluation(demo):
    """The table is about each build's own pools: so is the evaluation without further boxes."""
    for repair in ("parallel", "one at a time"):
        scenario = demo.varied({"rebuild.repair": repair, "remedy.kind": "held elsewhere"})
        rows = [row for row in redundancy_compared(scenario).rows if row.as_written]
        for row, build in zip(rows, evaluate(scenario).builds, strict=True):
            found, loss = row.by_repair[repair], build.loss
            assert row.build_key == build.key
            assert found.loss_probability == pytest.approx(loss.box_loss_probability, rel=1e-12)
            assert found.loss_probability_low == pytest.approx(
                loss.box_loss_probability_low, rel=1e-12
            )
            assert found.loss_probability_high == pytest.approx(
                loss.box_loss_probability_high, rel=1e-12
            )
            assert row.plannable_tb == build.capacity.ladder.plannable_tb
            assert row.rebuild_h == loss.rebuild_h
            assert row.read_error_probability == loss.read_error_probability


def test_what_always_holds(demo):
    found = redundancy_compared(demo)
    assert found.years == (1, 3, 5, 7)
    for row in found.rows:
        at_once, in_turn = row.by_repair["parallel"], row.by_repair["one at a time"]
        chances = at_once.loss_probability_by_year
        assert list(chances) == sorted(chances)
        assert at_once.loss_probability_low < at_once.loss_probability_high
        assert in_turn.loss_probability >= at_once.loss_probability * (1 - 1e-12)
    for build in demo.builds:
        same = [row for row in found.rows if row.build_key == build]
        by_parity = [row.by_repair["parallel"].loss_probability for row in same[:4]]
        assert by_parity == sorted(by_parity, reverse=True)
        assert [row.plannable_tb for row in same[:4]] == sorted(
            (row.plannable_tb for row in same[:4]), reverse=True
        )


def test_a_build_that_grows_drive_by_drive_grows_by_pairs_as_mirrors():
    found = rows_of(redundancy_compared(box(bays=8)))
    assert found["striped mirrors"].plannable_tb == 20


def test_a_name_with_dots_in_it_is_a_name():
    raw = box().as_written()
    raw["builds"] = {"a.b": raw["builds"]["box"]}
    assert {
        row.build_key for row in redundancy_compared(scenario_from(raw, source="dots")).rows
    } == {"a.b"}


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_bad_years_are_named(demo, bad):
    with pytest.raises(ValueError, match="years"):
        redundancy_compared(demo, years=[bad])


def test_years_beyond_the_horizon_are_left_out(demo):
    assert redundancy_compared(demo, years=[2, 30]).years == (2, 7)


def test_spares_may_be_left_out(demo):
    whole, part = (redundancy_compared(demo, with_spares=some) for some in (True, False))
    assert part.spares == ()
    assert [row.redundancy for row in part.rows] == [row.redundancy for row in whole.rows]
