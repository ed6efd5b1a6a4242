"""Failure rates as the loss is averaged over them: nodes of a quadrature, and single rates."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.ranges import percentile_nodes
from storagecalc.study.scenario.quantity import Amount, Entry, Range
from storagecalc.study.scenario.scenario import Scenario

NODES = 40
# Single rates that stand beside the average, by the share of drive models that fail less.
SINGLE = {"middle": 0.5, "low": 0.1, "high": 0.9}


@dataclass(frozen=True, slots=True, kw_only=True)
class FailureRates:
    """Failures per drive-year by drive class, laid out along the draws axis.

    Parameters
    ----------
    failures_per_drive_year_by_class
        Rates of shape (1 or positions, lanes, 1): the nodes of the average, then the single rates.
        Without a range all lanes hold the same rate.
    weights
        Weights of the nodes, shape (nodes,).
    single
        Names of the lanes behind the nodes.
    """

    failures_per_drive_year_by_class: Mapping[str, FloatArray]
    weights: FloatArray
    single: tuple[str, ...]

    def averaged(self, lanes: FloatArray) -> FloatArray:
        """What came out of each lane, (positions, lanes), averaged over the unknown rate."""
        average: FloatArray = self._all(lanes)[:, : len(self.weights)] @ self.weights
        return average

    def at(self, name: str, lanes: FloatArray) -> FloatArray:
        """What came out at a single rate: "middle", "low" or "high"."""
        at_rate: FloatArray = self._all(lanes)[:, len(self.weights) + self.single.index(name)]
        return at_rate

    def _all(self, lanes: FloatArray) -> FloatArray:
        """Every lane, where only one was walked because all are the same."""
        return np.broadcast_to(lanes, (len(lanes), len(self.weights) + len(self.single)))


def failure_rates(
    drawn: Scenario, ranges: Sequence[Entry], positions: Mapping[str, Sequence[Amount]]
) -> FailureRates:
    """The failure rates of all drive classes.

    Parameters
    ----------
    drawn
        The scenario at its middle.
    ranges
        Its ranges.
    positions
        Numbers or ranges by dotted key where it lies on a grid.
    """
    nodes, weights = _nodes()
    shares = np.concatenate([nodes, [*SINGLE.values()]])
    known = {entry.key: entry for entry in ranges}
    by_class = {
        drives: _lanes(
            table.failures_per_drive_year,
            known.get(f"drives.{drives}.failures_per_drive_year"),
            positions.get(f"drives.{drives}.failures_per_drive_year", ()),
            shares,
        )
        for drives, table in drawn.drives.items()
    }
    return FailureRates(
        failures_per_drive_year_by_class=by_class, weights=weights, single=tuple(SINGLE)
    )


@cache
def _nodes() -> tuple[FloatArray, FloatArray]:
    return percentile_nodes(NODES)


def _lanes(
    rate: Any, spread: Entry | None, places: Sequence[Amount], shares: FloatArray
) -> FloatArray:
    """Rates at the shares of a range, at each place of a grid; a number fills all lanes."""
    if spread is None:
        return rate * np.ones((1, len(shares), 1))
    rows = [
        spread.quantity.quantile(shares, each)
        if isinstance(each, Range)
        else np.full(len(shares), each)
        for each in places or (spread.value,)
    ]
    return np.stack(rows)[:, :, None]
