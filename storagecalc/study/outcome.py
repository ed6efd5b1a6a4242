"""What an alternative comes to in some futures, and what is kept of every one of them."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.alternatives import Alternative
from storagecalc.study.capacity.consequences import Consequences
from storagecalc.study.capacity.drives_in_service import DrivesInService
from storagecalc.study.capacity.growth import Growth
from storagecalc.study.capacity.space import Space
from storagecalc.study.footage.footage import Footage
from storagecalc.study.money.cash_flow import CashFlow, dearest_later_year_cost
from storagecalc.study.money.copies import Copies
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One alternative in some futures, or at the middle: topic by topic, all three axes."""

    alternative: Alternative
    drawn: Scenario
    footage: Footage
    space: Space
    grown: Growth
    brought: Consequences
    drives: Mapping[str, DrivesInService]
    power_w_by_month: FloatArray
    copied: Copies
    flow: CashFlow

    @property
    def build(self) -> Build:
        """The alternative's build, its ranges numbers or arrays."""
        return self.alternative.build(self.drawn)


@dataclass(frozen=True, slots=True, kw_only=True)
class Futures:
    """One alternative in every future: arrays (positions, draws, 1) unless said otherwise.

    Months are counted from the start, infinite for never. ``dearest_later_year_cost`` is that of
    the dearest twelve months after the purchase on day one. ``copies_full_months`` tells when each
    copy no longer holds everything. ``total_cost_by_month`` is what has been paid so far, for
    charts alone: (positions, draws, months), in half the digits.
    """

    first_fill_months: FloatArray
    headroom_months: FloatArray
    order_by_months: FloatArray
    copies_full_months: Mapping[str, FloatArray]
    net_present_cost: FloatArray
    dearest_later_year_cost: FloatArray
    total_cost_by_month: FloatArray


def kept(outcome: Outcome, draws: int) -> Futures:
    """What is kept of an outcome's futures; whatever all futures share is told for each of them."""
    flow, grown = outcome.flow, outcome.grown

    def each(rows: FloatArray) -> FloatArray:
        return np.broadcast_to(rows, (len(rows), draws, rows.shape[-1]))

    return Futures(
        first_fill_months=each(grown.first_fill_months),
        headroom_months=each(grown.headroom_months),
        order_by_months=each(grown.order_by_months),
        copies_full_months={
            key: each(months) for key, months in outcome.copied.full_after_months.items()
        },
        net_present_cost=each(flow.net_present_cost),
        dearest_later_year_cost=each(dearest_later_year_cost(flow.cost_by_month)),
        total_cost_by_month=each(np.cumsum(flow.cost_by_month, axis=-1).astype(np.float32)),
    )
