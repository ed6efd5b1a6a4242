"""What things are still worth at the end: 0.7 a year of what was paid, or of the last price.

The studio by hand has 24 months and no discount; a box of 1000 and four drives of 100 in month 0,
2 h of work at 10 around each order.
"""

import pytest
from study.small import further, owned, with_tables

from storagecalc import evaluate

KEPT = {"box": "prices.box_value_kept_per_year_fraction",
        "drive": "prices.drive_value_kept_per_year_fraction"}  # fmt: skip
STILL = {"builds.box.bays": 4}
TWENTY = {"size_tb": 20, "price": 250, "failures_per_drive_year": 0.024}


def worth(scenario) -> float:
    return -evaluate(scenario).builds[0].money.present_cost_by_category["worth at the end"]


def test_what_was_bought_in_month_0_has_served_all_the_months(small):
    """Box, four drives and 20 of work for two years."""
    assert worth(small.varied(STILL)) == pytest.approx(1420 * 0.49)


def test_boxes_and_drives_keep_each_their_own_share(small):
    """Work counts with the drives it brings in."""
    assert worth(small.varied({**STILL, KEPT["box"]: 0.5})) == pytest.approx(250 + 420 * 0.49)
    assert worth(small.varied({**STILL, KEPT["drive"]: 0.5})) == pytest.approx(490 + 420 * 0.25)
    assert worth(small.varied({**STILL, KEPT["box"]: 0, KEPT["drive"]: 0})) == 0


def test_what_comes_later_has_served_less(small):
    """A shelf of 300 with four drives in month 7, four single drives in months 3 to 6."""
    shelved = with_tables(
        small, {"builds.box.shelf": {"bays": 4, "price": 300, "drives_at_first": 4}}
    )
    later = 720 * 0.7 ** (17 / 12) + sum(120 * 0.7 ** ((24 - month) / 12) for month in range(3, 7))
    assert worth(shelved) == pytest.approx(1420 * 0.49 + later)


def test_what_is_bought_in_the_last_month_counts_hardly_at_all(small):
    """31 TB are recorded in the last month only: a fifth drive is ordered then, and on its way."""
    late = with_tables(
        small,
        {"work.shoots.start_date": "2028-12-01", "work.shoots.shoot_days_per_month": 31,
         "builds.box.lead_time_months": 2},
    )  # fmt: skip
    assert worth(late) == pytest.approx(1420 * 0.49 + 120 * 0.7 ** (1 / 12))


def test_worn_out_things_are_worth_nothing_and_their_successors_something(small):
    """Two years of life in three years: box and drives of month 24 have served for one."""
    short = small.varied({**STILL, "horizon_months": 36, "builds.box.box_life_years": 2,
                          "drives.ten.service_life_years": 2})  # fmt: skip
    assert worth(short) == pytest.approx(1400 * 0.7)


def test_what_was_owned_before_is_worth_nothing(small):
    before = with_tables(
        small.varied(STILL),
        {"owned.old": owned((3, 1), box_age_years=2, bays=4),
         "builds.box.drives_from": "old", "builds.box.starts_in": "old"},
    )  # fmt: skip
    assert worth(before) == pytest.approx(120 * 0.49)


def test_no_thing_is_worth_more_than_a_new_one(small):
    """Drives at half the price in a year: those of month 0 count at the price of month 23."""
    falling = small.varied({**STILL, "prices.drive_change_per_year": -0.5})
    last = 0.5 ** (23 / 12)
    assert worth(falling) == pytest.approx((1020 + 400 * last) * 0.49)
    rising = small.varied({**STILL, "prices.drive_change_per_year": 0.5})
    assert worth(rising) == pytest.approx(1420 * 0.49)


def test_it_counts_in_the_last_month(small):
    """21 in 100 a year: 23 months make 1.1 to the power of 46 twelfths."""
    discounted = small.varied({**STILL, "discount_rate_per_year": 0.21})
    assert worth(discounted) == pytest.approx(1420 * 0.49 / 1.1 ** (46 / 12))


def swapped(small, **changes):
    """Four drives of 10 TB give way to four of 20 TB in month 3."""
    return with_tables(
        small.varied(STILL),
        {"drives.twenty": TWENTY, "builds.box.grows_by": "swapping",
         "builds.box.swap_to": "twenty", **changes},
    )  # fmt: skip


def test_drives_swapped_out_are_worth_nothing_at_the_end(small):
    now, later = 1020 * 0.49, (4 * 250 + 20) * 0.7 ** (21 / 12)
    assert worth(swapped(small)) == pytest.approx(now + later)


def test_drives_swapped_out_fetch_a_share_of_their_worth_where_they_are_sold(small):
    """By default nothing; else a share of 0.7 to the power of four months, before the end."""
    kept, sold = (
        evaluate(swapped(small, **{"prices.drive_sale_fraction": share})).builds[0].money
        for share in (0.0, 0.5)
    )
    assert kept.present_cost_by_category["sales"] == 0
    fetched = 0.5 * 400 * 0.7 ** (4 / 12)
    assert sold.present_cost_by_category["sales"] == pytest.approx(-fetched)
    assert sold.present_cost_by_category["worth at the end"] == pytest.approx(
        kept.present_cost_by_category["worth at the end"]
    )


def test_further_boxes_are_worth_something_with_the_work_of_bringing_them_in(small):
    """One in month 7 with four drives, 2 h around the order and 8 h of migration; four bays."""
    one = further(small, {**STILL, "work.shoots.shoot_days_per_month": 2})
    build = evaluate(one).builds[0]
    months = [row.month for row in build.money.purchases if row.what == "further box"]
    assert months == [15]
    assert worth(one) == pytest.approx(1420 * 0.49 + (1420 + 80) * 0.7 ** (9 / 12))


def test_it_is_no_part_of_any_years_budget(small):
    money = evaluate(small.varied(STILL)).builds[0].money
    paid = money.cost_by_year.point.sum()
    assert paid - money.net_present_cost.point == pytest.approx(1420 * 0.49)


def test_costs_and_copies_are_worth_nothing(small):
    more = with_tables(
        small.varied(STILL),
        {"costs": {"switch": {"price": 900}},
         "copies": {"near": {"another_building": True, "price": 500}}},
    )  # fmt: skip
    assert worth(more) == pytest.approx(worth(small.varied(STILL)))
