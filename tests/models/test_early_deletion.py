"""Early deletion: oldest first, month by month, so that footage stays within a limit."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.early_deletion import deleted_early_tb_by_month
from storagecalc.models.footage import (
    held_tb,
    recorded_before_today_tb_by_age,
    stored_today_tb,
)


def deleted(intake, keep, limit, stored=0.0, oldest=1.0):
    """What one kind of work has to delete early."""
    return deleted_of([(intake, keep, stored, oldest)], limit)


def deleted_of(works, limit):
    intake, keep, stored, oldest = zip(*works, strict=True)
    return deleted_early_tb_by_month(
        intake_tb_by_month=intake,
        keep_fraction_by_age=keep,
        stored_tb=stored,
        oldest_months=oldest,
        limit_tb_by_month=limit,
    )


def kept_for(months, ages, then=0.0):
    return np.where(np.arange(ages) < months, 1.0, then)


def simulated(works, to_delete):
    """The plain route for one future: a list of cohorts, oldest first, one amount a work.

    ``to_delete(month, held)`` says how much goes. Gives that and what is held afterwards, by month.
    """
    cohorts = []  # [month recorded, share not deleted early, TB recorded by work]
    for age in reversed(range(max(math.ceil(oldest) for _, _, _, oldest in works))):
        recorded = []
        for _, keep, stored, oldest in works:
            parts = [min(1.0, oldest - a) for a in range(math.ceil(oldest))]
            left = sum(part * keep[a] for a, part in enumerate(parts))
            recorded.append(stored / left * parts[age] if age < len(parts) and stored else 0.0)
        cohorts.append([-1 - age, 1.0, recorded])
    gone, held = [], []
    for month in range(len(works[0][0])):
        cohorts.append([month, 1.0, [intake[month] for intake, _, _, _ in works]])
        there = [
            share
            * sum(tb * work[1][month - since] for tb, work in zip(tbs, works, strict=True) if tb)
            for since, share, tbs in cohorts
        ]
        too_much = to_delete(month, math.fsum(there))
        gone.append(too_much)
        held.append(math.fsum(there) - too_much)
        for cohort, tb in zip(cohorts, there, strict=True):
            taken = min(tb, too_much)
            too_much -= taken
            cohort[1] *= 1 - taken / tb if tb else 1.0
    return gone, held


def deleted_by_lists(works, limit):
    return simulated(works, lambda month, held: max(0.0, held - limit[month]))[0]


@st.composite
def futures(draw, months=14):
    """One to three kinds of work and a limit by month."""
    tb = st.one_of(st.just(0.0), st.floats(0.01, 20))
    works = []
    for _ in range(draw(st.integers(1, 3))):
        oldest = draw(st.sampled_from([0.5, 1.0, 2.5, 4.0]))
        ages = months + math.ceil(oldest)
        rules = draw(st.lists(st.tuples(st.integers(1, ages), st.floats(0, 1)), max_size=3))
        keep = np.ones(ages)
        for age, share in rules:
            keep[age:] = np.minimum(keep[age:], share)
        intake = np.array(draw(st.lists(tb, min_size=months, max_size=months)))
        works.append((intake, keep, draw(tb), oldest))
    limit = draw(st.lists(st.floats(0, 120), min_size=months, max_size=months))
    return works, np.array(limit)


def test_by_hand_a_limit_of_half_of_what_is_kept():
    """1 TB a month kept for 24 months and 12 TB of room: each month from the 13th costs one."""
    gone = deleted(np.ones(84), kept_for(24, 85), 12.0)
    np.testing.assert_array_equal(gone, [0.0] * 12 + [1.0] * 72)
    assert gone.sum() == 72.0


def test_by_hand_the_keep_rule_has_less_to_thin_later():
    """10 TB, 10 TB and 4 TB with 12 TB of room, half kept from an age of 6 months on."""
    intake = np.zeros(12)
    intake[:3] = 10.0, 10.0, 4.0
    gone = deleted(intake, kept_for(6, 13, then=0.5), 12.0)
    # Month 1: 20 TB, 8 of the first 10 go. Month 2: 2 + 10 + 4, the last 2 and 2 of the next go.
    np.testing.assert_allclose(gone, [0, 8, 4] + [0] * 9, atol=1e-14)
    # Half of the 8 + 4 TB goes on its own in months 7 and 8, so that 9 TB more are 3 too many.
    intake[8] = 9.0
    gone = deleted(intake, kept_for(6, 13, then=0.5), 12.0)
    np.testing.assert_allclose(gone, [0, 8, 4] + [0] * 5 + [3, 0, 0, 0], atol=1e-14)


def test_by_hand_a_thinned_cohort_goes_at_what_is_left_of_it():
    gone = deleted([8.0, 0, 0, 0], [1, 1, 0.5, 0.5, 0.5], [8.0, 8.0, 3.0, 0.0])
    np.testing.assert_allclose(gone, [0, 0, 1, 3])


def test_by_hand_stored_footage_is_the_oldest():
    """6 TB of the last three months, 2 TB of each, kept for four months; 3 TB come in a month."""
    gone = deleted([3.0] * 4, kept_for(4, 8), 7.0, stored=6.0, oldest=3.0)
    # 2 + 2 + 2 + 3; then 2 + 2 + 3 + 3; then, with 1 TB of the newest stored, 1 + 3 + 3 + 3 twice.
    np.testing.assert_allclose(gone, [2, 3, 3, 3], rtol=1e-14)


def test_by_hand_a_limit_that_rises_brings_nothing_back():
    gone = deleted(np.ones(10), np.ones(11), [2.0] * 5 + [4.0] * 5)
    np.testing.assert_array_equal(gone, [0, 0, 1, 1, 1, 0, 0, 1, 1, 1])


def test_by_hand_a_limit_that_falls_takes_several_months_at_once():
    np.testing.assert_array_equal(deleted(np.ones(4), np.ones(5), [9, 9, 9, 1.5]), [0, 0, 0, 2.5])


def test_by_hand_two_kinds_of_work_go_in_proportion():
    """3 TB that would expire next month and 1 TB that would not: 2 of 4 go, 1.5 and 0.5."""
    short, long = kept_for(1, 4), np.ones(4)
    works = [([3.0, 0, 0], short, 0.0, 1.0), ([1.0, 0, 0], long, 0.0, 1.0)]
    np.testing.assert_allclose(deleted_of(works, [2.0, 2.0, 0.0]), [2.0, 0.0, 0.5])


def test_limits():
    intake, keep = np.array([3.0, 0.1, 0.0, 7.0, 0.3]), np.ones(8)
    assert np.all(deleted(intake, keep, 1e9, stored=9.0, oldest=3.0) == 0.0)
    np.testing.assert_array_equal(deleted(intake, keep, 0.0), intake)
    gone = deleted(intake, keep, 0.0, stored=9.0, oldest=3.0)
    np.testing.assert_allclose(gone, [12.0, *intake[1:]], rtol=1e-14)
    assert np.all(deleted(np.zeros(5), keep, 0.0) == 0.0)
    assert np.all(deleted(intake, np.zeros(8), 0.0) == 0.0)


def test_rounding_alone_deletes_nothing():
    """0.1 three times is not over a limit of 0.3, nor is what has been brought down to a limit."""
    assert 0.1 + 0.1 + 0.1 > 0.3
    assert np.all(deleted(np.full(30, 0.1), kept_for(3, 31), 0.3) == 0.0)
    intake = np.zeros(30)
    intake[:10] = 0.1 * np.arange(10) / 3
    gone = deleted(intake, np.ones(31), 0.7)
    assert np.all(gone[10:] == 0.0)
    assert gone.sum() == pytest.approx(intake.sum() - 0.7, rel=1e-14)


@given(futures())
def test_second_route_lists_of_cohorts(future):
    works, limit = future
    np.testing.assert_allclose(deleted_of(works, limit), deleted_by_lists(works, limit), atol=1e-6)


@given(futures())
def test_property_what_is_deleted_is_bounded(future):
    works, limit = future
    gone = deleted_of(works, limit)
    assert np.all(gone >= 0)
    recorded = sum(intake.sum() + stored for intake, _, stored, _ in works)
    assert gone.sum() <= recorded * (1 + 1e-12)
    held = np.array(simulated(works, lambda month, _: gone[month])[1])
    assert np.all(held <= limit * (1 + 1e-8) + 1e-9)
    assert np.all(held >= -1e-9)
    np.testing.assert_allclose(held[gone > 0], limit[gone > 0], rtol=1e-7, atol=1e-7)


@given(futures())
def test_property_the_first_month_over_is_told_by_what_is_held(future):
    """Up to the first month over the limit, what goes is what the keep rules hold beyond it."""
    works, limit = future
    held = sum(
        held_tb(
            intake_tb_by_month=intake,
            keep_fraction_by_age=keep,
            stored_today_tb_by_month=stored_today_tb(
                stored_tb=stored, oldest_months=oldest, keep_fraction_by_age=keep, months=14
            ),
        )
        for intake, keep, stored, oldest in works
    )
    over = held > limit * (1 + 1e-8) + 1e-9
    first = over.argmax() if over.any() else 13
    beyond = np.maximum(held - limit, 0)
    np.testing.assert_allclose(
        deleted_of(works, limit)[: first + 1], beyond[: first + 1], atol=2e-7
    )


@given(futures(), st.lists(st.floats(0, 50), min_size=14, max_size=14))
def test_property_more_room_never_deletes_more(future, more):
    works, limit = future
    gone, with_more = deleted_of(works, limit), deleted_of(works, limit + np.array(more))
    assert np.all(np.cumsum(with_more) <= np.cumsum(gone) + 1e-6)


@given(st.lists(futures(), min_size=2, max_size=5))
def test_property_an_array_gives_what_a_loop_gives(several):
    """The first kind of work of several futures, side by side along the draws."""
    intake = np.array([works[0][0] for works, _ in several])[np.newaxis]
    stored = np.array([[works[0][2]] for works, _ in several])[np.newaxis]
    limit = np.array([limit for _, limit in several])[np.newaxis]
    keep, oldest = np.minimum.accumulate(np.linspace(1, 0, 18)), several[0][0][0][3]
    at_once = deleted(intake, keep, limit, stored, oldest)
    assert at_once.shape == (1, len(several), 14)
    for place in range(len(several)):
        one = deleted(intake[0, place], keep, limit[0, place], stored[0, place, 0], oldest)
        np.testing.assert_allclose(at_once[0, place], one, rtol=1e-9, atol=1e-7)


@given(futures())
def test_what_was_recorded_is_thinned_to_what_is_stored(future):
    """Thinned again month by month, what was recorded before today is what is stored today."""
    for _, keep, stored, oldest in future[0]:
        if stored and not keep[: math.ceil(oldest)].all():
            continue
        recorded = recorded_before_today_tb_by_age(
            stored_tb=stored, oldest_months=oldest, keep_fraction_by_age=keep
        )
        assert len(recorded) == math.ceil(oldest)
        left = sum(tb * share for tb, share in zip(recorded, keep, strict=False))
        assert left == pytest.approx(stored, rel=1e-12)
        # Recorded evenly: every full month alike, the oldest by the part of it that counts.
        np.testing.assert_allclose(recorded[1:-1], recorded[1:-1].mean() if oldest > 2 else 0)
        part = oldest - (len(recorded) - 1)
        assert recorded[-1] == pytest.approx(recorded[0] * (part if oldest > 1 else 1))


@pytest.mark.parametrize(
    ("intake", "keep", "stored", "oldest", "limit", "shape"),
    [
        ((6,), (9,), (), (), (), (6,)),
        ((6,), (9,), (), (), (6,), (6,)),
        ((6,), (9,), (), (), (1,), (6,)),
        ((1, 5, 6), (9,), (1, 5, 1), (), (), (1, 5, 6)),
        ((6,), (1, 5, 9), (), (1, 5, 1), (1,), (1, 5, 6)),
        ((6,), (9,), (), (), (3, 5, 1), (3, 5, 6)),
        ((1, 5, 6), (3, 1, 9), (3, 1, 1), (1, 5, 1), (3, 5, 6), (3, 5, 6)),
    ],
)
def test_shapes(intake, keep, stored, oldest, limit, shape):
    rng = np.random.default_rng(7)
    one = (
        rng.random(intake),
        np.sort(rng.random(keep), axis=-1)[..., ::-1],
        rng.random(stored),
        rng.uniform(0.5, 3, oldest),
    )
    other = (np.ones(6), np.ones(20), 2.0, 1.5)
    room = rng.uniform(1, 6, limit)
    both, swapped = deleted_of([one, other], room), deleted_of([other, one], room)
    assert both.shape == shape
    assert (both > 0).any()
    np.testing.assert_allclose(both, swapped, atol=1e-12)
    for place in np.ndindex(shape[:-1]):
        single = [
            np.broadcast_to(part, (*shape[:-1], *np.shape(part)[-1:]))[place] for part in one[:2]
        ]
        scalars = [
            np.broadcast_to(part, (*shape[:-1], 1))[place].item() for part in (one[2], one[3])
        ]
        by_hand = deleted_by_lists(
            [(*single, *scalars), other], np.broadcast_to(room, shape)[place]
        )
        np.testing.assert_allclose(both[place], by_hand, atol=1e-7)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"stored_tb": [0.0]}, r"stored_tb must have one entry .*\(2\).* got 1"),
        ({"intake_tb_by_month": []}, r"intake_tb_by_month must have .* at least one, got 0"),
        ({"intake_tb_by_month": [[1.0], [1.0, 2.0]]}, "intake_tb_by_month must .* got 1 and 2"),
        ({"intake_tb_by_month": [[], []]}, "intake_tb_by_month must have a value for each month"),
        ({"keep_fraction_by_age": [[1.0] * 2] * 2}, "keep_fraction_by_age must .* = 3 ages, got 2"),
        ({"keep_fraction_by_age": [[0.5, 0.5, 1.0]] * 2}, "keep_fraction_by_age must never rise"),
        ({"oldest_months": [1.0, 0.0]}, "oldest_months must be a finite number above 0, got 0"),
        ({"limit_tb_by_month": [1.0, 2.0, 3.0]}, r"limit_tb_by_month must .* got the shape \(3,\)"),
        ({"limit_tb_by_month": -1.0}, "limit_tb_by_month must be .* of at least 0, got -1"),
    ],
)
def test_refused(changed, said):
    sound = {
        "intake_tb_by_month": [[1.0, 1.0]] * 2,
        "keep_fraction_by_age": [[1.0] * 3] * 2,
        "stored_tb": [1.0, 0.0],
        "oldest_months": [1.0, 1.0],
        "limit_tb_by_month": [1.0, 1.0],
    }
    deleted_early_tb_by_month(**sound)
    with pytest.raises(ValueError, match=said):
        deleted_early_tb_by_month(**{**sound, **changed})
