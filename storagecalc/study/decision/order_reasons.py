"""Why now: what makes each line of a plan due in the month in which it stands there."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from storagecalc.study.capacity.purchase_plan import PlannedOrder
from storagecalc.study.decision.kept import kept
from storagecalc.study.decision.needs import ungridded
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.order_timing import LineTiming, timings
from storagecalc.study.sampling import sampler

Reason: TypeAlias = Literal["space", "late", "sale", "price", "work", "worth"]

# Costs that differ by no more than this are the same.
SAME_COST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderReason:
    """Why one line of a plan, or a part of it, stands in its month, with those before it alone.

    ``"space"``: an order of any later month would come too late for its space. ``"late"``: the
    space was needed before, and going without costs less. Ordered before it has to be:
    ``"sale"``, because its drives will no longer be sold; ``"price"``, because it costs at least as
    much later, discounted and without the work of an order; ``"work"``, because that work is shared
    or saved, although it gets cheaper. ``"worth"``: its space is never needed, it saves more than
    it costs.

    ``needed_months`` is the month in which its space is needed, infinite for never.
    ``waiting_cost`` is what it would cost more if it were ordered just in time for that: 0 where it
    is, infinite where it is no longer sold, below 0 where it gets cheaper.
    """

    line: PlannedOrder
    reason: Reason
    needed_months: float
    waiting_cost: float


@kept
def order_reasons(evaluation: Evaluation) -> Mapping[str, tuple[OrderReason, ...]]:
    """The reasons of every line of each plan, by alternative, in the order of its lines.

    Parameters
    ----------
    evaluation
        Without a grid.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid.
    """
    ungridded(evaluation)
    sample = sampler(evaluation.scenario, seed=evaluation.seed)
    return {
        key: tuple(
            OrderReason(
                line=each.line,
                reason=_reason(each),
                needed_months=each.needed_months,
                waiting_cost=each.waiting_cost,
            )
            for each in found
        )
        for key, found in timings(sample, evaluation.plans).items()
    }


def _reason(each: LineTiming) -> Reason:
    if each.needed_months == math.inf:
        return "worth"
    if each.line.month >= each.order_by_months:
        return "late" if each.line.month > each.order_by_months else "space"
    if each.waiting_cost == math.inf:
        return "sale"
    return "price" if each.waiting_cost >= -SAME_COST else "work"
