"""What has to go early, what is put away, and shoot days that change: flows, by hand."""

import numpy as np
import pytest
from study.small import outcomes_by_key, with_tables

from storagecalc import evaluate
from storagecalc.study.footage.footage import footage
from storagecalc.study.sampling import sampler

# 1 TB a month kept for 24 months, in a box for 12 TB.
TIGHT = {
    "horizon_months": 84,
    "work.shoots.shoot_days_per_month": 1,
    "keep.all.steps": [{"after_months": 24, "keep_fraction": 0}],
    "drives.ten.size_tb": 4,
    "builds.box.bays": 4,
    "remedy.kind": "early cull",
}


def early_tb(scenario) -> np.ndarray:
    """TB deleted early in each month, from what they cost at 250 a TB."""
    flow = outcomes_by_key(sampler(scenario).middle())["box"].flow
    return flow.cost_by_category["deleted early"][0, 0] / 250


def test_deleted_early_is_counted_once_when_it_must_go(small):
    """From month 12 on one TB a month has to make room: 72 of 84 TB, though 24 would be held."""
    tight = with_tables(small, TIGHT)
    np.testing.assert_allclose(early_tb(tight), [0.0] * 12 + [1.0] * 72, atol=1e-9)
    money = evaluate(tight).builds[0].money
    assert money.present_cost_by_category["deleted early"] == pytest.approx(72 * 250)
    assert money.present_cost_by_category["rent"] == 0
    assert money.remedy_cost.point == pytest.approx(72 * 250)


def test_room_that_opens_brings_nothing_back(small):
    """No more work after 30 months: 18 TB have gone early, and what is left thins by its rule."""
    ended = with_tables(small, {**TIGHT, "work.shoots.end_date": "2029-07-01"})
    np.testing.assert_allclose(early_tb(ended), [0.0] * 12 + [1.0] * 18 + [0.0] * 54, atol=1e-9)


def test_a_drive_on_its_way_is_bridged_and_deletes_nothing(small):
    """Room for a fifth drive (16 TB), three months late: 1, 2 and 3 TB rented, then deleted."""
    growing = with_tables(small, {**TIGHT, "builds.box.bays": 5, "builds.box.lead_time_months": 3})
    np.testing.assert_allclose(early_tb(growing), [0.0] * 16 + [1.0] * 68, atol=1e-9)
    rent = evaluate(growing).builds[0].money.present_cost_by_category["rent"]
    assert rent == pytest.approx(5 * (1 + 2 + 3))


def test_what_is_put_away_is_handled_even_where_media_are_used_again(small):
    """10 TB a month leave the box after 4 months and would have been deleted after 12.

    80 TB lie there at most, on media that are used again; but 20 months bring 10 TB each.
    """
    vault = {"price_per_tb_month": 0, "media_price_per_tb": 12, "handling_h_per_tb": 0.5}
    moving = with_tables(
        small,
        {"keep.all.steps": [{"after_months": 12, "keep_fraction": 0}],
         "elsewhere": {"vault": vault},
         "options": {"off": {"build": "box", "to": "vault", "move_off_after_months": 4,
                             "needed_back_fraction_per_year": 0}}},
    )  # fmt: skip
    cost = evaluate(moving).builds[1].money.present_cost_by_category["archive"]
    assert cost == pytest.approx(80 * 12 + 200 * 0.5 * 10)


def test_dated_shoot_days_grow_from_their_own_date(small):
    """By a tenth every six months: ten days a month from the start, twenty from the second year."""
    growing = with_tables(
        small,
        {"work.shoots.growth_per_year": 0.21,
         "work.shoots.changes": [{"from_date": "2028-01-01", "shoot_days_per_month": 20}]},
    )  # fmt: skip
    found = footage(sampler(growing).middle())
    days = found.shoot_days_by_work["shoots"][0, 0]
    np.testing.assert_allclose(days[[0, 6, 12, 18]], [10, 11, 20, 22])
    np.testing.assert_allclose(found.recorded_tb_by_month[0, 0], days)


def test_days_grow_from_the_month_in_which_the_work_begins(small):
    late = with_tables(
        small,
        {"work.shoots.growth_per_year": 0.21, "work.shoots.start_date": "2027-07-01"},
    )
    days = footage(sampler(late).middle()).shoot_days_by_work["shoots"][0, 0]
    np.testing.assert_allclose(days[[0, 5, 6, 12, 18]], [0, 0, 10, 11, 12.1])


def test_a_longer_horizon_changes_nothing_that_is_held_before(demo):
    for months in (96, 120):
        short, long = (
            footage(sampler(each, draws=20).futures(0, 20)).held_tb_by_month
            for each in (demo, demo.varied({"horizon_months": months}))
        )
        np.testing.assert_allclose(short, long[..., :84], rtol=1e-12)
