"""What a TB without room costs for a month, by hand: a further box of 1,000 with eight drives."""

from typing import Any

import numpy as np
import pytest
from study.small import FURTHER, with_tables

from storagecalc.study.money.planning import further_box
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.money.unmet_price import bridging_price_by_month, further_box_price_by_month
from storagecalc.study.sampling import sampler

MONTHS = np.arange(24)
# Power of a drive, and its failures at 0.001 a month in nine of its ten years.
RUNNING = 7.3 + 0.001 * 0.9 * 100
# A month of a full further box: a quarter of an hour's care, eight drives and the box.
STANDING = 2.5 + 8 * RUNNING + 43.8


def share(small: Any, **tables: Any) -> np.ndarray:
    middle = sampler(with_tables(small, {**FURTHER, **tables})).middle()
    box = further_box(middle)
    assert box is not None
    return further_box_price_by_month(middle, price_paths(middle), box)


def test_bridging_costs_the_price_of_holding_it_elsewhere(small):
    middle = sampler(with_tables(small, {"prices.inflation_per_year": 0.06})).middle()
    found = bridging_price_by_month(middle, price_paths(middle))
    assert found == pytest.approx(5 * 1.06 ** (MONTHS / 12))


def test_a_further_box_loses_worth_in_the_months_that_are_left(small):
    """1,000 for the box, 800 for drives, ten hours; 0.7 a year is left of all; 70 TB."""
    left = 24 - MONTHS
    price = (1900 * (1 - 0.7 ** (left / 12)) / left + STANDING) / 70
    assert share(small) == pytest.approx(price)
    # Bought in the last month, it loses the worth of one month in that month.
    assert share(small)[-1] == pytest.approx((1900 * (1 - 0.7 ** (1 / 12)) + STANDING) / 70)


def test_box_and_drives_keep_their_own_share_of_worth(small):
    tables = {
        "prices.drive_value_kept_per_year_fraction": 0.5,
        "prices.box_value_kept_per_year_fraction": 0.8,
    }
    # Bringing it in lasts like the box, the work of an order like the drives.
    spent = 1900 - 1080 * 0.8**2 - 820 * 0.5**2
    assert share(small, **tables)[0] == pytest.approx((spent / 24 + STANDING) / 70)


def test_what_wears_out_first_ends_the_span(small):
    """Drives last a year of the two: the box is then still worth something."""
    tables = {
        "horizon_months": 36,
        "drives.ten.service_life_years": 2,
        "prices.box_value_kept_per_year_fraction": 0.8,
    }
    # Failures are paid for in one of two years.
    running = 2.5 + 8 * (7.3 + 0.001 * 0.5 * 100) + 43.8
    spent = 1900 - 1080 * 0.8**2
    found = share(small, **tables)
    assert found[:13] == pytest.approx(np.full(13, (spent / 24 + running) / 70))
    # From then on the horizon ends before the drives do.
    assert found[13] == pytest.approx(
        ((1900 - 1080 * 0.8 ** (23 / 12) - 820 * 0.7 ** (23 / 12)) / 23 + running) / 70
    )


def test_it_is_spread_at_the_discount_rate(small):
    present = sum(1.08 ** (-month / 12) for month in range(24))
    spent = 1900 * (1 - 0.7**2 * 1.08**-2)
    found = share(small, discount_rate_per_year=0.08)
    assert found[0] == pytest.approx((spent / present + STANDING) / 70)


def test_it_follows_the_prices_of_its_month_and_is_worth_no_more_than_a_new_one(small):
    moving = {
        "prices.drive_change_per_year": -0.2,
        "prices.box_change_per_year": 0.1,
        "prices.inflation_per_year": 0.05,
        "prices.electricity_change_per_year": 0.2,
        "builds.box.box_failures_per_year": 0.12,
        "builds.box.box_warranty_years": 5,
    }
    up = {each: (1 + each) ** (MONTHS / 12) for each in (-0.2, 0.1, 0.05, 0.2)}
    box, drives, hours = 1000 * up[0.1], 800 * up[-0.2], 10 * up[0.05]
    kept = 0.7 ** ((24 - MONTHS) / 12)
    worth = kept * (box + np.minimum(drives, drives[-1]) + 10 * hours)
    running = 2.5 * up[0.05] + (8 * 7.3 + 43.8) * up[0.2]
    running = running + 8 * 0.0009 * 100 * up[-0.2] + 0.01 * 0.5 * box
    price = ((box + drives + 10 * hours - worth) / (24 - MONTHS) + running) / 70
    assert share(small, **moving) == pytest.approx(price)


def test_it_is_the_mean_over_futures(small):
    ranged = {"builds.box.box_price": {"low": 500, "middle": 1000, "high": 2500}}
    drawn = sampler(with_tables(small, {**FURTHER, **ranged}), draws=40).futures(0, 40)
    box = further_box(drawn)
    assert box is not None
    price = float(np.mean(box.build.box_price))
    assert price > 1100
    found = further_box_price_by_month(drawn, price_paths(drawn), box)
    assert found[0] == pytest.approx(((price + 900) * (1 - 0.49) / 24 + STANDING) / 70)
