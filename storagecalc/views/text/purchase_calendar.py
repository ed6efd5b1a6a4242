"""The purchase calendar in words: its title, key, table, marks, and the text that stands for it."""

from collections.abc import Sequence
from dataclasses import replace

from storagecalc.study.dates import month_date
from storagecalc.study.decision.purchase_calendar import (
    CalendarLane,
    CalendarOrder,
    purchase_calendar,
)
from storagecalc.study.decision.room import FURTHER_BOX
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.lanes import short_month
from storagecalc.views.text.money import order_words
from storagecalc.views.text.numbers import count, listed, money, month, of_hundred, plain, quoted
from storagecalc.views.text.table import LEFT, RIGHT, Row, TextTable, text_table

ONCE, TWICE = "once", "twice"
NOTHING, NOW = "orders nothing", "now"
TABLE_TITLE = (
    "Purchase calendar: what every alternative orders, by median month; mean price of box, shelf"
    " and drives then, without the work of bringing them in"
)
MARKS = "▲ is a box, drives or a shelf, □ a further box"
DRAWN_KEY = (
    f"Each mark is an order. {MARKS}. It stands at the median month of the futures that place it,"
    " and is filled as high as their share of all. The thin bar holds the month in 8 of 10 of them:"
    " 1 in 10 order sooner, 1 in 10 later. The title counts what at least half of the futures"
    " order; the bars of other orders are dashed, and what fewer than 10 of 100 futures order is"
    " left out."
)
MIDDLE_KEY = f"Each mark is an order at the middle of every range. {MARKS}."


def calendar_title(evaluation: Evaluation) -> str:
    """How often the recommended orders and until when, and its nearest other."""
    found, calendar = verdict(evaluation), purchase_calendar(evaluation)
    chosen, other = found.recommended.build, found.nearest_other
    scenario = evaluation.scenario
    first = _how_often(scenario, calendar.lane_of(chosen))
    if other is None:
        return f"{quoted(chosen.name)} {first}."
    second = _how_often(scenario, calendar.lane_of(other))
    if first == second:
        both = f"order{first.removeprefix('orders')}"
        return f"{quoted(chosen.name)} and {quoted(other.name)} both {both}."
    return f"{quoted(chosen.name)} {first}; {quoted(other.name)} {second}."


def _how_often(scenario: Scenario, lane: CalendarLane) -> str:
    """How many orders at least half of the futures place, and when the last of them."""
    orders = lane.usual_orders
    if not orders:
        return f"{NOTHING} that half of the futures need" if lane.orders else NOTHING
    last = month(month_date(scenario.start_date, orders[-1].month))
    if len(orders) == 1:
        return f"orders {ONCE}, in {last}"
    times = TWICE if len(orders) == 2 else f"{count(len(orders))} times"
    return f"orders {times}, last in {last}"


def calendar_key(evaluation: Evaluation) -> str:
    """What marks and bars mean."""
    return DRAWN_KEY if evaluation.draws else MIDDLE_KEY


def calendar_table(evaluation: Evaluation) -> TextTable:
    """What every alternative orders: a row an order, by month, then as alternatives stand."""
    lanes = purchase_calendar(evaluation).lanes
    ordered = [(lane, order) for lane in lanes for order in lane.orders]
    ordered.sort(key=lambda each: each[1].month)
    rows = [_row(evaluation, *each) for each in ordered]
    idle = [lane for lane in lanes if not lane.orders]
    rows += [("never", plain(lane.build.name), NOTHING, "", "", "") for lane in idle]
    head: Row = (
        "month",
        "alternative",
        "what",
        "ordered in",
        "8 in 10 of these in",
        "mean price then",
    )
    if not evaluation.draws:  # one future, so that shares and ranges say nothing
        head, *rows = ((*row[:3], row[5]) for row in (head, *rows))
    table = text_table(TABLE_TITLE, head, rows)
    # Counts of things begin with a number, and are words all the same.
    return replace(table, align=f"{LEFT * (len(head) - 1)}{RIGHT}")


def _row(evaluation: Evaluation, lane: CalendarLane, order: CalendarOrder) -> Row:
    scenario = evaluation.scenario
    return (
        month(month_date(scenario.start_date, order.month)),
        plain(lane.build.name),
        things_words(order),
        f"{of_hundred(order.placed_fraction)} futures",
        _span(scenario, order) or "that month",
        money(order.cost, scenario.currency),
    )


def things_words(order: CalendarOrder) -> str:
    """What is ordered, drives with their size."""
    return listed(order_words(each.what, each.count, each.size_tb) for each in order.things)


def _span(scenario: Scenario, order: CalendarOrder) -> str:
    """From the 1-in-10 to the 9-in-10 month; nothing where they are one."""
    if order.month_p10 == order.month_p90:
        return ""
    ends = (month_date(scenario.start_date, each) for each in (order.month_p10, order.month_p90))
    return " to ".join(map(month, ends))


def calendar_summary(evaluation: Evaluation) -> str:
    """The picture in words, order by order: its text alternative."""
    lanes = purchase_calendar(evaluation).lanes
    told = (_lane_in_words(evaluation, lane) for lane in lanes)
    return " ".join([f"Orders from {month(evaluation.scenario.start_date)} on.", *told])


def _lane_in_words(evaluation: Evaluation, lane: CalendarLane) -> str:
    name = quoted(lane.build.name) + (", the recommended" if lane.is_recommended else "")
    orders = [_order_in_words(evaluation, order) for order in lane.orders]
    return f"{name}: {'; '.join(orders) or NOTHING}."


def _order_in_words(evaluation: Evaluation, order: CalendarOrder) -> str:
    scenario = evaluation.scenario
    when = month(month_date(scenario.start_date, order.month))
    span = _span(scenario, order)
    ends = f" ({span} in 8 of 10 of them)" if span else ""
    told = f"{when}: {things_words(order)}"
    return (
        f"{told} in {of_hundred(order.placed_fraction)} futures{ends}" if evaluation.draws else told
    )


def mark_words(evaluation: Evaluation, order: CalendarOrder) -> tuple[str, str]:
    """What stands at a mark: what is ordered; when, and in how many futures."""
    scenario = evaluation.scenario
    things = things_words(order)
    if order.is_further_box:  # its drives are told in the table
        number = order.things[0].count
        things = FURTHER_BOX if number == 1 else f"{number} further boxes"
    when = short_month(scenario, order.month) if order.month else NOW
    if not evaluation.draws:
        return things, when
    share = of_hundred(order.placed_fraction)
    return things, f"{when} · in {share}{'' if share.endswith('100') else ' futures'}"


def more_words(scenario: Scenario, orders: Sequence[CalendarOrder]) -> tuple[str, str]:
    """What stands at the marks of the last orders, where there are many; and when."""
    first, last = (short_month(scenario, each.month) for each in (orders[0], orders[-1]))
    return f"{len(orders)} more orders", first if first == last else f"{first} to {last}"
