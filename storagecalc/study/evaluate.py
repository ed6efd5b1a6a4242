"""One scenario in, one evaluation out: calls the parts in order and computes nothing itself."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import (
    Spread,
    at_share,
    drawn_lanes,
    first_lane,
    joined,
    picked,
    spanning,
    spread,
)
from storagecalc.study.capacity.growth import last_order_month, purchases
from storagecalc.study.capacity.space import capacity
from storagecalc.study.decision.needs import NeedResult, need_results
from storagecalc.study.footage.held import Held, held
from storagecalc.study.footage.options import option_footage
from storagecalc.study.loss.box_loss import Loss, LossCase, losses
from storagecalc.study.money.archive import elsewhere_cost_by_month, given_up_cost_by_month
from storagecalc.study.money.cash_flow import Ground, ground_for, money
from storagecalc.study.money.copies import Copies, copies
from storagecalc.study.money.quotes import WorkShare, work_shares
from storagecalc.study.result import BuildResult, Future, orders, summary
from storagecalc.study.sampling import Numbers, chunks_of, numbers_for, rate_lanes
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.site.place import place
from storagecalc.study.speed.streams import desks, speed

# Positions times draws times months worked on at once: about 100 MB of arrays.
CELLS_AT_ONCE = 400_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """All answers to one scenario.

    ``held_tb_by_month`` is the same for every build. ``needs`` has one tuple a build, in the order
    of ``builds``. ``gridded`` tells whether results still carry an axis of positions; ``at`` picks
    one.
    """

    scenario: Scenario
    draws: int
    seed: int
    gridded: bool
    held_tb_by_month: Spread
    builds: tuple[BuildResult, ...]
    needs: tuple[tuple[NeedResult, ...], ...]

    def at(self, position: int) -> "Evaluation":
        """The evaluation at one position of its grid."""
        kept = {"scenario": self.scenario, "draws": self.draws, "seed": self.seed}
        return Evaluation(
            **kept,  # type: ignore[arg-type]
            gridded=False,
            held_tb_by_month=picked(self.held_tb_by_month, position),
            builds=picked(self.builds, position),
            needs=picked(self.needs, position),
        )


def evaluate(
    scenario: Scenario,
    *,
    draws: int = 0,
    seed: int = 0,
    positions: Mapping[str, Any] | None = None,
) -> Evaluation:
    """All answers to a scenario.

    Parameters
    ----------
    scenario
        From ``load_scenario`` or ``Scenario.varied``.
    draws
        Futures to draw from the ranges, 0 or more; 0 answers at the middle of every range only.
        Two digits of a percentile need about 2,000.
    seed
        Whole number from 0; the same seed gives the same futures.
    positions
        Points of a grid: values by dotted key, lists of one length. Results then carry a first
        axis of positions.

    Raises
    ------
    ScenarioError
        Where a position's key or value breaks a rule.
    ValueError
        Where draws or seed is no whole number from 0 up.
    """
    numbers = numbers_for(scenario, draws=draws, seed=seed, positions=positions)
    parts = chunks_of(numbers, months=scenario.horizon_months, cells_at_once=CELLS_AT_ONCE)
    whole: Evaluation = joined([_evaluated(scenario, part) for part in parts])
    return replace(whole, gridded=True) if positions else whole.at(0)


def _evaluated(scenario: Scenario, numbers: Numbers) -> Evaluation:
    middle = numbers.at_middle.of(scenario)
    futures = points = _futures(numbers.of(scenario) if numbers.draws else middle)
    if numbers.draws:
        points = _at_middle(futures, middle)
    lost = _losses(scenario, numbers, points)
    served, asked = _served(scenario, points, futures), desks(middle)
    results, needs = [], []
    for key, point in points.items():
        shares, cautious = served[id(futures[key].footage)]
        result = summary(
            key,
            scenario,
            point,
            futures[key],
            () if numbers.positions else orders(point),
            shares,
            cautious,
            lost[key],
            speed(middle, point.build, point.space, asked),
            place(middle, point.build, point.space, point.flow),
        )
        results.append(spanning(result, numbers.position_count))
        needs.append(need_results(middle, point.build, results[-1]))
    held_tb = next(iter(futures.values())).footage.held_tb_by_month
    return Evaluation(
        scenario=scenario,
        draws=numbers.draws,
        seed=numbers.seed,
        gridded=True,
        held_tb_by_month=spanning(spread(held_tb), numbers.position_count),
        builds=tuple(results),
        needs=tuple(spanning(tuple(needs), numbers.position_count)),
    )


def _served(
    scenario: Scenario, points: Mapping[str, Future], futures: Mapping[str, Future]
) -> dict[int, tuple[Mapping[str, WorkShare], FloatArray]]:
    """What is found out once a footage: builds share one, each option has its own."""
    footages = {id(future.footage): key for key, future in futures.items()}
    confidence = scenario.needs.confidence_fraction
    return {
        footage: (
            work_shares(points[key].numbers, points[key].footage),
            at_share(drawn_lanes(futures[key].footage.held_tb_by_month), confidence),
        )
        for footage, key in footages.items()
    }


def _futures(numbers: Scenario) -> dict[str, Future]:
    """The parts that depend on the draws, build by build, then option by option."""
    footage, ground = held(numbers), ground_for(numbers)
    futures = _futures_of(numbers, numbers.builds, footage, ground)
    for key, option in numbers.options.items():
        served = option_footage(numbers, option, footage)
        futures |= _futures_of(numbers, {key: numbers.builds[option.build]}, served, ground)
    return futures


def _futures_of(
    numbers: Scenario, builds: Mapping[str, Build], footage: Held, ground: Ground
) -> dict[str, Future]:
    copied = copies(numbers, footage, ground.prices)
    apart = {
        "elsewhere": elsewhere_cost_by_month(numbers, footage, ground.prices),
        "given up": given_up_cost_by_month(numbers, footage.given_up_tb_by_month, ground.prices),
        "copies": copied.cost_by_month,
    }
    return {
        key: _future(numbers, build, footage, copied, apart, ground)
        for key, build in builds.items()
    }


def _future(
    numbers: Scenario,
    build: Build,
    footage: Held,
    copied: Copies,
    apart: Mapping[str, FloatArray],
    ground: Ground,
) -> Future:
    space = capacity(numbers, build)
    bought = purchases(build, space, footage, last_order_month(numbers, build))
    return Future(
        numbers=numbers,
        footage=footage,
        build=build,
        space=space,
        bought=bought,
        copied=copied,
        flow=money(numbers, build, bought, apart, ground),
    )


def _at_middle(futures: Mapping[str, Future], middle: Scenario) -> dict[str, Future]:
    """The lane of each future in which every range is at its middle."""
    by_id = {id(future.footage): future.footage for future in futures.values()}
    footages = {key: first_lane(footage) for key, footage in by_id.items()}
    return {
        key: Future(
            numbers=middle,
            footage=footages[id(future.footage)],
            build=middle.builds[middle.build_of(key)],
            space=future.space.at_middle,
            bought=first_lane(future.bought),
            copied=first_lane(future.copied),
            flow=first_lane(future.flow),
        )
        for key, future in futures.items()
    }


def _losses(scenario: Scenario, numbers: Numbers, points: Mapping[str, Future]) -> dict[str, Loss]:
    middle = next(iter(points.values())).numbers
    lanes = rate_lanes(middle, numbers.ranges, scenario.needs.confidence_fraction)
    cases = {
        key: LossCase(
            build=point.build,
            space=point.space,
            bought=point.bought,
            held_tb_by_month=point.footage.held_tb_by_month,
            rates=lanes.of(point.build.drive_classes),
            weights=lanes.weights,
        )
        for key, point in points.items()
    }
    return losses(middle, cases)
