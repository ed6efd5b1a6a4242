"""The orders of every future, and ratios of cost: by hand and against the ledger's months."""

import math

import numpy as np
import pytest
from study.money.ladder import NEVER, order_months, steps_of
from study.money.ledger import row
from study.small import further, outcomes_by_key, with_tables

from storagecalc import evaluate
from storagecalc.study.money.orders import LISTED_BOXES
from storagecalc.study.outcome import kept
from storagecalc.study.sampling import sampler

DRAWS = 9
DOUBT = {"low": 5, "middle": 10, "high": 20}


def test_orders_by_hand(small):
    """A drive in months 3 to 6, boxes of 1,000 with four drives in 7, 14 and 21, no more.

    Four drives a box are added to the first two of them, and none in time to the third.
    """
    orders = evaluate(further(small, {})).builds[0].money.orders
    found = [
        (each.what, each.count, each.month.item(), each.cost.item())
        for each in orders
        if math.isfinite(each.month.item())
    ]
    first = [("box", 1, 0, 1000), ("drives", 4, 0, 400), ("work", 1, 0, 20)]
    drives = [("drives", 1, month, 100) for month in (3, 4, 5, 6)]
    boxes = [("further box", 1, month, 1400) for month in (7, 14, 21)]
    assert found == [*first, *drives, *boxes]
    assert len(orders) == 3 + 4 + LISTED_BOXES
    assert all(each.cost.item() == 0 for each in orders if math.isinf(each.month.item()))


def test_orders_of_every_future_are_its_steps_at_the_price_of_their_month(small):
    doubtful = with_tables(
        further(small, {}),
        {"work.shoots.shoot_days_per_month": DOUBT, "prices.drive_change_per_year": -0.2,
         "prices.box_change_per_year": 0.1, "builds.box.cold_spares": 1,
         "builds.box.shelf": {"bays": 4, "price": 300, "drives_at_first": 4}},
    )  # fmt: skip
    outcome = outcomes_by_key(sampler(doubtful, draws=DRAWS).futures(0, DRAWS))["box"]
    orders = [each for each in kept(outcome, DRAWS).orders if np.any(each.month > 0)]
    steps = len(steps_of(outcome.build)) - 1
    assert [each.what for each in orders][:6] == ["drives"] * 4 + ["shelf", "drives"]
    for draw in range(DRAWS):
        months = order_months(row(outcome.grown.own.steps_ordered_by_month, draw), steps)
        months.append(months[-1])  # the shelf and its drives are one step
        boxes = order_months(row(outcome.grown.further.steps_ordered_by_month, draw), 30)[::5]
        for order, month in zip(orders, [*months, *boxes], strict=False):
            here = order.month[0, draw, 0]
            if month == NEVER:
                assert (here, order.cost[0, draw, 0]) == (math.inf, 0)
                continue
            assert here == month
            drive, box = 0.8 ** (month / 12), 1.1 ** (month / 12)
            price = {"drives": order.count * 100 * drive, "shelf": 300 * box,
                     "further box": 1000 * box + 500 * drive}[order.what]  # fmt: skip
            assert order.cost[0, draw, 0] == pytest.approx(price)


def test_cost_of_a_tb_year_divides_by_what_is_demanded(small):
    """10, 20, ... 240 TB in 24 months are 250 TB-years."""
    money = evaluate(further(small, {})).builds[0].money
    assert money.levelised_cost_per_tb_year.point == pytest.approx(
        money.net_present_cost.point / 250
    )
    days = money.cost_per_shoot_day["shoots"].point
    assert days == pytest.approx(money.net_present_cost.point / 240)


def test_cost_and_tb_years_are_discounted_alike(small):
    rate = small.varied({"discount_rate_per_year": 0.21})
    money = evaluate(rate).builds[0].money
    tb_years = sum(10 * (month + 1) / 12 * 1.1 ** (-month / 6) for month in range(24))
    assert money.levelised_cost_per_tb_year.point == pytest.approx(
        money.net_present_cost.point / tb_years
    )


def test_the_mean_of_a_ratio_is_the_ratio_of_means(demo):
    futures = {
        key: kept(outcome, 40)
        for key, outcome in outcomes_by_key(sampler(demo, draws=40).futures(0, 40)).items()
    }
    for build in evaluate(demo, draws=40).builds:
        own, money = futures[build.key], build.money
        years = own.demanded_tb_years.mean()
        assert money.levelised_cost_per_tb_year.mean * years == pytest.approx(
            money.net_present_cost.mean, rel=1e-12
        )
        for work, cost in money.cost_per_shoot_day.items():
            shared = (own.net_present_cost * own.held_fraction_by_work[work]).mean()
            assert cost.mean * own.shoot_days_by_work[work].mean() == pytest.approx(shared)
        assert np.isclose(
            money.cost_per_usable_tb.mean, own.hardware_cost.mean() / own.usable_tb.mean()
        )


def test_options_share_the_demand_of_the_build_they_are_beside(small):
    """Moved off or not, 250 TB-years are served."""
    both = with_tables(
        small,
        {"elsewhere": {"vault": {"price_per_tb_month": 2}},
         "options": {"off": {"build": "box", "to": "vault", "move_off_after_months": 4}}},
    )  # fmt: skip
    for build in evaluate(both).builds:
        assert build.money.levelised_cost_per_tb_year.point == pytest.approx(
            build.money.net_present_cost.point / 250
        )


def test_drives_of_a_further_box_are_listed_at_their_own_price(small):
    """The next box has drives of another class at 130, and costs 700."""
    raw = small.as_written()
    raw["drives"]["other"] = {**raw["drives"]["ten"], "price": 130}
    raw["builds"]["next"] = {**raw["builds"]["box"], "drives": "other", "box_price": 700}
    raw["remedy"] = {"kind": "next box", "next_build": "next"}
    rows = evaluate(with_tables(small, raw)).builds[0].money.purchases
    later = {(row.month, row.what): (row.count, row.cost) for row in rows if row.month >= 7}
    assert later[7, "further box"] == (1, 700)
    assert later[7, "drives"] == (4, 520)
    assert later[10, "drives"] == (1, 130)


def test_causes_are_means_of_the_futures(small):
    doubtful = small.varied({"work.shoots.shoot_days_per_month": DOUBT})
    outcome = outcomes_by_key(sampler(doubtful, draws=DRAWS).futures(0, DRAWS))["box"]
    causes = evaluate(doubtful, draws=DRAWS).builds[0].money.present_cost_by_category
    for name, cost in kept(outcome, DRAWS).present_cost_by_category.items():
        assert causes[name] == pytest.approx(float(cost.mean()))
    assert causes["rent"] > 0


def test_the_budget_has_what_is_paid_and_not_what_is_left(small):
    """Worth at the end is no part of the last year."""
    kept_worth = small.varied({"prices.box_value_kept_per_year_fraction": 0.9,
                               "prices.drive_value_kept_per_year_fraction": 0.9})  # fmt: skip
    nothing = small.varied({"prices.box_value_kept_per_year_fraction": 0,
                            "prices.drive_value_kept_per_year_fraction": 0})  # fmt: skip
    some, none = (evaluate(each).builds[0].money for each in (kept_worth, nothing))
    assert some.net_present_cost.point < none.net_present_cost.point
    assert some.cost_by_year.point.tolist() == none.cost_by_year.point.tolist()


def test_the_orders_of_the_first_month_are_the_first_order_with_its_spares(small):
    """A box, four drives and two for the cupboard, two hours of work."""
    money = evaluate(small.varied({"builds.box.cold_spares": 2})).builds[0].money
    first = [each for each in money.orders if each.month.item() == 0]
    assert [(each.what, each.count) for each in first] == [("box", 1), ("drives", 6), ("work", 1)]
    assert sum(each.cost.item() for each in first) == money.upfront_cost.point == 1620
