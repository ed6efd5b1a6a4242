"""Whether the first order of a plan stays the same when looking further ahead."""

import contextlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.study.decision.horizons import longer_scenarios
from storagecalc.study.decision.kept import kept
from storagecalc.study.decision.needs import ungridded
from storagecalc.study.evaluate import Evaluation, purchase_plans
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.faults import ScenarioError


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstOrder:
    """What a plan orders first, looking so many months ahead: no lines where it orders nothing."""

    horizon_months: int
    lines: tuple[PlannedOrder, ...]


@kept
def first_orders(evaluation: Evaluation) -> Mapping[str, tuple[FirstOrder, ...]]:
    """The first order of each plan by horizon: the scenario's, and one and two years beyond it.

    Planned anew for the same futures, each a year or two longer. A horizon beyond what a scenario
    may have, or for which a plan is too large to be found, is left out.

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
    plans_by_months = {evaluation.scenario.horizon_months: evaluation.plans}
    if evaluation.plans:
        for longer in longer_scenarios(evaluation.scenario):
            with contextlib.suppress(ScenarioError):
                plans = purchase_plans(sampler(longer, seed=evaluation.seed))
                plans_by_months[longer.horizon_months] = plans
    return {
        key: tuple(
            FirstOrder(horizon_months=months, lines=first_lines(plans[key]))
            for months, plans in plans_by_months.items()
        )
        for key in evaluation.plans
    }


def first_lines(plan: PurchasePlan) -> tuple[PlannedOrder, ...]:
    """The lines of the first month in which a plan orders anything."""
    return tuple(line for line in plan.orders if line.month == plan.orders[0].month)


def all_agree(orders: Sequence[FirstOrder]) -> bool:
    """Whether the first order is the same, line by line, at every horizon."""
    return len({order.lines for order in orders}) <= 1
