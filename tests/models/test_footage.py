"""Footage: recorded, thinned by keep rules, held and moved, month by month."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from storagecalc.models.footage import (
    held_tb,
    keep_fraction_by_age,
    moved_fraction_by_age,
    moved_from_stored_tb,
    recorded_tb_per_month,
    stored_today_tb,
)

KEEP = np.array([1.0, 1.0, 0.5, 0.5, 0.2, 0.0, 0.0, 0.0, 0.0])
RULES = st.lists(
    st.tuples(st.integers(0, 40), st.floats(0, 1), st.booleans()), min_size=0, max_size=4
).map(sorted)


def held(intake, keep, stored=0.0):
    return held_tb(
        intake_tb_by_month=intake, keep_fraction_by_age=keep, stored_today_tb_by_month=stored
    )


def curves(rules, months):
    after, keep, there = ([rule[part] for rule in rules] for part in range(3))
    return (
        keep_fraction_by_age(after_months=after, keep_fractions=keep, months=months),
        moved_fraction_by_age(
            after_months=after, keep_fractions=keep, goes_there=there, months=months
        ),
    )


def left_of_stored(stored, oldest, keep, months):
    return stored_today_tb(
        stored_tb=stored, oldest_months=oldest, keep_fraction_by_age=keep, months=months
    )


def moved_of_stored(stored, oldest, keep, moved, months):
    return moved_from_stored_tb(
        stored_tb=stored,
        oldest_months=oldest,
        keep_fraction_by_age=keep,
        moved_fraction_by_age=moved,
        months=months,
    )


def convolved(intake, keep):
    """The plain route, row by row."""
    shape = np.broadcast_shapes(intake.shape[:-1], keep.shape[:-1])
    rows = np.broadcast_to(intake, (*shape, intake.shape[-1])).reshape(-1, intake.shape[-1])
    kernels = np.broadcast_to(keep, (*shape, keep.shape[-1])).reshape(-1, keep.shape[-1])
    months = intake.shape[-1]
    out = [np.convolve(row, kernel)[:months] for row, kernel in zip(rows, kernels, strict=True)]
    return np.array(out).reshape(*shape, months)


def test_by_hand():
    tb = recorded_tb_per_month(
        shoot_days_per_month=4, cameras=3, hours_per_camera_day=2.5, mbit_s=200
    )
    assert tb == pytest.approx(30 * 0.09, rel=1e-15)
    # Three months of 10 TB: all kept for two months, half from the third on.
    np.testing.assert_allclose(held([10.0] * 4, KEEP[:4], 7.0), [17, 27, 32, 37], rtol=1e-15)


def test_by_hand_stored_today():
    """6 TB recorded evenly over three months and thinned: 2.4 + 2.4 + 1.2."""
    left = left_of_stored(6.0, 3, KEEP, 5)
    np.testing.assert_allclose(left, [2.4 * (1 + 0.5 + 0.5), 2.4 * 1.2, 2.4 * 0.7, 2.4 * 0.2, 0])


def test_limits():
    always, never = np.ones(5), np.zeros(5)
    np.testing.assert_array_equal(held([1.0, 2.0, 3.0], always), [1, 3, 6])
    np.testing.assert_array_equal(held([1.0, 2.0, 3.0], never, 4.0), 4.0)
    np.testing.assert_array_equal(held([1.0, 2.0, 3.0], [1.0]), [1, 2, 3])
    np.testing.assert_array_equal(held([0.0] * 3, always), 0.0)
    np.testing.assert_array_equal(left_of_stored(9.0, 2, np.ones(9), 4), 9.0)
    np.testing.assert_array_equal(left_of_stored(0.0, 2, np.zeros(9), 4), 0.0)
    np.testing.assert_array_equal(moved_of_stored(9.0, 2, np.ones(9), np.zeros(9), 4), 0.0)
    np.testing.assert_array_equal(curves([], 4)[0], 1.0)
    np.testing.assert_array_equal(curves([], 4)[1], 0.0)


def test_part_of_a_month_counts_as_part():
    """With two and a half months of age, the third month back was recorded only by half."""
    keep = np.ones(9)
    keep[3:] = 0.0
    left = left_of_stored(5.0, 2.5, keep, 4)
    np.testing.assert_allclose(left, [4.0, 2.0, 0.0, 0.0], rtol=1e-14)


@pytest.mark.parametrize("ages", [1, 3, 30, 45])
@pytest.mark.parametrize(
    ("intake_shape", "keep_shape"),
    [((), ()), ((1, 7), ()), ((), (1, 7)), ((1, 7), (1, 7)), ((4, 1), (1, 7)), ((4, 7), (4, 1))],
)
def test_second_route_numpy_convolve(intake_shape, keep_shape, ages):
    rng = np.random.default_rng(5)
    intake = rng.random((*intake_shape, 30)) * 10.0 ** rng.integers(-6, 4, (*intake_shape, 30))
    keep = np.sort(rng.random((*keep_shape, ages)), axis=-1)[..., ::-1]
    np.testing.assert_allclose(held(intake, keep), convolved(intake, keep), rtol=1e-12, atol=0)


def test_a_small_amount_is_exact_beside_a_large_one():
    """Nothing is left of a huge month once it is deleted: no rounding of it stays behind."""
    intake = np.ones((1, 3, 10)) * 1e-9
    intake[..., 0] = 1e9
    keep = np.zeros((1, 3, 10))
    keep[..., :4] = 1.0
    np.testing.assert_allclose(held(intake, keep)[..., 4:], 4e-9, rtol=1e-12)


@given(arrays.arrays(np.float64, 24, elements=st.floats(0, 100)), RULES)
def test_property_all_that_was_recorded_is_held_or_gone(intake, rules):
    keep, moved = curves(rules, 24)
    recorded = np.cumsum(intake)
    on_the_box, elsewhere = held(intake, keep), held(intake, moved)
    assert np.all(on_the_box + elsewhere <= recorded * (1 + 1e-12) + 1e-12)
    everything = moved_fraction_by_age(
        after_months=[rule[0] for rule in rules],
        keep_fractions=[rule[1] for rule in rules],
        goes_there=[True] * len(rules),
        months=24,
    )
    np.testing.assert_allclose(on_the_box + held(intake, everything), recorded, atol=1e-9)


@given(RULES, st.integers(1, 60))
def test_property_curves_never_turn(rules, months):
    keep, moved = curves(rules, months)
    assert np.all(np.diff(keep) <= 0)
    assert np.all(np.diff(moved) >= 0)
    assert np.all((keep >= 0) & (moved >= 0) & (keep + moved <= 1 + 1e-15))
    before_any = [age for age in range(months) if all(age < rule[0] for rule in rules)]
    assert np.all(keep[before_any] == 1)
    assert np.all(moved[before_any] == 0)


@given(RULES, st.integers(1, 30), st.integers(1, 40), st.floats(0.1, 100))
def test_stored_today_second_route_record_it_all_again(rules, oldest, months, monthly):
    """Record the same amount in each past month and go on without recording: what is held then."""
    keep, moved = curves(rules, months + oldest)
    past = np.zeros(oldest + months)
    past[:oldest] = monthly
    on_the_box, elsewhere = held(past, keep), held(past, moved)
    today = on_the_box[oldest - 1]
    if today < 1e-6:
        return
    left = left_of_stored(today, oldest, keep, months)
    np.testing.assert_allclose(left, on_the_box[oldest:], rtol=1e-9, atol=1e-9)
    newly_moved = moved_of_stored(today, oldest, keep, moved, months)
    np.testing.assert_allclose(
        newly_moved, elsewhere[oldest:] - elsewhere[oldest - 1], rtol=1e-9, atol=1e-9
    )


def test_later_rules_never_bring_footage_back():
    keep = keep_fraction_by_age(after_months=[1, 2], keep_fractions=[0.3, 0.8], months=4)
    assert keep.tolist() == [1.0, 0.3, 0.3, 0.3]


@pytest.mark.parametrize("draws", [1, 3])
def test_rules_by_draw_give_what_each_draw_gives_alone(draws):
    shares = np.array([0.2, 0.5, 0.9])[:draws]
    ages = np.array([2.5, 3.0, 5.0])[:draws]
    for shape in ((1, draws), (1, draws, 1)):
        keep = keep_fraction_by_age(
            after_months=[ages.reshape(shape), 6.0],
            keep_fractions=[shares.reshape(shape), 0.1],
            months=9,
        )
        assert keep.shape == (1, draws, 9)
        for draw in range(draws):
            alone = keep_fraction_by_age(
                after_months=[ages[draw], 6.0], keep_fractions=[shares[draw], 0.1], months=9
            )
            np.testing.assert_array_equal(keep[0, draw], alone)


def test_stored_by_draw_gives_what_each_draw_gives_alone():
    rng = np.random.default_rng(2)
    keep = np.sort(rng.random((1, 4, 20)), axis=-1)[..., ::-1]
    moved = 1 - keep
    stored, oldest = rng.random((1, 4, 1)) * 50, np.array([3.0, 4.5, 7.0, 1.0]).reshape(1, 4, 1)
    left = left_of_stored(stored, oldest, keep, 12)
    gone = moved_of_stored(stored, oldest, keep, moved, 12)
    assert left.shape == gone.shape == (1, 4, 12)
    np.testing.assert_allclose(left + gone, np.broadcast_to(stored, left.shape), rtol=1e-12)
    for draw in range(4):
        one = (float(stored[0, draw, 0]), float(oldest[0, draw, 0]), keep[0, draw])
        np.testing.assert_allclose(left[0, draw], left_of_stored(*one, 12), rtol=1e-12)
        np.testing.assert_allclose(
            gone[0, draw], moved_of_stored(*one, moved[0, draw], 12), rtol=1e-12
        )


def test_nothing_handed_in_is_changed():
    intake, keep = np.ones((1, 3, 6)), np.linspace(1, 0, 18).reshape(1, 3, 6)
    before = intake.copy(), keep.copy()
    held(intake, keep)
    np.testing.assert_array_equal(intake, before[0])
    np.testing.assert_array_equal(keep, before[1])


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: held(5.0, KEEP), r"^intake_tb_by_month must have a value for each month"),
        (lambda: held([-1.0], KEEP), r"^intake_tb_by_month must be .* at least 0, got -1"),
        (lambda: held([1.0], [80.0]), r"^keep_fraction_by_age must be .* at most 1, got 80"),
        (lambda: held([1.0], [1.0], math.nan), r"^stored_today_tb_by_month must be"),
        (lambda: left_of_stored(1.0, 3, KEEP, 7), r"at least months \+ oldest_months = 10 ages"),
        (lambda: left_of_stored(1.0, 3, KEEP[::-1], 2), r"^keep_fraction_by_age must never rise"),
        (lambda: left_of_stored(1.0, 3, 0 * KEEP, 2), r"^stored_tb must be 0 where"),
        (lambda: left_of_stored(1.0, 0, KEEP, 2), r"^oldest_months must be .* above 0, got 0"),
        (lambda: left_of_stored(1.0, 3, KEEP, 0), r"^months must be a whole number from 1"),
        (
            lambda: moved_of_stored(1.0, 3, KEEP, KEEP, 2),
            r"^moved_fraction_by_age must never fall",
        ),
        (
            lambda: moved_of_stored(1.0, 3, KEEP, [0.0], 2),
            r"^moved_fraction_by_age must have as many ages",
        ),
        (
            lambda: keep_fraction_by_age(after_months=[3, 2], keep_fractions=[1, 1], months=4),
            r"^after_months must never fall",
        ),
        (
            lambda: keep_fraction_by_age(after_months=[3], keep_fractions=[], months=4),
            r"^keep_fractions must have one entry for each of the 1 after_months, got 0",
        ),
        (
            lambda: moved_fraction_by_age(
                after_months=[3], keep_fractions=[0.5], goes_there=[], months=4
            ),
            r"^goes_there must have one entry for each of the 1 after_months, got 0",
        ),
        (
            lambda: keep_fraction_by_age(after_months=[3], keep_fractions=[50], months=4),
            r"^keep_fractions must be .* at most 1, got 50",
        ),
        (
            lambda: recorded_tb_per_month(
                shoot_days_per_month=1, cameras=1, hours_per_camera_day=25, mbit_s=1
            ),
            r"^hours_per_camera_day must be .* at most 24, got 25",
        ),
    ],
)
def test_bad_input_is_named(call, said):
    with pytest.raises(ValueError, match=said):
        call()
