"""Break-evens: how far one quantity may move before the recommendation, or what it meets, changes.

Each position means what a slider means: a range goes along with its middle, as uncertain as it was.
Always in the same futures and with the same best plans, so that nothing but the quantity makes the
difference.
"""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple, TypeAlias

import numpy as np

from storagecalc.study.alternatives import Alternative, alternatives
from storagecalc.study.decision.sensitivity import reach
from storagecalc.study.decision.verdict import Verdict, verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.quantity import Entry, Quantity, entries, middle
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import moved_value

# Futures at each position; more where so few recommend another alternative than all do.
DRAWS = 100
MORE_DRAWS = 400
# A studio with many alternatives over many years gets fewer at each position of a grid: so many
# cells of alternatives, months and futures, but no fewer futures than this.
CELLS_A_POSITION = 20_000
LEAST_DRAWS = 40
# Positions from low to high, today's apart, and how narrowly a crossing is pinned down.
POSITIONS = 41
WIDTH_FRACTION = 1 / 1_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A value at which the recommendation changes, or how today's recommended meets the needs.

    ``side`` is where it lies as seen from today. The rest holds just beyond it: what is recommended
    there, whether today's recommended meets the needs there, and which of its needs it misses or
    meets there that it does not on the near side.
    """

    value: float
    side: Literal["above", "below"]
    recommended: Alternative
    meets_needs: bool
    missed_needs: tuple[str, ...]
    met_needs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """All crossings of one quantity between low and high, rising.

    ``today`` is what the file says, the middle where it gives a range. ``unsettled`` is where the
    fewer futures looked at here recommend another alternative today than the whole evaluation.
    """

    key: str
    quantity: Quantity
    low: float
    today: float
    high: float
    crossings: tuple[Crossing, ...]
    unsettled: bool

    @property
    def nearest(self) -> Crossing | None:
        """The crossing nearest to today; None where nothing changes from low to high."""
        return min(self.crossings, key=lambda each: abs(each.value - self.today), default=None)


class _State(NamedTuple):
    """What is recommended at a position, and how today's recommended stands there."""

    recommended: Alternative
    meets_needs: bool
    missed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axis:
    """One quantity that is moved, and what today's recommendation is."""

    evaluation: Evaluation
    advised: str
    entry: Entry
    draws: int

    def states(self, values: Sequence[float]) -> list[_State]:
        """What holds at each value of the quantity, in the same futures."""
        grid = evaluate(
            self.evaluation.scenario,
            draws=min(self.draws, self.evaluation.draws),
            seed=self.evaluation.seed,
            positions={self.entry.key: [moved_value(self.entry, value) for value in values]},
            plans=self.evaluation.plans,
        )
        return [self._state(verdict(grid.at(place))) for place in range(len(values))]

    def _state(self, found: Verdict) -> _State:
        everyone = (*found.rivals, *found.others)
        own = next(each for each in everyone if each.build.key == self.advised)
        return _State(
            recommended=found.recommended.build.alternative,
            meets_needs=own.meets_needs,
            missed=tuple(need.need for need in own.missed),
        )


def break_evens(evaluation: Evaluation, keys: Sequence[str]) -> tuple[BreakEven, ...]:
    """Where today's recommendation stops holding as one quantity moves, each by itself.

    From the low to the high end of its range, or as far as a plain number is tried elsewhere.

    Parameters
    ----------
    evaluation
        Without a grid. Without draws every other range stands at its middle.
    keys
        Dotted keys of quantities that a grid can carry, as ``influences`` ranks them.

    Raises
    ------
    ScenarioError
        Where a grid cannot carry a quantity.
    ValueError
        Where a key is no quantity of the scenario, or the evaluation still has a grid.
    """
    advised = verdict(evaluation).recommended.build.key
    known = {entry.key: entry for entry in entries(evaluation.scenario)}
    unknown = [key for key in keys if key not in known]
    if unknown:
        raise ValueError(f"{unknown[0]} is no quantity of this scenario")
    draws = draws_a_position(evaluation.scenario, DRAWS)
    return tuple(
        _break_even(_Axis(evaluation=evaluation, advised=advised, entry=known[key], draws=draws))
        for key in keys
    )


def draws_a_position(scenario: Scenario, most: int) -> int:
    """Futures at each position of a grid, fewer where each of them is much work.

    Parameters
    ----------
    scenario
        As written.
    most
        Futures wanted where there are few alternatives.
    """
    cells = len(alternatives(scenario)) * scenario.horizon_months
    return min(most, max(LEAST_DRAWS, CELLS_A_POSITION // cells))


# A stretch between two values, and what holds at each.
_Stretch: TypeAlias = tuple[tuple[float, _State], tuple[float, _State]]


def _break_even(axis: _Axis) -> BreakEven:
    (low, high), today = reach(axis.entry), middle(axis.entry.value)
    values = sorted({*np.linspace(low, high, POSITIONS).tolist(), today})
    states = axis.states(values)
    settled = states[values.index(today)].recommended.key == axis.advised
    more = replace(axis, draws=MORE_DRAWS // DRAWS * axis.draws)
    if not settled and more.states([today])[0].recommended.key == axis.advised:
        settled, axis, states = True, more, more.states(values)
    stretches = _narrowed(axis, _changing(zip(values, states, strict=True)), high - low)
    return BreakEven(
        key=axis.entry.key,
        quantity=axis.entry.quantity,
        low=low,
        today=today,
        high=high,
        crossings=tuple(_crossing(each, today) for each in stretches),
        unsettled=not settled,
    )


def _changing(told: Iterable[tuple[float, _State]]) -> list[_Stretch]:
    """The stretches from one value to the next in which what holds changes."""
    return [pair for pair in itertools.pairwise(told) if pair[0][1] != pair[1][1]]


def _narrowed(axis: _Axis, stretches: list[_Stretch], width: float) -> list[_Stretch]:
    """The same changes, rising, each within a stretch that is narrow: all are halved together."""
    narrow: list[_Stretch] = []
    while stretches:
        halves = [(low + high) / 2 for (low, _), (high, _) in stretches]
        told = zip(halves, axis.states(halves), strict=True)
        parts = [
            part
            for (low, high), half in zip(stretches, told, strict=True)
            for part in _changing([low, half, high])
        ]
        stretches = []
        for each in parts:
            is_wide = each[1][0] - each[0][0] > width * WIDTH_FRACTION
            (stretches if is_wide else narrow).append(each)
    return sorted(narrow, key=lambda each: each[0][0])


def _crossing(stretch: _Stretch, today: float) -> Crossing:
    (low, below), (high, above) = stretch
    is_above = low >= today
    near, beyond = (below, above) if is_above else (above, below)
    return Crossing(
        value=(low + high) / 2,
        side="above" if is_above else "below",
        recommended=beyond.recommended,
        meets_needs=beyond.meets_needs,
        missed_needs=tuple(need for need in beyond.missed if need not in near.missed),
        met_needs=tuple(need for need in near.missed if need not in beyond.missed),
    )
