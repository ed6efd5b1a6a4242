"""One scenario in, one evaluation out: calls the topics in order and computes nothing itself."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from storagecalc.models.checks import FloatArray
from storagecalc.study.alternatives import Alternative, alternatives
from storagecalc.study.axes import (
    Spread,
    at_position,
    at_share,
    broadcast_positions,
    by_position,
    joined,
    spread,
)
from storagecalc.study.capacity.consequences import consequences
from storagecalc.study.capacity.drives_in_service import drives_in_service
from storagecalc.study.capacity.growth import growth
from storagecalc.study.capacity.space import space
from storagecalc.study.footage.footage import Footage, footage
from storagecalc.study.footage.options import option_footage
from storagecalc.study.loss.box_loss import Loss, LossCase, losses_within
from storagecalc.study.loss.failure_rates import failure_rates
from storagecalc.study.measures import NEEDS
from storagecalc.study.money.archive import archive_cost_by_month, deleted_early_cost_by_month
from storagecalc.study.money.cash_flow import Ground, cash_flow, ground_for
from storagecalc.study.money.copies import Copies, copies
from storagecalc.study.outcome import Futures, Outcome, kept
from storagecalc.study.result import BuildResult, build_result
from storagecalc.study.sampling import Sampler, sampler
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.site.power import power_w_by_month
from storagecalc.study.speed.streams import desks

# Positions times draws times months worked on at once: about 100 MB of arrays.
CELLS_AT_ONCE = 400_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """All answers to one scenario.

    ``held_tb_by_month`` is the scenario's own footage, the same for every build. ``gridded`` tells
    whether results still carry an axis of positions; ``at`` picks one. ``asked`` has what the
    studio needs, by need.
    """

    scenario: Scenario
    draws: int
    seed: int
    gridded: bool
    held_tb_by_month: Spread
    builds: tuple[BuildResult, ...]
    asked: Mapping[str, Any]

    def at(self, position: int) -> "Evaluation":
        """The evaluation at one position of its grid."""
        return replace(
            self,
            gridded=False,
            held_tb_by_month=at_position(self.held_tb_by_month, position),
            builds=at_position(self.builds, position),
            asked=at_position(self.asked, position),
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
        Futures to draw from the ranges, 0 to 100,000; 0 answers at the middle of every range only.
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
        Where draws or seed is no whole number from 0 up, or there are too many draws.
    """
    whole = sampler(scenario, draws=draws, seed=seed, positions=positions)
    parts = [_evaluated(part) for part in whole.parts(CELLS_AT_ONCE)]
    found: Evaluation = joined(parts, axis=0)
    return found if positions else found.at(0)


def _evaluated(sample: Sampler) -> Evaluation:
    middle = sample.middle()
    points = _outcomes(middle)
    futures, held = _futures(sample, points)
    lost, asked = _losses(sample, points), desks(middle)
    cautious = {key: at_share(rows, middle.needs.confidence_fraction) for key, rows in held.items()}
    results = [
        build_result(
            point,
            futures[key],
            cautious[point.alternative.footage_key],
            lost[key],
            asked,
            gridded=bool(sample.positions),
        )
        for key, point in points.items()
    ]
    own_held = spread(points[next(iter(points))].footage.held_tb_by_month, held[""])
    return Evaluation(
        scenario=sample.scenario,
        draws=sample.draws,
        seed=sample.seed,
        gridded=True,
        held_tb_by_month=broadcast_positions(own_held, sample.position_count),
        builds=broadcast_positions(tuple(results), sample.position_count),
        asked=broadcast_positions(_asked(middle), sample.position_count),
    )


def _asked(middle: Scenario) -> dict[str, FloatArray]:
    """Every need that the scenario states, by position."""
    needs = middle.needs
    asked = {need: getattr(needs, need) for need in type(needs).model_fields if need in NEEDS}
    return {need: by_position(value) for need, value in asked.items() if value is not None}


def _outcomes(drawn: Scenario) -> dict[str, Outcome]:
    """What every alternative comes to, its ranges at their middle or drawn."""
    own, ground = footage(drawn), ground_for(drawn)
    found: dict[str, Outcome] = {}
    for served, same in _by_footage(drawn, own):
        copied = copies(drawn, served, ground.prices)
        apart = {
            "archive": archive_cost_by_month(drawn, served, ground.prices),
            "deleted early": deleted_early_cost_by_month(
                drawn, served.deleted_early_tb_by_month, ground.prices
            ),
            "copies": copied.cost_by_month,
        }
        found |= {each.key: _outcome(drawn, each, served, copied, apart, ground) for each in same}
    return found


def _by_footage(drawn: Scenario, own: Footage) -> Iterator[tuple[Footage, Sequence[Alternative]]]:
    """Each footage with the alternatives that hold it: builds share one, options have their own."""
    everything = alternatives(drawn)
    yield own, [each for each in everything if each.option(drawn) is None]
    for each in everything:
        option = each.option(drawn)
        if option is not None:
            yield option_footage(drawn, option, own), [each]


def _outcome(
    drawn: Scenario,
    each: Alternative,
    served: Footage,
    copied: Copies,
    apart: Mapping[str, FloatArray],
    ground: Ground,
) -> Outcome:
    build = each.build(drawn)
    room = space(drawn, build)
    grown = growth(drawn, build, room, served.held_tb_by_month)
    brought = consequences(build, room, grown, served.held_tb_by_month)
    drives = drives_in_service(drawn, build, brought)
    power_w = power_w_by_month(build, brought, drives)
    return Outcome(
        alternative=each,
        drawn=drawn,
        footage=served,
        space=room,
        grown=grown,
        brought=brought,
        drives=drives,
        power_w_by_month=power_w,
        copied=copied,
        flow=cash_flow(drawn, build, brought, drives, power_w, apart, ground),
    )


def _futures(
    sample: Sampler, points: Mapping[str, Outcome]
) -> tuple[dict[str, Futures], dict[str, FloatArray]]:
    """What is kept of every future of each alternative, and TB held by footage."""
    if not sample.draws:
        return _kept(points, 1)
    blocks = [_kept(_outcomes(drawn), draws) for drawn, draws in sample.blocks(CELLS_AT_ONCE)]
    found: tuple[dict[str, Futures], dict[str, FloatArray]] = joined(blocks, axis=1)
    return found


def _kept(
    outcomes: Mapping[str, Outcome], draws: int
) -> tuple[dict[str, Futures], dict[str, FloatArray]]:
    held = {
        each.alternative.footage_key: each.footage.held_tb_by_month for each in outcomes.values()
    }
    return {key: kept(each, draws) for key, each in outcomes.items()}, held


def _losses(sample: Sampler, points: Mapping[str, Outcome]) -> dict[str, Loss]:
    middle = next(iter(points.values())).drawn
    rates = failure_rates(middle, sample.ranges, sample.scenario.needs.confidence_fraction)
    cases = {
        key: LossCase(
            build=point.build,
            space=point.space,
            steps_in_place_by_month=point.brought.steps_in_place_by_month,
            held_tb_by_month=point.footage.held_tb_by_month,
        )
        for key, point in points.items()
    }
    within = losses_within(middle, cases, rates, (middle.horizon_months,))
    return {key: found[-1] for key, found in within.items()}
