"""Which assumptions decide: each moved alone from its low to its high, the rest in the middle.

Moved are ranges, and defaults that are guesses and that the file does not replace. Left out are
counts and dates, which no grid can carry, and choices, which the studio makes and does not guess.
What two quantities do only together is not seen.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import by_position
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.quantity import Entry, Quantity, Range, entries, middle
from storagecalc.study.scenario.scenario import Scenario

PLAIN_REACH_FRACTION = 0.3
# A third of nothing is nothing, and of a drift near zero next to nothing: these move by notches.
REACH_STEPS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What one assumption does to the build that comes first, all others at their middle.

    ``low`` and ``high`` are where it was put, in its own unit; ``..._from`` and ``..._to`` what
    came out there. Headroom that reaches beyond the horizon is infinite, and counts as the horizon
    in its share. A share is the effect's part of all absolute one-at-a-time effects; both are 0
    where nothing moves.
    """

    key: str
    quantity: Quantity
    written: bool
    is_range: bool
    low: float
    high: float
    cost_from: float
    cost_to: float
    headroom_months_from: float
    headroom_months_to: float
    cost_share_fraction: float
    headroom_share_fraction: float

    @property
    def cost_ends(self) -> tuple[float, float]:
        """Net present cost at low and at high."""
        return self.cost_from, self.cost_to

    @property
    def headroom_ends(self) -> tuple[float, float]:
        """Months of headroom at low and at high."""
        return self.headroom_months_from, self.headroom_months_to

    @property
    def largest_share_fraction(self) -> float:
        """The larger of its two shares, by which effects are ranked."""
        return max(self.cost_share_fraction, self.headroom_share_fraction)


@dataclass(frozen=True, slots=True)
class _Move:
    entry: Entry
    low: float
    high: float


def effects(evaluation: Evaluation) -> tuple[Effect, ...]:
    """The one-at-a-time effects on the first-ranked build's cost and headroom, largest first.

    Parameters
    ----------
    evaluation
        Without a grid; with draws or without. The effects are taken at the middle of all ranges.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid.
    """
    first = verdict(evaluation).recommended.build
    scenario = _with_builds_that_matter(evaluation.scenario, first.key)
    moves = [_move(entry) for entry in entries(scenario) if _is_an_assumption(entry)]
    if not moves:
        return ()
    grid = evaluate(scenario, positions=_one_at_a_time(moves))
    build = next(result for result in grid.builds if result.key == first.key)
    found = _effects(moves, build, horizon_months=scenario.horizon_months)
    return tuple(sorted(found, key=lambda effect: -effect.largest_share_fraction))


def _is_an_assumption(entry: Entry) -> bool:
    """Whether a quantity is a range, or a guess that nobody replaced."""
    if entry.quantity.whole or entry.quantity.choice:
        return False
    guessed = not entry.written and entry.quantity.status == "guess"
    return guessed or isinstance(entry.value, Range)


def _move(entry: Entry) -> _Move:
    quantity, value = entry.quantity, entry.value
    if isinstance(value, Range):
        return _Move(entry, value.low, value.high)
    reach = abs(value) * PLAIN_REACH_FRACTION
    if value == 0 or quantity.lowest < 0:
        reach = max(reach, quantity.step * REACH_STEPS)
    return _Move(entry, max(value - reach, quantity.lowest), min(value + reach, quantity.highest))


def _one_at_a_time(moves: Sequence[_Move]) -> dict[str, FloatArray]:
    """A grid with two positions a move: its low and its high, everything else at its middle."""
    positions = {}
    for number, move in enumerate(moves):
        axis = np.full(2 * len(moves), middle(move.entry.value))
        axis[2 * number], axis[2 * number + 1] = move.low, move.high
        positions[move.entry.key] = axis
    return positions


def _effects(moves: Sequence[_Move], build: BuildResult, *, horizon_months: int) -> list[Effect]:
    cost = by_position(build.money.net_present_cost.point).reshape(-1, 2)
    headroom = by_position(build.capacity.headroom_months.point).reshape(-1, 2)
    cost_shares = _shares(cost)
    headroom_shares = _shares(np.minimum(headroom, horizon_months))
    return [
        Effect(
            key=move.entry.key,
            quantity=move.entry.quantity,
            written=move.entry.written,
            is_range=isinstance(move.entry.value, Range),
            low=move.low,
            high=move.high,
            cost_from=float(cost[number, 0]),
            cost_to=float(cost[number, 1]),
            headroom_months_from=float(headroom[number, 0]),
            headroom_months_to=float(headroom[number, 1]),
            cost_share_fraction=float(cost_shares[number]),
            headroom_share_fraction=float(headroom_shares[number]),
        )
        for number, move in enumerate(moves)
    ]


def _shares(ends: FloatArray) -> FloatArray:
    moved = np.abs(ends[:, 1] - ends[:, 0])
    total = math.fsum(moved)
    shares: FloatArray = moved / total if total else moved
    return shares


def _with_builds_that_matter(scenario: Scenario, first: str) -> Scenario:
    """The scenario with the first build or option and the builds that anything else names.

    The other builds and their drives change nothing about the first and would only take time.
    """
    options = {key: option for key, option in scenario.options.items() if key == first}
    scenario = scenario.model_copy(update={"options": options})
    named = set(_texts(scenario.model_copy(update={"builds": {}}).model_dump())) | {first}
    builds = {key: build for key, build in scenario.builds.items() if key in named}
    named |= {text for build in builds.values() for text in _texts(build.model_dump())}
    drives = {key: each for key, each in scenario.drives.items() if key in named}
    return scenario.model_copy(update={"builds": builds, "drives": drives})


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, (list, tuple)):
        for inner in value:
            yield from _texts(inner)
