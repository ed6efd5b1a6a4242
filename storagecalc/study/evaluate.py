"""One scenario in, one evaluation out: calls the topics in order and computes nothing itself."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
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
    mean_number,
    spread,
    with_draws,
)
from storagecalc.study.capacity.consequences import consequences
from storagecalc.study.capacity.growth import Growth, growth
from storagecalc.study.capacity.owned import KeptBox, kept_boxes
from storagecalc.study.capacity.purchase_plan import (
    PurchasePlan,
    planned_build,
    planned_growth,
    planned_space,
)
from storagecalc.study.capacity.space import Space, space
from storagecalc.study.capacity.steps import FurtherBox
from storagecalc.study.footage.early_deletion import early_tb_by_month
from storagecalc.study.footage.footage import Footage, Recorded, footage, recorded_by_work
from storagecalc.study.footage.options import option_footage
from storagecalc.study.loss.box_loss import Loss, losses_within
from storagecalc.study.loss.cases import loss_case
from storagecalc.study.loss.failure_rates import failure_rates
from storagecalc.study.measures import NEEDS
from storagecalc.study.money.archive import archive_cost_by_month
from storagecalc.study.money.cash_flow import Apart, cash_flow
from storagecalc.study.money.copies import Copies, copies
from storagecalc.study.money.other_costs import other_costs
from storagecalc.study.money.planning import (
    PLANNED_FUTURES,
    asks_for_plans,
    further_box,
    plan_candidates,
    planning_futures,
)
from storagecalc.study.money.price_paths import PricePaths, price_paths
from storagecalc.study.money.quotes import WorkShare, present_tb_years, work_shares
from storagecalc.study.outcome import Futures, Outcome, kept
from storagecalc.study.result import BuildResult, build_result
from storagecalc.study.sampling import Sampler, sampler
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.site.place import limits, total_power_w
from storagecalc.study.site.power import power_w_by_month
from storagecalc.study.speed.streams import rates

# Positions times draws times months worked on at once: some 150 MB of arrays. More are no faster.
CELLS_AT_ONCE = 130_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Evaluation:
    """All answers to one scenario. Each is itself alone, so that what follows from it is kept.

    ``held_tb_by_month`` is the scenario's own footage, the same for every build, and
    ``recorded`` what its kinds of work record at the middle of every range. ``gridded`` tells
    whether results still carry an axis of positions; ``at`` picks one. ``asked`` has what the
    studio needs, by need. ``plans`` has what those order that follow a best plan, by key; on a grid
    each of the ``places`` has plans of its own.
    """

    scenario: Scenario
    draws: int
    seed: int
    gridded: bool
    held_tb_by_month: Spread
    recorded: Mapping[str, Recorded]
    builds: tuple[BuildResult, ...]
    asked: Mapping[str, Any]
    plans: Mapping[str, PurchasePlan]
    places: tuple["Evaluation", ...] = ()
    advised: str | None = None

    def at(self, position: int) -> "Evaluation":
        """The evaluation at one position of its grid."""
        if self.places:
            return self.places[position].at(0)
        return replace(
            self,
            gridded=False,
            held_tb_by_month=at_position(self.held_tb_by_month, position),
            recorded=at_position(self.recorded, position),
            builds=at_position(self.builds, position),
            asked=at_position(self.asked, position),
        )


def evaluate(
    scenario: Scenario,
    *,
    draws: int = 0,
    seed: int = 0,
    positions: Mapping[str, Any] | None = None,
    plans: Mapping[str, PurchasePlan] | None = None,
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
        Points of a grid: numbers or ranges by dotted key, lists of one length. As in a file, a
        number is known and a range is not. Results then carry a first axis of positions.
    plans
        What builds with ``plan = "best"`` order, by alternative, as of another evaluation; left
        out: each is planned, at every position anew.

    Raises
    ------
    ScenarioError
        Where a position's key or value breaks a rule.
    ValueError
        Where draws or seed is no whole number from 0 up, or there are too many draws.
    """
    whole = sampler(scenario, draws=draws, seed=seed, positions=positions)
    if plans is None and positions and asks_for_plans(scenario):
        return _place_by_place(whole)
    known = purchase_plans(whole) if plans is None else plans
    parts = (_evaluated(part, known) for part in whole.parts(CELLS_AT_ONCE))
    found: Evaluation = joined(parts, axis=0)
    return found if positions else found.at(0)


def _place_by_place(whole: Sampler) -> Evaluation:
    """A grid on which each position has plans of its own, so that orders differ in number."""
    places = tuple(_evaluated(part, purchase_plans(part)) for part in whole.single_positions())
    found: Evaluation = joined((_without_orders(place) for place in places), axis=0)
    return replace(found, places=places)


def _without_orders(found: Evaluation) -> Evaluation:
    builds = tuple(replace(build, money=replace(build.money, orders=())) for build in found.builds)
    return replace(found, builds=builds)


def _evaluated(sample: Sampler, plans: Mapping[str, PurchasePlan]) -> Evaluation:
    middle = sample.middle()
    points = {each.alternative.key: each for each in outcomes(middle, plans)}
    middles = _kept(points.values(), 1)
    futures, held_by_draw = _futures(sample, plans) if sample.draws else middles
    lost = _losses(sample, points, futures)
    own = {point.alternative.footage_key: point.footage for point in points.values()}
    held = {
        key: (rows, spread(own[key].held_tb_by_month, rows), _cautious(sample, rows))
        for key, rows in held_by_draw.items()
    }
    results = [
        build_result(
            point,
            middles[0][key],
            futures[key],
            held[point.alternative.footage_key],
            lost[key],
            gridded=bool(sample.positions),
        )
        for key, point in points.items()
    ]
    return Evaluation(
        scenario=sample.scenario,
        draws=sample.draws,
        seed=sample.seed,
        gridded=True,
        held_tb_by_month=broadcast_positions(held[""][1], sample.position_count),
        recorded=broadcast_positions(recorded_by_work(own[""]), sample.position_count),
        builds=broadcast_positions(tuple(results), sample.position_count),
        asked=broadcast_positions(_asked(middle), sample.position_count),
        plans=plans,
    )


def _asked(middle: Scenario) -> dict[str, FloatArray]:
    """Every need that the scenario states, by position."""
    needs = middle.needs
    asked = {need: getattr(needs, need) for need in type(needs).model_fields if need in NEEDS}
    return {need: by_position(value) for need, value in asked.items() if value is not None}


def _cautious(sample: Sampler, held_by_draw: FloatArray) -> FloatArray:
    return at_share(held_by_draw, sample.scenario.needs.confidence_fraction)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Served:
    """A footage with all that hangs on it alone, the same for every build that holds it."""

    footage: Footage
    copied: Copies
    apart: Apart
    shares: Mapping[str, WorkShare]


def purchase_plans(sample: Sampler) -> Mapping[str, PurchasePlan]:
    """The plan of every alternative whose build asks for one, by key.

    Of the candidates the one that costs least on average in the futures that they are made for.

    Parameters
    ----------
    sample
        With one position. Its own number of draws does not matter.
    """
    if not asks_for_plans(sample.scenario):
        return {}
    first, *others = plan_candidates(sample)
    drawn, found = planning_futures(sample), dict(first)
    if all(_orders(plans) == _orders(first) for plans in others):
        return found
    costs = _mean_costs(drawn, first)
    for plans in others:
        for key, cost in _mean_costs(drawn, plans).items():
            if cost < costs[key]:
                found[key], costs[key] = plans[key], cost
    return found


def _orders(plans: Mapping[str, PurchasePlan]) -> Any:
    return {key: plan.orders for key, plan in plans.items()}


def _mean_costs(drawn: Scenario, plans: Mapping[str, PurchasePlan]) -> dict[str, float]:
    """The mean net present cost of each alternative with a plan."""
    return {
        each.alternative.key: mean_number(with_draws(each.flow.net_present_cost, PLANNED_FUTURES))
        for each in outcomes(drawn, plans, only=plans)
    }


def outcomes(
    drawn: Scenario,
    plans: Mapping[str, PurchasePlan] | None = None,
    *,
    only: Collection[str] | None = None,
) -> Iterator[Outcome]:
    """What every alternative comes to, one after another.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    plans
        By key, what those order that follow a plan; all others order by the studio's rule.
    only
        Keys of the alternatives wanted; all where left out.
    """
    plans = plans or {}
    own, prices, box = footage(drawn), price_paths(drawn), further_box(drawn)
    demanded_tb_years = present_tb_years(own.demanded_tb_by_month, prices)
    for served, same in _by_footage(drawn, own, only):
        one = _served(drawn, served, prices)
        for each in same:
            plan = plans.get(each.key)
            yield _outcome(drawn, each, plan, one, prices, box, demanded_tb_years)


def _by_footage(
    drawn: Scenario, own: Footage, only: Collection[str] | None
) -> Iterator[tuple[Footage, Sequence[Alternative]]]:
    """Each footage with the alternatives that hold it: builds share one, options have their own."""
    everything = [each for each in alternatives(drawn) if only is None or each.key in only]
    yield own, [each for each in everything if each.option(drawn) is None]
    for each in everything:
        option = each.option(drawn)
        if option is not None:
            yield option_footage(drawn, option, own), [each]


def _served(drawn: Scenario, served: Footage, prices: PricePaths) -> _Served:
    copied = copies(drawn, served, prices)
    return _Served(
        footage=served,
        copied=copied,
        apart=Apart(
            archive_cost_by_month=archive_cost_by_month(drawn, served, prices),
            copies_cost_by_month=copied.cost_by_month,
            copies_bought_cost_by_name=copied.set_up_cost_by_name,
            deleted_early_tb_by_month=served.deleted_early_tb_by_month,
        ),
        shares=work_shares(served, prices),
    )


def _outcome(
    drawn: Scenario,
    each: Alternative,
    plan: PurchasePlan | None,
    served: _Served,
    prices: PricePaths,
    box: FurtherBox | None,
    demanded_tb_years: FloatArray,
) -> Outcome:
    kept, held = kept_boxes(drawn, each.build(drawn)), served.footage.held_tb_by_month
    build, room, grown = _grown(drawn, each, plan, held, box, kept)
    brought = consequences(drawn, build, room, grown, held, box, kept)
    power_w = [power_w_by_month(holding) for holding in brought.holdings]
    early = early_tb_by_month(drawn, served.footage, grown.most_tb_by_month)
    others = other_costs(drawn, each.build_key, prices)
    return Outcome(
        alternative=each,
        drawn=drawn,
        build=build,
        prices=prices,
        footage=served.footage,
        shares=served.shares,
        demanded_tb_years=demanded_tb_years,
        space=room,
        kept=kept,
        box=box,
        grown=grown,
        brought=brought,
        power_w_by_month=total_power_w(power_w),
        copied=served.copied,
        flow=cash_flow(drawn, brought, power_w, early, served.apart, others, prices),
        rates=rates(drawn, build, room),
        limits=limits(drawn, build, kept, brought, total_power_w(power_w)),
    )


def _grown(
    drawn: Scenario,
    each: Alternative,
    plan: PurchasePlan | None,
    held: FloatArray,
    box: FurtherBox | None,
    kept: tuple[KeptBox, ...],
) -> tuple[Build, Space, Growth]:
    """The build with its space, and what it orders: by the studio's rule, or by its plan."""
    build = each.build(drawn)
    if plan is None:
        room = space(drawn, build)
        return build, room, growth(drawn, build, room, held, box, kept)
    build = planned_build(drawn, build, plan)
    room = planned_space(drawn, build, plan)
    return build, room, planned_growth(drawn, build, room, plan, held, box, kept)


def _futures(
    sample: Sampler, plans: Mapping[str, PurchasePlan]
) -> tuple[dict[str, Futures], dict[str, FloatArray]]:
    """What is kept of every future of each alternative, and TB held by footage."""
    blocks = (_kept(outcomes(drawn, plans), draws) for drawn, draws in sample.blocks(CELLS_AT_ONCE))
    found: tuple[dict[str, Futures], dict[str, FloatArray]] = joined(blocks, axis=1)
    return found


def _kept(
    outcomes: Iterable[Outcome], draws: int
) -> tuple[dict[str, Futures], dict[str, FloatArray]]:
    futures, held = {}, {}
    for each in outcomes:
        futures[each.alternative.key] = kept(each, draws)
        if each.alternative.footage_key not in held:
            rows = with_draws(each.footage.held_tb_by_month, draws)
            held[each.alternative.footage_key] = rows
    return futures, held


def _losses(
    sample: Sampler, points: Mapping[str, Outcome], futures: Mapping[str, Futures]
) -> dict[str, Loss]:
    middle = next(iter(points.values())).drawn
    cases = {
        key: loss_case(
            point.space,
            point.grown,
            point.brought,
            point.kept,
            point.footage.held_tb_by_month,
            lost_at_once_tb=futures[key].lost_at_once_tb,
            box=point.box,
            further_months_by_step=futures[key].further_months_by_step,
        )
        for key, point in points.items()
    }
    rated = failure_rates(middle, sample.ranges, sample.positions)
    within = losses_within(middle, cases, rated, (middle.horizon_months,))
    return {key: found[-1] for key, found in within.items()}
