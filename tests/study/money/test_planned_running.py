"""What stands costs power each month, and failures in the share of its life out of warranty."""

import numpy as np
import pytest
from study.small import with_tables

from storagecalc.study.money.planned_running import box_running, drive_running
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.sampling import sampler


def running(small, **tables):
    middle = sampler(with_tables(small, tables)).middle()
    prices = price_paths(middle)
    return (
        drive_running(middle, prices, "ten"),
        box_running(middle, middle.builds["box"], prices),
    )


def test_a_drive_draws_power_and_fails_out_of_warranty(small):
    """10 W at 1 a kWh; 0.001 of 100 fail a month, in nine of ten years out of warranty."""
    drive, box = running(small)
    assert drive == pytest.approx(np.full(24, 7.3 + 0.09))
    assert box == pytest.approx(np.full(24, 43.8))


def test_a_box_fails_out_of_warranty(small):
    changes = {"builds.box.box_failures_per_year": 0.12, "builds.box.box_warranty_years": 4}
    assert running(small, **changes)[1] == pytest.approx(np.full(24, 43.8 + 0.01 * 0.6 * 1000))


def test_what_is_covered_for_life_costs_no_failures(small):
    changes = {"drives.ten.warranty_years": 10, "drives.ten.service_life_years": 8}
    assert running(small, **changes)[0] == pytest.approx(np.full(24, 7.3))


def test_it_follows_the_prices_of_each_month(small):
    changes = {"prices.drive_change_per_year": -0.2, "prices.electricity_change_per_year": 0.1}
    years = np.arange(24) / 12
    drive, box = running(small, **changes)
    assert drive == pytest.approx(7.3 * 1.1**years + 0.09 * 0.8**years)
    assert box == pytest.approx(43.8 * 1.1**years)


def test_a_box_that_fails_is_paid_for_at_the_price_of_its_month(small):
    changes = {
        "builds.box.box_failures_per_year": 0.12,
        "builds.box.box_warranty_years": 4,
        "prices.box_change_per_year": 0.1,
    }
    found = running(small, **changes)[1]
    assert found == pytest.approx(43.8 + 0.01 * 0.6 * 1000 * 1.1 ** (np.arange(24) / 12))
