"""What an alternative comes to in some futures, and what is kept of every one of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import cost_by_year
from storagecalc.models.checks import FloatArray
from storagecalc.study.alternatives import Alternative
from storagecalc.study.axes import mapped, with_draws
from storagecalc.study.capacity.consequences import Consequences
from storagecalc.study.capacity.growth import Growth
from storagecalc.study.capacity.owned import KeptBox, beside_kept, kept_tb_by_month
from storagecalc.study.capacity.space import Space
from storagecalc.study.capacity.steps import FurtherBox
from storagecalc.study.footage.footage import Footage
from storagecalc.study.loss.lost_at_once import lost_at_once_tb
from storagecalc.study.money.cash_flow import CashFlow, dearest_later_year_cost, present_cost
from storagecalc.study.money.copies import Copies
from storagecalc.study.money.hardware import hardware_cost
from storagecalc.study.money.orders import Order, orders, unlisted_cost
from storagecalc.study.money.price_paths import PricePaths
from storagecalc.study.money.quotes import WorkShare
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.site.place import Limits
from storagecalc.study.speed.streams import Rates


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One alternative in some futures, or at the middle: topic by topic, all three axes.

    ``build`` has numbers or arrays where ranges stood, and the drives and shelves of its plan where
    it follows one.
    """

    alternative: Alternative
    drawn: Scenario
    build: Build
    prices: PricePaths
    footage: Footage
    shares: Mapping[str, WorkShare]
    demanded_tb_years: FloatArray
    space: Space
    kept: tuple[KeptBox, ...]
    box: FurtherBox | None
    grown: Growth
    brought: Consequences
    power_w_by_month: FloatArray
    copied: Copies
    flow: CashFlow
    rates: Rates
    limits: Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Futures:
    """One alternative in every future: arrays (positions, draws, 1) unless said otherwise.

    Months are counted from the start, infinite for never. ``asked_tb`` is the most that is held
    beside what is kept, in the months the headroom need asks for; ``counted_tb_by_month`` is what
    the ordering rule counts of that, (positions, draws, months). Money is in today's money, but for
    ``cost_by_year``, ``dearest_later_year_cost`` and orders, which are in money of the time; what
    ends in ``_by_year`` is what is paid, (positions, draws, years). ``plannable_tb_by_month`` is
    all space in place, in half the digits. ``further_months_by_step`` tells how many months all
    further boxes stand at each step of theirs, (positions, draws, steps).
    """

    first_fill_months: FloatArray
    headroom_months: FloatArray
    order_by_months: FloatArray
    rule_order_months: FloatArray
    copies_full_months: Mapping[str, FloatArray]
    asked_tb: FloatArray
    usable_tb: FloatArray
    full_usable_tb: FloatArray
    plannable_tb: FloatArray
    full_plannable_tb: FloatArray
    further_boxes: FloatArray
    further_months_by_step: FloatArray
    lost_at_once_tb: FloatArray
    drive_failures: FloatArray
    plannable_tb_by_month: FloatArray
    counted_tb_by_month: FloatArray
    upfront_cost: FloatArray
    hardware_cost: FloatArray
    full_cost: FloatArray
    net_present_cost: FloatArray
    present_cost_by_category: Mapping[str, FloatArray]
    remedy_cost: FloatArray
    cost_by_year: FloatArray
    present_cost_by_year: FloatArray
    dearest_later_year_cost: FloatArray
    demanded_tb_years: FloatArray
    held_fraction_by_work: Mapping[str, FloatArray]
    shoot_days_by_work: Mapping[str, FloatArray]
    orders: tuple[Order, ...]
    unlisted_orders_cost: FloatArray
    streams: FloatArray
    limits: Limits


def kept(outcome: Outcome, draws: int) -> Futures:
    """What is kept of an outcome's futures; whatever all futures share is told for each of them.

    Parameters
    ----------
    outcome
        One alternative in some futures.
    draws
        How many they are.
    """
    found = Futures(**_space_kept(outcome), **_money_kept(outcome))
    if draws == 1:
        return found
    whole: Futures = mapped(found, lambda rows: _alone(with_draws(rows, draws)))
    return whole


def _alone(rows: FloatArray) -> FloatArray:
    """The same array, without the larger one behind it that would stay in memory with it."""
    return rows if rows.base is None else rows.copy()


def _space_kept(outcome: Outcome) -> dict[str, Any]:
    grown, ladder, brought = outcome.grown, outcome.space.ladder, outcome.brought
    return {
        "first_fill_months": grown.first_fill_months,
        "headroom_months": grown.headroom_months,
        "order_by_months": grown.order_by_months,
        "rule_order_months": grown.rule_order_months,
        "copies_full_months": outcome.copied.full_after_months,
        "asked_tb": _most_held_tb(outcome),
        "usable_tb": ladder.usable_tb[..., :1],
        "full_usable_tb": ladder.usable_tb[..., -1:],
        "plannable_tb": ladder.plannable_tb[..., :1],
        "full_plannable_tb": ladder.plannable_tb[..., -1:],
        "further_boxes": brought.further_boxes,
        "further_months_by_step": brought.further_months_by_step,
        "lost_at_once_tb": lost_at_once_tb(
            outcome.space, outcome.box, grown, brought, outcome.footage.held_tb_by_month
        ),
        "drive_failures": brought.drive_failures,
        "plannable_tb_by_month": brought.plannable_tb_by_month.astype(np.float32),
        "counted_tb_by_month": grown.counted_tb_by_month,
        "streams": outcome.rates.streams,
        "limits": outcome.limits,
    }


def _money_kept(outcome: Outcome) -> dict[str, Any]:
    drawn, flow, build = outcome.drawn, outcome.flow, outcome.build
    shares = outcome.shares
    listed = orders(drawn, build, outcome.space, outcome.box, outcome.grown, flow, outcome.prices)
    return {
        "upfront_cost": flow.upfront_cost,
        "hardware_cost": hardware_cost(drawn, build, outcome.space, full=False),
        "full_cost": hardware_cost(drawn, build, outcome.space, full=True),
        "net_present_cost": flow.net_present_cost,
        "present_cost_by_category": {
            category: present_cost(outcome.prices, cost)
            for category, cost in flow.cost_by_category.items()
        },
        "remedy_cost": present_cost(outcome.prices, flow.remedy_cost_by_month),
        "cost_by_year": cost_by_year(cost_by_month=flow.paid_cost_by_month),
        "present_cost_by_year": cost_by_year(
            cost_by_month=flow.paid_cost_by_month * outcome.prices.discount_factor
        ),
        "dearest_later_year_cost": dearest_later_year_cost(flow.paid_cost_by_month),
        "demanded_tb_years": outcome.demanded_tb_years,
        "held_fraction_by_work": {key: share.held_fraction for key, share in shares.items()},
        "shoot_days_by_work": {key: share.shoot_days for key, share in shares.items()},
        "orders": listed,
        "unlisted_orders_cost": unlisted_cost(flow, listed),
    }


def _most_held_tb(outcome: Outcome) -> FloatArray:
    """The most TB held, beside what is kept, in the months that the headroom need asks for.

    0 where nobody asks.
    """
    held, asked = outcome.footage.held_tb_by_month, outcome.drawn.needs.headroom_months
    if outcome.kept:
        held = beside_kept(held, kept_tb_by_month(outcome.kept))
    if asked is None:
        return np.zeros((1, 1, 1))
    within = np.arange(held.shape[-1]) < asked
    most: FloatArray = np.where(within, held, 0.0).max(axis=-1, keepdims=True)
    return most
