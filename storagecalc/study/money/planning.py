"""Best plans: what builds that ask for one order, settled before any future is looked at."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion import Plan, best_plan
from storagecalc.study.alternatives import Alternative, alternatives
from storagecalc.study.capacity.owned import beside_kept, kept_boxes, kept_tb_by_month
from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.study.capacity.space import space
from storagecalc.study.capacity.steps import FurtherBox, further_build
from storagecalc.study.footage.footage import footage
from storagecalc.study.footage.options import option_footage
from storagecalc.study.money.plan_problem import plan_problem
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.sampling import Sampler
from storagecalc.study.scenario.scenario import Scenario

# Futures that the line is drawn through: always as many, so that a plan never hangs on how many
# are shown.
PLANNED_FUTURES = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Space to plan for by month: the least percentile line that enough futures stay under.

    Fractions as of `PurchasePlan`; ``tb_by_month`` has shape (months,) and never falls.
    """

    tb_by_month: FloatArray
    line_fraction: float
    under_fraction: float


def asks_for_plans(scenario: Scenario) -> bool:
    """Whether any build of a scenario follows a best plan."""
    return any(build.plan == "best" for build in scenario.builds.values())


def purchase_plans(sample: Sampler) -> dict[str, PurchasePlan]:
    """The plan of every alternative whose build asks for one, by key.

    Parameters
    ----------
    sample
        With one position. Its own number of draws does not matter.
    """
    if not asks_for_plans(sample.scenario):
        return {}
    middle = sample.middle()
    prices, box = price_paths(middle), further_box(middle)
    found = {}
    for each, required in required_by_alternative(planning_futures(sample)):
        line = percentile_line(required, float(middle.needs.confidence_fraction))
        problem = plan_problem(middle, each.build(middle), prices, box, line.tb_by_month)
        found[each.key] = purchase_plan(best_plan(problem), line)
    return found


def planning_futures(sample: Sampler) -> Scenario:
    """The futures that plans are made for."""
    return replace(sample, draws=PLANNED_FUTURES).futures(0, PLANNED_FUTURES)


def further_box(drawn: Scenario) -> FurtherBox | None:
    """The box that is bought when all before it are full; None where the remedy is another."""
    build = further_build(drawn)
    return None if build is None else FurtherBox(build=build, space=space(drawn, build))


def required_by_alternative(drawn: Scenario) -> Iterator[tuple[Alternative, FloatArray]]:
    """TB that each alternative with a plan has to find room for, shape (draws, months).

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays, with one position.
    """
    own = footage(drawn)
    for each in alternatives(drawn):
        build, option = each.build(drawn), each.option(drawn)
        if build.plan == "best":
            served = own if option is None else option_footage(drawn, option, own)
            kept_tb = kept_tb_by_month(kept_boxes(drawn, build))
            yield each, beside_kept(served.held_tb_by_month, kept_tb)[0]


def percentile_line(required_tb: FloatArray, confidence: float) -> Line:
    """The running maximum of a percentile of each month, the least that enough futures stay under.

    Parameters
    ----------
    required_tb
        TB asked for, shape (draws, months).
    confidence
        The share of futures that are to stay under it in every month, above 0 to 1.
    """
    futures = len(required_tb)
    by_rank = np.maximum.accumulate(np.sort(required_tb, axis=0), axis=1)
    low, high = 0, futures - 1
    while low < high:
        rank = (low + high) // 2
        low, high = (low, rank) if _under(required_tb, by_rank[rank]) >= confidence else (
            rank + 1, high
        )  # fmt: skip
    return Line(
        tb_by_month=by_rank[low],
        line_fraction=(low + 1) / futures,
        under_fraction=_under(required_tb, by_rank[low]),
    )


def _under(required_tb: FloatArray, line_tb: FloatArray) -> float:
    return float((required_tb <= line_tb).all(axis=1).mean())


def purchase_plan(plan: Plan, line: Line) -> PurchasePlan:
    """A plan of the planner as the study follows it.

    Parameters
    ----------
    plan, line
        What was found, and what it was asked for.
    """
    return PurchasePlan(
        orders=tuple(
            PlannedOrder(
                month=order.month,
                pool=order.pool,
                unit=order.unit,  # type: ignore[arg-type]
                drives=order.drive,
                count=order.drives,
                swap=order.swap,
            )
            for order in plan.orders
        ),
        line_tb_by_month=tuple(line.tb_by_month.tolist()),
        line_fraction=line.line_fraction,
        under_fraction=line.under_fraction,
    )
