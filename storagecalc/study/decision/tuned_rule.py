"""How well a studio's own rule would do beside a plan, as it is written and at its best."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.study.alternatives import Alternative, alternatives
from storagecalc.study.decision.kept import kept
from storagecalc.study.decision.narrowed import with_only
from storagecalc.study.decision.needs import ungridded
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.faults import ScenarioError
from storagecalc.study.scenario.scenario import Scenario

# A rule is tuned in so many futures and told in as many others. A studio that looks far ahead gets
# fewer: so many months of futures at each order point.
FUTURES = 500
MONTHS_A_POSITION = 60_000
ORDER_POINTS = tuple(share / 100 for share in range(50, 101, 5))


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCost:
    """A rule: at which share of the newest box's space how many drives are ordered at once.

    ``cost_mean`` is the net present cost, a mean over futures that it was not tuned on.
    """

    order_at_fraction: float
    drives_per_step: int
    cost_mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TunedRule:
    """The rule of a build as it is written and as it costs least, and the plan beside both.

    All three are means over the same futures, so many, in today's money. In those futures that the
    rule is tuned in, it costs no more than as written; in these it may.
    """

    futures: int
    written: RuleCost
    tuned: RuleCost
    plan_cost_mean: float


@kept
def tuned_rules(evaluation: Evaluation) -> Mapping[str, TunedRule]:
    """What the studio's rule costs on the build of each plan, by alternative.

    Always in as many futures for a scenario, however many the evaluation has drawn: the rule is
    tuned in those that the plan is made for, and told in others.

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
    everything = alternatives(evaluation.scenario)
    asked = [each for each in everything if each.key in evaluation.plans]
    return {each.key: _tuned(_Trial(evaluation=evaluation, each=each)) for each in asked}


def _tuned(trial: "_Trial") -> TunedRule:
    # As written first: it stays where nothing costs less.
    rules, points = dict(trial.rules()), [trial.build.order_at_fraction, *ORDER_POINTS]
    tuning = {
        (step, place): cost
        for step, scenario in rules.items()
        for place, cost in enumerate(trial.costs(scenario, points))
    }
    written, tuned = next(iter(tuning)), min(tuning, key=lambda rule: tuning[rule])
    told = [
        RuleCost(
            order_at_fraction=points[place],
            drives_per_step=step,
            cost_mean=trial.costs(rules[step], [points[place]], later=1)[0],
        )
        for step, place in (written, tuned)
    ]
    return TunedRule(
        futures=trial.futures, written=told[0], tuned=told[1], plan_cost_mean=trial.plan_cost()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trial:
    """One alternative, on whose build every rule is tried."""

    evaluation: Evaluation
    each: Alternative

    @property
    def build(self) -> Build:
        """Its build as it is written."""
        return self.each.build(self.evaluation.scenario)

    @property
    def futures(self) -> int:
        """In so many a rule is tuned, and told in as many others."""
        return min(FUTURES, MONTHS_A_POSITION // self.evaluation.scenario.horizon_months)

    def rules(self) -> Iterator[tuple[int, Scenario]]:
        """The scenario with the rule in the place of the plan, by drives that a step brings."""
        for step, grows_by in _steps(self.build):
            builds = self.evaluation.scenario.as_written()["builds"]
            rule = {"plan": "rule", "drives_per_step": step, "grows_by": grows_by}
            builds[self.each.build_key] |= rule
            try:
                yield step, self.evaluation.scenario.varied({"builds": builds})
            except ScenarioError:  # no layout has such steps
                continue

    def costs(self, scenario: Scenario, points: Sequence[float], *, later: int = 0) -> list[float]:
        """Mean net present costs at each order point, in the futures of the seed or a later one."""
        key = f"builds.{self.each.build_key}.order_at_fraction"
        return self._means(scenario, later, positions={key: points}, plans={})

    def plan_cost(self) -> float:
        """The mean net present cost of the plan, where rules are told."""
        plans = {self.each.key: self.evaluation.plans[self.each.key]}
        return self._means(self.evaluation.scenario, 1, plans=plans)[0]

    def _means(self, scenario: Scenario, later: int, **how: Any) -> list[float]:
        found = evaluate(
            with_only(scenario, [self.each]),
            draws=self.futures,
            seed=self.evaluation.seed + later,
            **how,
        )
        own = next(build for build in found.builds if build.key == self.each.key)
        costs: list[float] = np.atleast_2d(own.money.net_present_cost_by_draw).mean(axis=1).tolist()
        return costs


def _steps(build: Build) -> Iterator[tuple[int, str]]:
    """How many drives a step may bring, as written first, and how the build then grows."""
    yield build.drives_per_step, build.grows_by
    if build.grows_by == "swapping":
        return
    room = build.bays - build.drives_at_first
    if build.shelf is not None:
        room = max(room, build.shelf.bays - build.shelf.drives_at_first)
    step = 1
    while step <= room:
        if step != build.drives_per_step:
            yield step, "one drive" if step == 1 else "groups"
        step *= 2
