"""Break-evens: how far one quantity may move before the recommendation, or what it meets, changes.

Each position asks: what if it were known to be just this, and all else stayed as uncertain as it
is? Always in the same futures, so that nothing but the quantity makes the difference.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from storagecalc.study.decision.needs import Standing
from storagecalc.study.decision.sensitivity import reach
from storagecalc.study.decision.verdict import Verdict, verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.quantity import Entry, Quantity, entries, middle

# Futures at each position; more where so few recommend another alternative than all do.
DRAWS = 200
MORE_DRAWS = 1_000
# Positions from low to high, today's apart, and how narrow a crossing is pinned down.
POSITIONS = 41
WIDTH_FRACTION = 1 / 1_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A value at which the recommendation, or how it stands with its needs, changes.

    ``side`` is where it lies as seen from today. What follows holds just beyond it: what is
    recommended there, whether today's recommended still meets all needs in enough futures, and
    which needs it misses or meets there that it does not on the near side.
    """

    value: float
    side: Literal["above", "below"]
    recommended: BuildResult
    meets_needs: bool
    missed_needs: tuple[str, ...]
    met_needs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """All crossings of one quantity between low and high, rising.

    ``today`` is what the file says, the middle of a range. ``unsettled`` where today's value, taken
    as known, brings another recommendation than all futures do.
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
        """The crossing nearest to today, None where nothing changes from low to high."""
        return min(self.crossings, key=lambda each: abs(each.value - self.today), default=None)
