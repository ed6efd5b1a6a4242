"""What matters most: which unknowns move the decision, the gap to the next best and the needs.

An unknown with a range is looked at in the futures that were drawn: those in which it is highest
against those in which it is lowest. What has no range is put low and high by itself, in the same
futures. What several do only together is not seen.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import at_share
from storagecalc.study.decision.kept import kept
from storagecalc.study.decision.narrowed import with_only
from storagecalc.study.decision.needs import is_met, ungridded
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.measures import NEEDS
from storagecalc.study.result import BuildResult
from storagecalc.study.sampling import stratified
from storagecalc.study.scenario.quantity import Entry, Quantity, Range, entries
from storagecalc.study.scenario.sliders import Slider, means_something, sliders

# Futures in which an unknown is highest are compared with those in which it is lowest.
TENTH = 0.1
# A shift within so many standard errors is what chance brings, and counts as none.
CHANCE_ERRORS = 2.5
# Futures in which each plain number is put low and high, and in which those that move the decision
# most are put so again. They are the same at both ends, so that few are enough.
FEW_DRAWS = 10
PLAIN_DRAWS = 100
MOST_AGAIN = 12
PLAIN_REACH_FRACTION = 0.3
# A third of nothing is nothing, of a drift near zero next to nothing, and of decibels more than
# anything differs: these move by notches.
REACH_STEPS = 4
# What is written of these, other than prices, stands on a label, a data sheet or a tape measure.
READ_OFF = ("builds", "drives", "network", "place")
# Weights no larger are rounding.
TINY_WEIGHT = 1e-9

# Two alternatives whose costs are compared; None where there is no other.
Pair: TypeAlias = tuple[BuildResult, BuildResult | None]
# By key: how much larger the gap is where the unknown is high, and how many more futures meet all
# needs there.
Shifts: TypeAlias = Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Influence:
    """What one unknown does to the decision.

    ``low`` and ``high`` are what one and nine in ten futures stay below, or where a plain number
    was put, in its own unit. ``gap_shift_cost`` is what the next best costs more than the
    recommended where the unknown is high, less the same where it is low; ``gap_share`` is its size
    as a share of the way from the 1-in-10 to the 9-in-10 gap. ``needs_shift_fraction`` is the share
    of futures in which the recommended meets all needs, high less low. ``weight`` is the larger of
    the two sizes.
    """

    key: str
    quantity: Quantity
    written: bool
    is_range: bool
    low: float
    high: float
    gap_shift_cost: float
    gap_share: float
    needs_shift_fraction: float
    weight: float


@kept
def influences(evaluation: Evaluation) -> tuple[Influence, ...]:
    """Every unknown that moves the decision, what moves it most first.

    Unknown are ranges; defaults that are guesses, unless they are zero; and what the file writes
    as one number of its own footage, habits and work, and as prices, unless those are quoted. What
    one counts, dates and choices are not.

    The gap is what the alternative nearest to the recommended costs more, future by future; where
    there is no other, it is the recommended's own cost. Where the gap is the same in all futures,
    shares are of the gap itself. A need that is judged on one number for all futures (loss) moves
    with plain numbers only.

    Parameters
    ----------
    evaluation
        Without a grid. Without draws there is nothing to compare, and nothing is returned.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid.
    """
    if not evaluation.draws:
        ungridded(evaluation)
        return ()
    return _ranked(evaluation)


def _ranked(evaluation: Evaluation) -> tuple[Influence, ...]:
    found = verdict(evaluation)
    pair = found.recommended.build, found.nearest_other
    gap, met = _gap_and_met(evaluation, pair)
    scale = _width(gap) or abs(float(gap.mean())) or 1.0
    scenario = evaluation.scenario
    told = [entry for entry in entries(scenario) if means_something(scenario, entry)]
    unknown = [entry for entry in told if _is_unknown(entry, evaluation)]
    ranges = [entry for entry in unknown if isinstance(entry.value, Range)]
    plain = [entry for entry in unknown if not isinstance(entry.value, Range)]
    shifts = {
        **_range_shifts(evaluation, ranges, gap, met),
        **_plain_shifts(evaluation, plain, pair, scale),
    }
    moved = [_influence(each, shifts[each.key], scale) for each in unknown if each.key in shifts]
    moving = [each for each in moved if each.weight > TINY_WEIGHT]
    return tuple(sorted(moving, key=lambda each: -each.weight))


def deciding_sliders(evaluation: Evaluation, count: int) -> tuple[Slider, ...]:
    """Sliders for what matters most, at most so many; none where nothing was drawn.

    Parameters
    ----------
    evaluation
        As for ``influences``.
    count
        How many are wanted, 0 or more.
    """
    known = {slider.key: slider for slider in sliders(evaluation.scenario, ["*"])}
    found = [known[each.key] for each in influences(evaluation) if each.key in known]
    return tuple(found[:count])


def reach(entry: Entry) -> tuple[float, float]:
    """How low and how high an unknown may well be: its range, or a third to either side."""
    quantity, value = entry.quantity, entry.value
    if isinstance(value, Range):
        return value.low, value.high
    way, notches = abs(value) * PLAIN_REACH_FRACTION, quantity.step * REACH_STEPS
    if quantity.unit == "dBA":
        way = notches
    elif value == 0 or quantity.lowest < 0:
        way = max(way, notches)
    return max(value - way, quantity.lowest), min(value + way, quantity.highest)


def _is_unknown(entry: Entry, evaluation: Evaluation) -> bool:
    """Whether a quantity is a range, or one number that may well be another."""
    quantity = entry.quantity
    if isinstance(entry.value, Range):
        return True
    if not quantity.takes_range or quantity.status != "guess":
        return False
    if not entry.written:
        return bool(entry.value != 0)
    if quantity.unit.startswith("money"):
        return evaluation.scenario.prices_are != "quoted"
    return entry.key.split(".")[0] not in READ_OFF


def _influence(entry: Entry, shifts: tuple[float, float], scale: float) -> Influence:
    low, high = reach(entry)
    return Influence(
        key=entry.key,
        quantity=entry.quantity,
        written=entry.written,
        is_range=isinstance(entry.value, Range),
        low=low,
        high=high,
        gap_shift_cost=shifts[0],
        gap_share=abs(shifts[0]) / scale,
        needs_shift_fraction=shifts[1],
        weight=_weight(shifts, scale),
    )


def _weight(shifts: tuple[float, float], scale: float) -> float:
    return max(abs(shifts[0]) / scale, abs(shifts[1]))


def _width(gap: FloatArray) -> float:
    low, high = (float(at_share(gap[None], share)[0]) for share in (TENTH, 1.0 - TENTH))
    return high - low


def _gap_and_met(evaluation: Evaluation, pair: Pair) -> tuple[FloatArray, FloatArray]:
    """The gap, and 1 where the first of the two meets all needs, else 0: one number a future.

    Positions are the first axis where the evaluation has a grid.
    """
    one, other = pair
    gap: FloatArray = one.money.net_present_cost_by_draw
    if other is not None:
        gap = other.money.net_present_cost_by_draw - gap
    met = np.ones(gap.shape, dtype=bool)
    for need, required in evaluation.asked.items():
        judged = np.asarray(NEEDS[need].judged(one)).reshape(*gap.shape[:-1], -1)
        met &= is_met(NEEDS[need], np.reshape(required, (*gap.shape[:-1], 1)), judged)
    return gap, met.astype(float)


def _range_shifts(
    evaluation: Evaluation, ranges: Iterable[Entry], gap: FloatArray, met: FloatArray
) -> Shifts:
    """Futures in which a range is in its highest tenth, less those in which in its lowest."""
    count = max(1, round(evaluation.draws * TENTH))
    found = {}
    for entry in ranges:
        # What is drawn from a range rises with the share it is drawn at.
        shares = stratified(evaluation.draws, seed=evaluation.seed, key=entry.key)
        order = np.argsort(shares)
        low, high = order[:count], order[-count:]
        found[entry.key] = _told(gap[low], gap[high]), _told(met[low], met[high])
    return found


def _told(low: FloatArray, high: FloatArray) -> float:
    """How much more the mean of some futures is than of others; 0 where chance may bring it."""
    shift = float(high.mean() - low.mean())
    chance = CHANCE_ERRORS * math.sqrt((low.var() + high.var()) / len(low))
    return shift if abs(shift) > chance else 0.0


def _plain_shifts(
    evaluation: Evaluation, plain: Sequence[Entry], pair: Pair, scale: float
) -> Shifts:
    """Each plain number put high, less put low: all in few futures, those that matter in more.

    Numbers that touch neither alternative are left out.
    """
    scenario = with_only(evaluation.scenario, [each.alternative for each in pair if each])
    known = {entry.key for entry in entries(scenario)}
    moved = [entry for entry in plain if entry.key in known]
    only = replace(evaluation, scenario=scenario)
    rough = _put_low_and_high(only, moved, pair, FEW_DRAWS)
    moved.sort(key=lambda entry: -_weight(rough[entry.key], scale))
    return {**rough, **_put_low_and_high(only, moved[:MOST_AGAIN], pair, PLAIN_DRAWS)}


def _put_low_and_high(
    evaluation: Evaluation, moved: Sequence[Entry], pair: Pair, most_draws: int
) -> Shifts:
    if not moved:
        return {}
    grid = evaluate(
        evaluation.scenario,
        draws=min(most_draws, evaluation.draws),
        seed=evaluation.seed,
        positions=_one_at_a_time(moved),
        # What is ordered is settled before anybody knows how the unknown turns out.
        plans=evaluation.plans,
    )
    by_key = {build.key: build for build in grid.builds}
    same = by_key[pair[0].key], pair[1] and by_key[pair[1].key]
    ends = [rows.mean(axis=-1).reshape(-1, 2) for rows in _gap_and_met(grid, same)]
    shifts = zip(*((low_high[:, 1] - low_high[:, 0]).tolist() for low_high in ends), strict=True)
    return dict(zip((entry.key for entry in moved), shifts, strict=True))


def _one_at_a_time(moved: Sequence[Entry]) -> dict[str, FloatArray]:
    """A grid with two positions a number: its low and its high, all others as they are."""
    positions = {}
    for number, entry in enumerate(moved):
        axis = np.full(2 * len(moved), float(entry.value))
        axis[2 * number : 2 * number + 2] = reach(entry)
        positions[entry.key] = axis
    return positions
