"""What is kept beside a build is a pool of its own: it can be lost, and holds its share."""

import numpy as np
import pytest
from study.small import owned, with_tables

from storagecalc import evaluate
from storagecalc.models.failure import loss_probability_by_month
from storagecalc.study.loss.redundancy_compared import redundancy_compared

MONTH = np.arange(24)
# A hundredth of the 10 TB a month: nothing is ordered but what month 0 orders.
STILL = {"work.shoots.shoot_days_per_month": 1, "builds.box.lead_time_months": 2}


def lost(drives, rate, rebuild_h):
    return loss_probability_by_month(
        drives_per_group_by_month=drives, parity_drives=1, failures_per_drive_year=rate,
        rebuild_h=rebuild_h, repair="parallel",
    )  # fmt: skip


def built(small, months, **changes):
    old = {"size_tb": 10, "price": 1, "failures_per_drive_year": 0.12, "service_life_years": 5}
    box = owned((3, 1), drives="old", redundancy="single parity")
    kept = {"owned.old": box, "builds.box.keeps": ["old"], "builds.box.keeps_months": months}
    return with_tables(small, {**STILL, "drives.old": old, **kept, **changes})


def test_either_pool_can_be_lost_while_it_stands(small):
    """Three drives of 0.12 a year for 9 months, four of 0.012 from the third on."""
    loss = evaluate(built(small, 9)).builds[0].loss
    own = lost(np.where(MONTH < 2, 0, 4), 0.012, loss.rebuild_h)[-1]
    kept = lost(np.where(MONTH < 9, 3, 0), 0.12, loss.rebuild_h)[-1]
    expected = own + kept - own * kept
    assert loss.box_loss_probability_at_middle_rate == pytest.approx(expected, rel=1e-9)
    assert kept > 5 * own


def test_what_is_held_spreads_over_both_and_each_loses_its_own(small):
    """A TB more each month: all of it in the 20 TB at first, two of five parts of it later."""
    loss = evaluate(built(small, 24)).builds[0].loss
    own, kept = (
        np.diff(lost(drives, rate, loss.rebuild_h), prepend=0.0)
        for drives, rate in ((np.where(MONTH < 2, 0, 4), 0.012), (np.full(24, 3), 0.12))
    )
    held = MONTH + 1.0
    share = np.where(MONTH < 2, 1.0, 0.4)
    expected = (kept * share * held + own * (1 - share) * held).sum()
    assert loss.expected_tb_lost == pytest.approx(expected, rel=1e-9)
    assert loss.lost_at_once_tb == pytest.approx(0.6 * 24)


def test_a_larger_box_that_stays_is_what_is_lost_at_once(small):
    """60 TB are kept beside 30: two thirds of 24 TB."""
    large = owned((7, 1), redundancy="single parity")
    loss = evaluate(built(small, 24, **{"owned.old": large})).builds[0].loss
    assert loss.lost_at_once_tb == pytest.approx(24 * 2 / 3)


def test_its_drives_fail_while_it_stands(small):
    """Nine months of three drives, twenty-two of four."""
    build = evaluate(built(small, 9)).builds[0]
    expected = 9 * 3 * 0.01 + 22 * 4 * 0.001
    assert build.capacity.drive_failures.point == pytest.approx(expected)


def test_the_table_of_redundancies_is_about_the_first_box(small):
    rows = redundancy_compared(built(small, 9)).rows
    (row,) = [each for each in rows if each.as_written]
    own = evaluate(built(small, 9)).builds[0].loss.box_loss_probability
    assert 0 < row.by_repair["parallel"].loss_probability < own / 5
