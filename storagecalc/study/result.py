"""One build's answers, drawn together from its parts."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.cashflow import (
    cost_by_year,
    levelised_cost_per_tb_year,
    net_present_cost,
)
from storagecalc.models.checks import FloatArray
from storagecalc.models.layouts import Ladder
from storagecalc.models.units import tib_from_tb
from storagecalc.study.axes import Spread, at_share, by_position, drawn_lanes, spread, unmonthed
from storagecalc.study.capacity.growth import Purchases
from storagecalc.study.capacity.safety_margins import Margins, margins
from storagecalc.study.capacity.space import Capacity
from storagecalc.study.footage.held import Held
from storagecalc.study.loss.box_loss import Loss
from storagecalc.study.money.cash_flow import Money
from storagecalc.study.money.copies import Copies
from storagecalc.study.money.quotes import WorkCost, WorkShare, work_costs
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.site.place import PlaceResult
from storagecalc.study.speed.streams import Speed

HOURS_PER_DAY = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Future:
    """The parts of one build that depend on the draws; the middle goes before them."""

    numbers: Scenario
    footage: Held
    build: Build
    space: Capacity
    bought: Purchases
    copied: Copies
    flow: Money


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """One thing bought at the middle of every range; month 0 is the scenario's start."""

    month: int
    what: str
    count: int
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildResult:
    """Everything known of one build.

    One number (or one row of months) a position; plain floats where the evaluation has no grid.
    Names end in their unit; money is in the scenario's currency, present values at its discount
    rate. Months are counted from the start; infinite where it does not happen within the horizon.
    """

    key: str
    build_key: str
    habit: str | None
    name: str
    grows: bool
    ladder: Ladder
    full_ladder: Ladder
    usable_tib: Any
    upfront_cost: Any
    net_present_cost: Spread
    net_present_cost_mean: Any
    net_present_cost_by_draw: Any
    present_cost_by_cause: Mapping[str, Any]
    cost_per_usable_tb: Any
    cost_per_plannable_tb: Any
    full_cost: Any
    full_cost_per_usable_tb: Any
    full_cost_per_plannable_tb: Any
    levelised_cost_per_tb_year: Any
    remedy_cost: Any
    unmet_tb_months: Any
    cost_by_year: Any
    dearest_later_year_cost_by_draw: Any
    total_cost_by_month: Spread
    plannable_tb_by_month: Any
    first_fill_months: Spread
    headroom_months: Spread
    headroom_months_by_draw: Any
    fills_fraction: Any
    first_order_months: Any
    loss: Loss
    speed: Speed
    place: PlaceResult
    margins: Margins
    work_costs: Mapping[str, WorkCost]
    copies_full_months_by_draw: Mapping[str, Any]
    swap_slow_days: Any
    drive_replacements: Any
    orders: Any
    purchases: tuple[Purchase, ...]


def summary(
    key: str,
    scenario: Scenario,
    point: Future,
    future: Future,
    purchases: tuple[Purchase, ...],
    shares: Mapping[str, WorkShare],
    held_cautious: FloatArray,
    loss: Loss,
    speed: Speed,
    place: PlaceResult,
) -> BuildResult:
    """The answers of one build from its middle, its draws, and the parts that need no draws.

    A grid of positions has no list of purchases: each position would have its own.
    """
    return BuildResult(
        key=key,
        build_key=scenario.build_of(key),
        habit=scenario.options[key].habit if key in scenario.options else None,
        name=scenario.build_name(key),
        purchases=purchases,
        loss=loss,
        speed=speed,
        place=place,
        work_costs=work_costs(shares, point.flow),
        copies_full_months_by_draw={
            copy: drawn_lanes(months) for copy, months in future.copied.full_after_months.items()
        },
        margins=margins(
            point.build,
            point.space,
            point.bought.first_fill_months,
            point.footage.held_tb_by_month,
            held_cautious,
        ),
        swap_slow_days=_swap_slow_days(point, loss),
        **_space(point),
        **_costs(point),
        **_cost_spreads(future),
        **_dates(scenario, future),
    )


def _swap_slow_days(point: Future, loss: Loss) -> FloatArray:
    """Days of reduced speed and protection while a box is swapped drive by drive; 0 for no swap."""
    drives_swapped = point.bought.larger_drive_count_by_month[:, 0, -1]
    return drives_swapped * loss.rebuild_h / HOURS_PER_DAY


def _space(point: Future) -> dict[str, Any]:
    ladder, bought = point.space.ladder, point.bought
    return {
        "grows": point.space.pools.drives_by_step.shape[1] > 1,
        "ladder": _ladder_at(ladder, 0),
        "full_ladder": _ladder_at(ladder, -1),
        "usable_tib": tib_from_tb(ladder.usable_tb[:, 0, 0]),
        "unmet_tb_months": bought.unmet_tb_by_month.sum(axis=-1)[:, 0],
        "plannable_tb_by_month": bought.plannable_tb_by_month[:, 0],
        "drive_replacements": point.flow.drive_failures[:, 0],
        "orders": (bought.drives_ordered_by_month > 0).sum(axis=-1)[:, 0].astype(np.float64),
    }


def _costs(point: Future) -> dict[str, Any]:
    """Money at the middle of every range."""
    flow, ladder = point.flow, point.space.ladder
    rate = unmonthed(point.numbers.discount_rate_per_year)
    upfront = flow.cost_by_month[:, 0, 0]
    by_cause = np.empty((len(flow.cost_by_cause), *flow.cost_by_month.shape))
    for row, cost_by_month in zip(by_cause, flow.cost_by_cause.values(), strict=True):
        row[...] = cost_by_month
    present_costs = net_present_cost(cost_by_month=by_cause, discount_rate_per_year=rate)
    present = dict(zip(flow.cost_by_cause, present_costs[..., 0], strict=True))
    levelised = levelised_cost_per_tb_year(
        cost_by_month=flow.cost_by_month,
        held_tb_by_month=point.footage.demanded_tb_by_month,
        discount_rate_per_year=rate,
    )
    full = by_position(_full_cost(point))
    return {
        "full_cost": full,
        "full_cost_per_usable_tb": full / ladder.usable_tb[:, 0, -1],
        "full_cost_per_plannable_tb": full / ladder.plannable_tb[:, 0, -1],
        "upfront_cost": upfront,
        "present_cost_by_cause": present,
        "remedy_cost": present["remedy"],
        "cost_per_usable_tb": upfront / ladder.usable_tb[:, 0, 0],
        "cost_per_plannable_tb": upfront / ladder.plannable_tb[:, 0, 0],
        "levelised_cost_per_tb_year": by_position(levelised),
        "cost_by_year": cost_by_year(cost_by_month=flow.cost_by_month)[:, 0],
    }


def _full_cost(point: Future) -> Any:
    """What is to be bought of the build with every bay filled, at today's prices."""
    build, pools = point.build, point.space.pools
    drives, swapped = pools.drives_by_step[:, -1], pools.swapped_by_step[:, -1]
    larger = float(drives[swapped].sum())
    bought = float(drives.sum()) - build.old_drive_count + build.cold_spares
    shelves = build.shelf.price * build.shelf.shelves_at_most if build.shelf else 0.0
    larger_price = point.numbers.drives[build.swap_to].price if build.swap_to else 0.0
    drive_price = point.numbers.drives[build.drives].price
    box = build.box_price if build.box_age_years is None else 0.0
    return box + shelves + bought * drive_price + larger * larger_price


def _cost_spreads(future: Future) -> dict[str, Any]:
    """Money over the futures."""
    flow = future.flow
    by_draw = drawn_lanes(flow.net_present_cost)
    return {
        "net_present_cost": spread(flow.net_present_cost),
        "net_present_cost_mean": by_draw.mean(axis=1),
        "net_present_cost_by_draw": by_draw,
        "dearest_later_year_cost_by_draw": _dearest_later_year(drawn_lanes(flow.cost_by_month)),
        "total_cost_by_month": spread(np.cumsum(flow.cost_by_month, axis=-1)),
    }


def _dates(scenario: Scenario, future: Future) -> dict[str, Any]:
    first, headroom = future.bought.first_fill_months[..., 0], future.bought.headroom_months[..., 0]
    lead = np.ceil(unmonthed(future.build.lead_time_months))
    caution = 1.0 - scenario.needs.confidence_fraction
    return {
        "first_fill_months": spread(first),
        "headroom_months": spread(headroom),
        "headroom_months_by_draw": drawn_lanes(headroom),
        "fills_fraction": np.isfinite(drawn_lanes(first)).mean(axis=1),
        "first_order_months": at_share(drawn_lanes(first - lead), caution),
    }


def _ladder_at(ladder: Ladder, step: int) -> Ladder:
    return Ladder(**{name: getattr(ladder, name)[:, 0, step] for name in Ladder.__slots__})


def _dearest_later_year(cost_by_month: FloatArray) -> FloatArray:
    """The dearest twelve months of each future, the purchase on day one left out."""
    later = cost_by_month.copy()
    later[..., 0] = 0.0
    dearest: FloatArray = cost_by_year(cost_by_month=later).max(axis=-1)
    return dearest


def orders(point: Future) -> tuple[Purchase, ...]:
    """Everything bought at the middle of every range, by month."""
    rows = []
    for what, counts in point.flow.bought_by_month.items():
        costs = point.flow.cost_by_purchase[what][0, 0]
        rows += [
            Purchase(month=month, what=what, count=int(counts[0, 0, month]), cost=costs.item(month))
            for month in counts[0, 0].nonzero()[0].tolist()
        ]
    return tuple(sorted(rows, key=lambda row: row.month))
