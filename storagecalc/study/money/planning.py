"""Best plans: what builds that ask for one order, settled before any future is looked at."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.expansion import Plan, Problem, best_plan, search_cells
from storagecalc.study.alternatives import Alternative, alternatives
from storagecalc.study.capacity.owned import beside_kept, kept_boxes, kept_tb_by_month
from storagecalc.study.capacity.purchase_plan import LackPrice, PlannedOrder, PurchasePlan
from storagecalc.study.capacity.space import space
from storagecalc.study.capacity.steps import FurtherBox, further_build
from storagecalc.study.footage.footage import footage
from storagecalc.study.footage.options import option_footage
from storagecalc.study.money.plan_problem import plan_problem
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.sampling import Sampler
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.faults import Fault, ScenarioError
from storagecalc.study.scenario.quantity import Amount
from storagecalc.study.scenario.scenario import Scenario

# States times months that a plan may take: some five seconds.
MOST_CELLS = 100_000_000
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


def plan_candidates(sample: Sampler) -> tuple[dict[str, PurchasePlan], ...]:
    """Plans of every alternative whose build asks for one, by key: the best at each lack price.

    A further box comes whole, so that no price for a TB and a month is quite what footage without
    room will cost once the last order stands. Its share of a full box is the least, bridging the
    most. One candidate where the remedy is no further box.

    Parameters
    ----------
    sample
        With one position. Its own number of draws does not matter.

    Raises
    ------
    ScenarioError
        Where a build leaves so many choices that its best plan would take too long to find.
    """
    middle, drawn = sample.middle(), planning_futures(sample)
    confidence = float(middle.needs.confidence_fraction)
    lines = {
        each.key: percentile_line(required, confidence)
        for each, required in required_by_alternative(drawn)
    }
    lack_prices: list[LackPrice] = ["bridging"]
    if further_build(drawn) is not None:
        lack_prices.insert(0, "share of a further box")
    found = []
    for lack_price in lack_prices:
        asked = {key: (line.tb_by_month, lack_price) for key, line in lines.items()}
        problems = planned_problems(middle, drawn, asked)
        found.append({
            each.key: purchase_plan(_best_plan(problem, each), lines[each.key], lack_price)
            for each, problem in problems
        })  # fmt: skip
    return tuple(found)


def planned_problems(
    middle: Scenario, drawn: Scenario, asked: Mapping[str, tuple[Any, LackPrice]]
) -> Iterator[tuple[Alternative, Problem]]:
    """What the planner is asked for each alternative.

    Parameters
    ----------
    middle, drawn
        The scenario at its middle, and its planning futures.
    asked
        Plannable TB asked for by month, and what a lack costs later, by alternative.
    """
    prices, box = price_paths(drawn), further_box(drawn)
    for each in alternatives(drawn):
        if each.key in asked:
            build = with_lead_time(each.build(drawn), each.build(middle).lead_time_months)
            required, lack_price = asked[each.key]
            yield each, plan_problem(drawn, build, prices, box, lack_price, np.asarray(required))


def with_lead_time(build: Build, lead_time_months: Amount) -> Build:
    """The build with the lead time it is planned with, the same in every future."""
    return build.model_copy(update={"lead_time_months": lead_time_months})


def _best_plan(problem: Problem, each: Alternative) -> Plan:
    """The plan, or a fault that says which choices make it too large to be found."""
    if search_cells(problem) > MOST_CELLS:
        rule = (
            'cannot be "best" with so many combinations of drives and shelves: choose fewer'
            " shelves_at_most or bays, take classes that nobody would buy out of [drives], or write"
            ' plan = "rule"'
        )
        fault = Fault(key=f"builds.{each.build_key}.plan", value="best", rule=rule)
        raise ScenarioError("the best plan", [fault])
    return best_plan(problem)


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
        line_fraction=float((required_tb <= by_rank[low]).mean(axis=0).min()),
        under_fraction=_under(required_tb, by_rank[low]),
    )


def _under(required_tb: FloatArray, line_tb: FloatArray) -> float:
    return float((required_tb <= line_tb).all(axis=1).mean())


def purchase_plan(plan: Plan, line: Line, lack_price: LackPrice) -> PurchasePlan:
    """A plan of the planner as the study follows it.

    Parameters
    ----------
    plan, line, lack_price
        What was found, what it was asked for, and what a lack was taken to cost later.
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
        lack_price=lack_price,
        line_tb_by_month=tuple(line.tb_by_month.tolist()),
        line_fraction=line.line_fraction,
        under_fraction=line.under_fraction,
    )
