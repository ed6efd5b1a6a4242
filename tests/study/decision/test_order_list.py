"""What is ordered at once and what next, on orders by hand."""

from dataclasses import replace

import pytest
from views.figures import five, with_figures
from views.orders import NEVER, order

from storagecalc import evaluate
from storagecalc.study.decision.order_list import (
    OrderRow,
    first_things,
    next_order,
    order_list,
    unlisted_cost,
)

BOX, WORK = order("box", 1, [0] * 4, [900] * 4), order("work", 1, [0] * 4, [20] * 4)


def build(*orders, unlisted=0.0):
    figures = {"money.orders": orders, "money.unlisted_orders_cost": five(1, unlisted, 3, 4, 5)}
    return with_figures(figures).builds[0]


def test_the_first_order_is_what_every_future_orders_in_the_first_month():
    four, two = order("drives", 4, [0] * 4, [400] * 4), order("drives", 2, [0] * 4, [200] * 4)
    later = order("shelf", 1, [0, 0, 0, 3], [300] * 4)
    seldom = order("larger drives", 1, [0, 0, 0, NEVER], [300, 300, 300, 0])
    assert first_things(build(BOX, four, WORK, two, later, seldom)) == [
        ("box", 1), ("drives", 6), ("work", 1),
    ]  # fmt: skip
    assert first_things(build(later)) == []


@pytest.mark.parametrize(
    ("orders", "told"),
    [
        ((), None),
        ((order("drives", 2, [NEVER] * 4, [0] * 4),), None),
        # Work and boxes at first are no step; the earliest median month is next.
        (
            (order("work", 1, [1] * 4, [9] * 4), order("shelf", 1, [7, 8, 9, 9], [300] * 4),
             order("drives", 2, [4, 5, 6, NEVER], [10, 20, 30, 0])),
            ("drives", 2, (4, 5, 6), 0.75, 20),
        ),
        # At once in half of the futures, and later in the others.
        (
            (order("further box", 1, [0, 0, 3, 5], [800] * 4),),
            ("further box", 1, (0, 0, 5), 1.0, 800),
        ),
        # Steps taken together are one order.
        (
            (order("drives", 2, [3] * 4, [50] * 4), order("drives", 1, [3] * 4, [20] * 4)),
            ("drives", 3, (3, 3, 3), 1.0, 70),
        ),
    ],
)  # fmt: skip
def test_the_next_order_is_the_first_later_one_that_makes_room(orders, told):
    found = next_order(build(BOX, WORK, *orders))
    if told is None:
        assert found is None
        return
    what, count, (early, month, late), share, cost = told
    assert found == OrderRow(
        month=month,
        month_p10=early,
        month_p90=late,
        what=what,
        count=count,
        drives=None,
        placed_fraction=share,
        cost=cost,
    )


def test_what_few_futures_order_is_in_no_line_but_in_the_rest():
    """One in twenty is left out, one in ten is told."""
    rare = order("shelf", 1, [2] + [NEVER] * 19, [600] + [0] * 19)
    told = order("shelf", 1, [4, 6] + [NEVER] * 18, [600, 700] + [0] * 18)
    found = build(rare, told, unlisted=11)
    (row,) = order_list(found)
    assert (row.month, row.placed_fraction, row.cost) == (4, 0.1, 650)
    assert unlisted_cost(found) == pytest.approx(11 + 30)
    assert next_order(found) == row


def test_one_in_ten_of_those_that_order_do_so_before_the_early_month_and_after_the_late_one():
    """Of twenty, ten order: in months 1 to 10."""
    spread = order("shelf", 1, [*range(10, 0, -1)] + [NEVER] * 10, [600] * 10 + [0] * 10)
    (row,) = order_list(build(spread))
    assert (row.month_p10, row.month, row.month_p90) == (1, 5, 9)
    assert row.placed_fraction == 0.5


def test_drives_of_two_classes_are_two_lines_and_those_of_one_class_a_single_one():
    large, small = (
        replace(order("drives", 2, [3] * 4, [50] * 4), drives=key) for key in ("large", "small")
    )
    found = order_list(build(large, small, small))
    assert [(row.drives, row.count, row.cost) for row in found] == [
        ("large", 2, 50), ("small", 4, 100),
    ]  # fmt: skip


def test_what_is_ordered_together_reaches_from_the_first_of_it_to_the_last():
    one = order("drives", 2, [2, 3, 4, 4], [50] * 4)
    other = order("drives", 1, [1, 3, 9, 9], [20] * 4)
    (row,) = order_list(build(one, other))
    assert (row.month_p10, row.month, row.month_p90, row.count) == (1, 3, 9, 3)


def test_in_the_small_studio_one_more_drive_follows_box_drives_and_work(small):
    (found,) = evaluate(small).builds
    assert first_things(found) == [("box", 1), ("drives", 4), ("work", 1)]
    row = next_order(found)
    assert (row.what, row.count, row.drives, row.month) == ("drives", 1, "ten", 3)
    assert row.cost == 100
