"""When the next order must go out, whether the rule is in time, and how much space would do."""

import math

import numpy as np
import pytest

from storagecalc import evaluate

DRAWS = 200
DOUBT = {"low": 1.5, "middle": 2.5, "high": 4}


@pytest.fixture
def doubtful(small):
    return small.varied(
        {"work.shoots.shoot_days_per_month": DOUBT, "builds.box.lead_time_months": 2}
    )


def test_the_next_order_goes_out_a_lead_time_before_it_is_full(small):
    """30 TB are exceeded in month 3; two and a half months ahead, whole months, is month 0."""
    for lead, month in ((0, 3), (1, 2), (2.5, 0), (5, -2)):
        capacity = evaluate(small.varied({"builds.box.lead_time_months": lead})).builds[0].capacity
        assert capacity.first_order_months == month
        assert capacity.first_fill_months.point == 3


def test_the_next_order_is_early_enough_in_as_many_futures_as_asked(doubtful):
    for confidence in (0.8, 0.95):
        asked = doubtful.varied({"needs.confidence_fraction": confidence})
        capacity = evaluate(asked, draws=DRAWS).builds[0].capacity
        by_draw = np.sort(capacity.first_fill_months_by_draw - 2)
        place = math.ceil(DRAWS * (1 - confidence) - 1e-9) - 1
        assert capacity.first_order_months == by_draw[place]
        assert (by_draw >= capacity.first_order_months).mean() >= confidence


def test_where_too_few_futures_fill_there_is_no_next_order(doubtful):
    """With a fifth as much work, some futures fill within two years, but fewer than asked for."""
    seldom = doubtful.varied({"work.shoots.shoot_days_per_month": {"low": 0.2, "middle": 0.6,
                                                                   "high": 1.3}})  # fmt: skip
    capacity = evaluate(seldom, draws=DRAWS).builds[0].capacity
    assert 0 < capacity.fills_fraction < 0.2
    assert capacity.first_order_months == math.inf


def test_a_rule_that_orders_too_late_is_told_with_the_point_that_would_do(doubtful):
    """At that order point the rule orders by the date in half of the futures, or nearly."""
    capacity = evaluate(doubtful, draws=DRAWS).builds[0].capacity
    assert capacity.rule_late_fraction > 0.5
    better = doubtful.varied(
        {"builds.box.order_at_fraction": float(np.clip(capacity.order_point_fraction, 0.2, 1))}
    )
    again = evaluate(better, draws=DRAWS).builds[0].capacity
    assert again.first_order_months == capacity.first_order_months
    assert again.rule_late_fraction <= 0.5


def test_the_space_that_would_do_is_the_most_held_in_the_months_asked_for(small, doubtful):
    """12 months at 10 TB: 120 TB; in doubt, what four of five futures stay at or below."""
    asked = evaluate(small.varied({"needs.headroom_months": 12})).builds[0].capacity.asked_tb
    assert asked == pytest.approx(120)
    capacity = evaluate(doubtful.varied({"needs.headroom_months": 12}), draws=DRAWS).builds[0]
    cautious = capacity.capacity.asked_tb
    # At the month before the need ends, what is held is largest in every future.
    roomy = doubtful.varied({"needs.headroom_months": 12, "drives.ten.size_tb": cautious / 7})
    months = evaluate(roomy, draws=DRAWS).builds[0].capacity.headroom_months_by_draw
    assert (months >= 12).mean() == pytest.approx(0.8, abs=0.006)


def test_unmet_counts_what_its_own_steps_do_not_hold(small):
    """Further boxes hold it, and it is the build's own lack all the same."""
    rented = evaluate(small).builds[0].capacity
    boxed = evaluate(
        small.varied({"remedy.kind": "next box", "remedy.next_build": "box"})
    ).builds[0].capacity  # fmt: skip
    beyond = sum(10 * month - 70 for month in range(8, 25))
    assert rented.unmet_tb_months == boxed.unmet_tb_months == pytest.approx(beyond)
    assert rented.headroom_months == boxed.headroom_months
