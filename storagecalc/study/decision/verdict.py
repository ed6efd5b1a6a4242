"""Which alternative to choose: who is left by the needs, who costs least, and how clearly."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from storagecalc.study.axes import Spread, at_position, spread
from storagecalc.study.decision.kept import kept
from storagecalc.study.decision.needs import Standing, standings
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.categories import NOT_PAID
from storagecalc.study.result import BuildResult

Outcome = Literal[
    "only alternative", "only one meets the needs", "clear", "level", "none meets the needs"
]
# Clear: dearer in at most so many futures, and so much lower in the mean.
DEARER_AT_MOST_FRACTION = 0.1
LOWER_AT_LEAST_FRACTION = 0.02
# Level: not clear, and at most so much higher in the mean.
HIGHER_AT_MOST_FRACTION = 0.1
# A level one takes over where it meets all needs in so many more futures.
MET_MORE_FRACTION = 0.05
# Where none meets the needs, those within this of the best are left.
NEAR_BEST_FRACTION = 0.05
# Amounts of money below this are none.
LEAST_COST = 0.5
# Shares of futures are told apart from their limits beyond rounding.
TINY_FRACTION = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the comparison comes to.

    ``rivals`` are those that meet the needs, or come nearest where none does, the least mean cost
    first. ``first`` is the first of them, ``second`` the next, ``gap_cost`` second less first in
    each future, and ``cheaper_fraction`` the share of futures in which the first costs less.
    ``recommended`` is the first, or one level with it that meets the needs in clearly more
    futures. ``level_with`` the first are those that cost about as much, ``cheaper_at_times`` those
    that are dearer in the mean but cheaper in more than one of ten futures. ``clear`` is None
    without draws. ``unmet_needs`` are those that nobody meets. ``others`` are the alternatives that
    are no rivals.
    """

    outcome: Outcome
    rivals: tuple[Standing, ...]
    recommended: Standing
    level_with: tuple[BuildResult, ...]
    cheaper_at_times: tuple[BuildResult, ...]
    clear: bool | None
    gap_cost: Spread | None
    cheaper_fraction: float
    unmet_needs: frozenset[str]
    others: tuple[Standing, ...]

    @property
    def first(self) -> BuildResult:
        """The rival with the least mean net present cost."""
        return self.rivals[0].build

    @property
    def second(self) -> BuildResult | None:
        """The rival with the next."""
        return self.rivals[1].build if len(self.rivals) > 1 else None

    @property
    def nearest_other(self) -> BuildResult | None:
        """The rival nearest in mean to the recommended; among all others where it has no rival."""
        return next(iter(self.nearest_others(1)), None)

    def nearest_others(self, count: int) -> list[BuildResult]:
        """The rivals nearest in mean to the recommended; all others come after them.

        Parameters
        ----------
        count
            How many are wanted at most.
        """
        mean = mean_cost(self.recommended.build)

        def by_distance(some: Sequence[Standing]) -> list[BuildResult]:
            builds = (each.build for each in some if each is not self.recommended)
            return sorted(builds, key=lambda each: abs(mean_cost(each) - mean))

        return [*by_distance(self.rivals), *by_distance(self.others)][:count]

    def nearest_to(self, need: str) -> Standing:
        """The alternative that meets a need in most futures; of several, the least short."""

        def miss(each: Standing) -> tuple[float, float]:
            judged = next(one for one in each.needs if one.need == need)
            return -judged.met_fraction, judged.shortfall

        return min((*self.rivals, *self.others), key=miss)


@kept
def verdict(evaluation: Evaluation) -> Verdict:
    """Who is recommended, and how clearly.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid; pick a position with ``at`` first.
    """
    everyone = standings(evaluation)
    unmet = _unmet_needs(everyone, evaluation.scenario.needs.confidence_fraction)
    rivals = sorted(_rivals(everyone, unmet), key=lambda each: mean_cost(each.build))
    first, others = rivals[0].build, [each.build for each in rivals[1:]]
    unclear = [each for each in others if not is_clear_of(first, each)]
    level = [each for each in unclear if _is_near(first, each)]
    second = others[0] if others else None
    return Verdict(
        outcome=_outcome(everyone, rivals, level),
        rivals=tuple(rivals),
        recommended=_kept(everyone, evaluation.advised) or _recommended(rivals, level),
        level_with=tuple(level),
        cheaper_at_times=tuple(each for each in unclear if each not in level),
        clear=None if not evaluation.draws else not unclear,
        gap_cost=None if second is None else paired_gap(first, second),
        cheaper_fraction=1.0 if second is None else cheaper_fraction(first, second),
        unmet_needs=unmet,
        others=tuple(each for each in everyone if each not in rivals),
    )


def mean_cost(build: BuildResult) -> float:
    """The mean net present cost of an alternative."""
    return float(build.money.net_present_cost.mean)


def paired_gap(less: BuildResult, more: BuildResult) -> Spread:
    """What the second costs more than the first, future by future."""
    gap = gap_by_draw(less, more)
    point = more.money.net_present_cost.point - less.money.net_present_cost.point
    found: Spread = at_position(spread(np.array([[point]]), gap[None]), 0)
    return found


def gap_by_draw(less: BuildResult, more: BuildResult) -> Any:
    """What the second costs more than the first in each future."""
    return more.money.net_present_cost_by_draw - less.money.net_present_cost_by_draw


def cheaper_fraction(one: BuildResult, other: BuildResult) -> float:
    """The share of futures in which one costs less than the other."""
    costs = (each.money.net_present_cost_by_draw for each in (one, other))
    return float(np.mean(np.less(*costs)))


def is_clear_of(one: BuildResult, other: BuildResult) -> bool:
    """Whether one costs less: dearer in few futures, and lower in the mean by what matters."""
    seldom_dearer = cheaper_fraction(other, one) <= DEARER_AT_MOST_FRACTION + TINY_FRACTION
    lower = mean_cost(one) <= (1.0 - LOWER_AT_LEAST_FRACTION) * mean_cost(other)
    return seldom_dearer and lower


def difference_by_category(dearer: BuildResult, cheaper: BuildResult) -> dict[str, float]:
    """What the dearer costs more in the mean, in today's money, by category, the largest first.

    The parts add up to the difference of the means.
    """
    parts = {
        category: float(cost - cheaper.money.present_cost_by_category[category])
        for category, cost in dearer.money.present_cost_by_category.items()
    }
    return dict(sorted(parts.items(), key=lambda part: -abs(part[1])))


def difference_by_year(one: BuildResult, other: BuildResult) -> tuple[tuple[float, ...], float]:
    """What one costs more than the other in the mean, in today's money: year by year from the
    start, and because less is worth something at the end.

    All parts add up to the difference of the means.
    """
    years = one.money.present_cost_by_year - other.money.present_cost_by_year
    return tuple(years.tolist()), difference_by_category(one, other)[NOT_PAID]


def common_costs(one: BuildResult, other: BuildResult) -> dict[str, float]:
    """What is paid for a category in the mean where it is the same for both, the largest first."""
    differences = difference_by_category(one, other)
    return {
        category: float(cost)
        for category, cost in sorted(
            one.money.present_cost_by_category.items(), key=lambda part: -part[1]
        )
        if cost >= LEAST_COST and abs(differences[category]) < LEAST_COST
    }


def _unmet_needs(everyone: Sequence[Standing], confidence: float) -> frozenset[str]:
    """Needs whose own share of futures is below the confidence for every alternative."""
    met = {need.need for each in everyone for need in each.needs if need.met_fraction >= confidence}
    return frozenset(need.need for need in everyone[0].needs) - met


def _rivals(everyone: Sequence[Standing], unmet: frozenset[str]) -> list[Standing]:
    """Those that meet the needs; where none does, those nearest to it, hopeless needs left out."""
    meeting = [each for each in everyone if each.meets_needs]
    if meeting:
        return meeting
    shares = [each.met_fraction_without(unmet) for each in everyone]
    least = max(shares) - NEAR_BEST_FRACTION - TINY_FRACTION
    return [each for each, share in zip(everyone, shares, strict=True) if share >= least]


def _outcome(
    everyone: Sequence[Standing], rivals: Sequence[Standing], level: Sequence[BuildResult]
) -> Outcome:
    if not rivals[0].meets_needs:
        return "none meets the needs"
    if len(everyone) == 1:
        return "only alternative"
    if len(rivals) == 1:
        return "only one meets the needs"
    return "level" if level else "clear"


def _kept(everyone: Sequence[Standing], advised: str | None) -> Standing | None:
    """What more futures recommended, where these are too few to change it on."""
    return next((each for each in everyone if each.build.key == advised), None)


def _is_near(first: BuildResult, other: BuildResult) -> bool:
    return mean_cost(other) <= (1.0 + HIGHER_AT_MOST_FRACTION) * mean_cost(first)


def _recommended(rivals: Sequence[Standing], level: Sequence[BuildResult]) -> Standing:
    """The first, or a level one that meets all needs in clearly more futures than all before it."""
    chosen, best = rivals[0], rivals[0].needs_met_fraction
    for each in rivals[1:]:
        if each.build not in level:
            continue
        if each.needs_met_fraction >= best + MET_MORE_FRACTION - TINY_FRACTION:
            chosen = each
        best = max(best, each.needs_met_fraction)
    return chosen
