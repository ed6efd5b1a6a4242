"""Layouts: which drives protect one another, and the ladder from nominal to plannable."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from storagecalc.models.chain import MOST_PARITY_DRIVES
from storagecalc.models.layouts import (
    REDUNDANCIES,
    Layout,
    capacity_ladder,
    layout,
    nominal_tb,
    usable_tb,
)
from storagecalc.models.units import tib_from_tb

FRACTIONS = st.floats(0, 0.9)
LOSSES = {"formatting_fraction": 0.02, "snapshot_fraction": 0.1, "free_fraction": 0.2}


def of(redundancy, drive_count, hot_spares=0):
    return layout(redundancy=redundancy, drive_count=drive_count, hot_spares=hot_spares)


@pytest.mark.parametrize(
    ("redundancy", "drives", "spares", "wanted"),
    [
        ("none", 4, 1, (1, 3, 0, 1)),
        ("mirror", 3, 0, (1, 3, 2, 0)),
        ("single parity", 5, 1, (1, 4, 1, 1)),
        ("double parity", 12, 0, (1, 12, 2, 0)),
        ("triple parity", 12, 2, (1, 10, 3, 2)),
        ("striped mirrors", 9, 1, (4, 2, 1, 1)),
    ],
)
def test_by_hand(redundancy, drives, spares, wanted):
    made = of(redundancy, drives, spares)
    fields = (made.group_count, made.drives_per_group, made.parity_drives, made.hot_spares)
    assert fields == wanted


def test_by_hand_the_ladder():
    ladder = capacity_ladder(layout=of("double parity", 12), drive_tb=10, **LOSSES)
    assert (ladder.nominal_tb, ladder.usable_tb) == (120.0, 100.0)
    assert ladder.formatted_tb == pytest.approx(98.0)
    assert ladder.writable_tb == pytest.approx(88.2)
    assert ladder.plannable_tb == pytest.approx(70.56)


def test_twelve_drives_of_10_tb_with_double_parity_show_as_90_9_tib():
    assert tib_from_tb(usable_tb(layout=of("double parity", 12), drive_tb=10)) == pytest.approx(
        90.9, abs=0.05
    )


def test_limits_no_losses_leave_all_rungs_alike():
    none = dict.fromkeys(LOSSES, 0.0)
    ladder = capacity_ladder(layout=of("none", 7), drive_tb=3, **none)
    assert {getattr(ladder, rung) for rung in ladder.__slots__} == {21.0}


def test_limits_a_mirror_of_two_is_a_pair_of_striped_mirrors():
    assert of("mirror", 2) == of("striped mirrors", 2)
    assert usable_tb(layout=of("mirror", 2), drive_tb=8) == 8.0


@given(
    st.sampled_from(REDUNDANCIES),
    st.integers(2, 30),
    st.integers(0, 3),
    st.floats(0.5, 40),
    FRACTIONS,
    FRACTIONS,
    FRACTIONS,
)
def test_property_every_rung_is_at_most_the_one_above(
    redundancy, pairs, spares, drive_tb, formatting, snapshot, free
):
    assume(redundancy != "mirror" or 2 * pairs <= MOST_PARITY_DRIVES + 1)
    made = of(redundancy, 2 * pairs + spares, spares)
    ladder = capacity_ladder(
        layout=made,
        drive_tb=drive_tb,
        formatting_fraction=formatting,
        snapshot_fraction=snapshot,
        free_fraction=free,
    )
    rungs = [getattr(ladder, rung) for rung in ladder.__slots__]
    assert all(lower <= upper for upper, lower in pairwise(rungs))
    assert rungs[-1] > 0
    assert rungs[0] == pytest.approx((2 * pairs + spares) * drive_tb, rel=1e-15)


@given(st.sampled_from(["none", "single parity", "double parity", "triple parity"]))
def test_property_one_more_drive_is_one_more_drive_of_space(redundancy):
    space = usable_tb(layout=of(redundancy, np.arange(4, 30)), drive_tb=6.0)
    np.testing.assert_array_equal(np.diff(space), 6.0)


@pytest.mark.parametrize("redundancy", REDUNDANCIES)
def test_second_route_count_the_sets_of_drives_that_may_fail(redundancy):
    """Space by counting: of n drives the largest set that holds different data."""
    held = {"none": 8, "mirror": 1, "striped mirrors": 4}
    parity = {"single parity": 1, "double parity": 2, "triple parity": 3}
    wanted = held.get(redundancy, 8 - parity.get(redundancy, 0))
    assert usable_tb(layout=of(redundancy, 8), drive_tb=1) == wanted


def test_arrays_of_drives_and_sizes_broadcast():
    steps = of("double parity", np.array([6, 8, 12]), 0)
    sizes = np.array([8.0, 12.0])[None, :, None]
    assert usable_tb(layout=steps, drive_tb=sizes).shape == (1, 2, 3)
    assert usable_tb(layout=steps, drive_tb=sizes)[0, 1, 2] == 120.0
    assert nominal_tb(layout=steps, drive_tb=1.0).tolist() == [6.0, 8.0, 12.0]
    ladder = capacity_ladder(layout=steps, drive_tb=sizes, **LOSSES)
    assert ladder.plannable_tb.shape == (1, 2, 3)


def test_arrays_of_spares():
    assert of("single parity", 6, np.array([0, 1])).drives_per_group.tolist() == [6, 5]


@pytest.mark.parametrize(
    ("redundancy", "drives", "spares", "said"),
    [
        ("single parity", 1, 0, r"drive_count .* from 2 upwards .*\"single parity\", got 1"),
        ("double parity", 2, 0, r"drive_count .* from 3 upwards"),
        ("triple parity", 5, 2, r"drive_count .* from 4 upwards .* got 5 with hot_spares 2"),
        ("mirror", 1, 0, r"drive_count .* from 2 upwards"),
        ("mirror", 12, 2, r"drive_count must be at most 9 beside the hot_spares .* got 12"),
        ("striped mirrors", 7, 0, r"drive_count must be an even number"),
        ("striped mirrors", 8, 1, r"even number plus the hot_spares .* got 8 with hot_spares 1"),
        ("none", 0, 0, r"drive_count must be a whole number from 1 upwards, got 0"),
        ("none", 2.5, 0, r"drive_count must be a whole number"),
        ("none", 4, -1, r"hot_spares must be a whole number from 0 upwards, got -1"),
        ("raid", 4, 0, r"redundancy must be one of"),
    ],
)
def test_layouts_that_cannot_be_are_refused(redundancy, drives, spares, said):
    with pytest.raises(ValueError, match=said):
        of(redundancy, drives, spares)


def test_a_layout_made_by_hand_is_checked_too():
    with pytest.raises(ValueError, match=r"^parity_drives must be below drives_per_group"):
        Layout(group_count=1, drives_per_group=3, parity_drives=3, hot_spares=0)
    with pytest.raises(ValueError, match=r"^group_count must be a whole number"):
        Layout(group_count=-1, drives_per_group=3, parity_drives=1, hot_spares=0)


@pytest.mark.parametrize("name", LOSSES)
@pytest.mark.parametrize("bad", [1.0, -0.1, 20, float("nan")])
def test_fractions_are_fractions(name, bad):
    with pytest.raises(ValueError, match=rf"^{name} must be"):
        capacity_ladder(layout=of("mirror", 2), drive_tb=1, **(LOSSES | {name: bad}))
