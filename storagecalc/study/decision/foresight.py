"""How far from perfect a plan is: what it costs not to know which future will come."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from storagecalc.study.axes import at_share
from storagecalc.study.decision.kept import kept
from storagecalc.study.decision.needs import ungridded
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.hindsight import Hindsight, hindsight
from storagecalc.study.sampling import sampler


@dataclass(frozen=True, slots=True, kw_only=True)
class Foresight:
    """What a plan costs in so many futures, and what it would cost to know each beforehand.

    Costs are in today's money, as the planner counts them: no copies, no archive, no care of the
    first box. ``not_knowing_cost`` is what the plan's own orders cost more than the best for that
    future, 0 or more in each.
    """

    futures: int
    plan_cost_mean: float
    foresight_cost_mean: float
    not_knowing_cost_mean: float
    not_knowing_cost_p10: float
    not_knowing_cost_p90: float


@kept
def foresights(evaluation: Evaluation) -> Mapping[str, Foresight]:
    """What not knowing costs each alternative with a plan, by its key.

    Always in the same number of futures for a scenario, however many the evaluation has drawn.

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
    return {key: _told(found) for key, found in hindsight(sample, evaluation.plans).items()}


def _told(found: Hindsight) -> Foresight:
    # Nothing is cheaper than the best: what falls below it is rounding.
    more = np.maximum(found.plan_cost_by_draw - found.best_cost_by_draw, 0.0)
    return Foresight(
        futures=len(more),
        plan_cost_mean=float(found.plan_cost_by_draw.mean()),
        foresight_cost_mean=float(found.best_cost_by_draw.mean()),
        not_knowing_cost_mean=float(more.mean()),
        not_knowing_cost_p10=float(at_share(more[None], 0.1)[0]),
        not_knowing_cost_p90=float(at_share(more[None], 0.9)[0]),
    )
