"""From ranges to arrays: the scenario with every unknown drawn, or laid on a grid.

Shape of every array: (positions, draws, months), with 1 where an axis is not needed. Each range has
its own random stream, named by its dotted key, so that adding one changes no other.
"""

import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache, reduce
from typing import Any

import numpy as np
from pydantic_core import PydanticCustomError

from storagecalc.models.checks import FloatArray
from storagecalc.models.lumps import lump_factors, lump_variance
from storagecalc.models.ranges import percentile_nodes
from storagecalc.study.axes import drawn_lanes
from storagecalc.study.scenario.footage import Work
from storagecalc.study.scenario.load import Fault, ScenarioError
from storagecalc.study.scenario.quantity import (
    Entry,
    Range,
    entries,
    middle,
    nearest,
    quantiles,
    with_values,
)
from storagecalc.study.scenario.scenario import Scenario

# The C library of Linux returns the memory of each large array at once and gets it back page by
# page for the next one. Once it has freed a piece this large, it keeps what it has.
np.empty(30_000_000, dtype=np.uint8)

RATE_NODES = 40
# Percentiles are picked once for a whole evaluation.
NOT_ON_A_GRID = ("needs.confidence_fraction",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """How to turn a scenario's ranges into numbers.

    Parameters
    ----------
    draws
        Futures to draw, 0 or more; 0 puts every range at its middle.
    seed
        Whole number; the same seed gives the same futures.
    positions
        Values by dotted key, arrays of one length: the points of a grid.
    ranges
        Every range of the scenario.
    """

    draws: int
    seed: int
    positions: Mapping[str, FloatArray]
    ranges: tuple[Entry, ...]

    def of(self, scenario: Scenario) -> Scenario:
        """The scenario with floats and arrays where ranges stood, and with its jobs drawn.

        Where there are draws, the middle of every range goes before them along their axis, so
        that one pass serves both.
        """
        grid = {key: axis[:, None, None] for key, axis in self.positions.items()}
        return self._with_jobs(with_values(scenario, {**self._drawn(), **grid}))

    def part(self, first: int, last: int) -> "Numbers":
        """The same with only some of the positions."""
        some = {key: grid[first:last] for key, grid in self.positions.items()}
        return replace(self, positions=some)

    @property
    def at_middle(self) -> "Numbers":
        """The same with every range at its middle."""
        return replace(self, draws=0)

    @property
    def position_count(self) -> int:
        """Points of the grid; 1 without one."""
        return len(next(iter(self.positions.values()))) if self.positions else 1

    def _with_jobs(self, numbers: Scenario) -> Scenario:
        """Footage in lumps where a kind of work says how many jobs a month bring it."""
        lumpy = {
            name: work.with_lump_factors(self._lump_factors(name, work, numbers.horizon_months))
            for name, work in numbers.work.items()
            if self.draws and work.jobs_per_month is not None
        }
        return numbers.model_copy(update={"work": {**numbers.work, **lumpy}}) if lumpy else numbers

    def _lump_factors(self, name: str, work: Work, months: int) -> FloatArray:
        """A factor by draw and month; at the middle the footage is smooth."""
        jobs, spread = (
            drawn_lanes(value) if isinstance(value, np.ndarray) else value
            for value in (work.jobs_per_month, work.job_size_spread_fraction)
        )
        factors = lump_factors(
            jobs_per_month=jobs,
            job_size_spread_fraction=spread,
            months=months,
            draws=self.draws,
            generator=stream(seed=self.seed, key=f"work.{name}.lumps"),
        )
        return np.concatenate([np.ones_like(factors[:, :1]), factors], axis=1)

    def _drawn(self) -> dict[str, Any]:
        """Every range by key: its middle, and what was drawn from it."""
        if not self.draws or not self.ranges:
            return {entry.key: entry.value.middle for entry in self.ranges}
        keys = [entry.key for entry in self.ranges]
        shares = np.stack([stratified(self.draws, seed=self.seed, key=key) for key in keys])
        values = quantiles(shares, [(entry.quantity, entry.value) for entry in self.ranges])
        middles = np.array([[entry.value.middle] for entry in self.ranges])
        lanes = np.concatenate([middles, values], axis=1)
        return dict(zip(keys, lanes[:, None, :, None], strict=True))


def numbers_for(
    scenario: Scenario, *, draws: int, seed: int, positions: Mapping[str, Any] | None
) -> Numbers:
    """Checked numbers for an evaluation.

    Raises
    ------
    ScenarioError
        Where a position's key or value breaks a rule of its quantity.
    ValueError
        Where draws or seed is no whole number from 0 up.
    """
    for name, value in (("draws", draws), ("seed", seed)):
        if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or value < 0:
            raise ValueError(f"{name} must be a whole number from 0 upwards, got {value!r:.40}")
    known = {entry.key: entry for entry in entries(scenario)}
    ranges = tuple(entry for entry in known.values() if isinstance(entry.value, Range))
    grid = _checked_positions(known, positions or {})
    return Numbers(draws=int(draws), seed=int(seed), positions=grid, ranges=ranges)


def stream(*, seed: int, key: str) -> np.random.Generator:
    """The random stream of one unknown.

    It is named by seed and key with a stable checksum, so it is the same on every machine.
    """
    return np.random.default_rng([seed, zlib.crc32(key.encode())])


# A slider that moves asks for the same futures again and again.
@lru_cache(maxsize=200)
def stratified(count: int, *, seed: int, key: str) -> FloatArray:
    """One share between 0 and 1 from each of ``count`` equal slices, shuffled; read-only."""
    own = stream(seed=seed, key=key)
    shares: FloatArray = (np.argsort(own.random(count)) + own.random(count)) / count
    shares.setflags(write=False)
    return shares


def month_spread_fraction(work: Work) -> float | None:
    """How far a month strays from the mean month because jobs come in lumps, as a share of it.

    One standard deviation, everything at its middle; None where the footage is smooth.
    """
    if work.jobs_per_month is None:
        return None
    variance = lump_variance(
        jobs_per_month=middle(work.jobs_per_month),
        job_size_spread_fraction=middle(work.job_size_spread_fraction),
    )
    return float(np.sqrt(variance))


@dataclass(frozen=True, slots=True, kw_only=True)
class RateLanes:
    """Failure rates by drive class, laid out along the draws axis, and what a lane weighs.

    Parameters
    ----------
    failures_per_drive_year
        Rates of shape (1, lanes, 1): the nodes that average over what is not known of the rate,
        then its middle, low and high, then its percentile at the needs' confidence. Without a
        range every lane holds the same rate.
    weights
        Weights of the nodes, shape (lanes - 4,).
    """

    failures_per_drive_year: Mapping[str, FloatArray]
    weights: FloatArray

    def of(self, classes: Sequence[str]) -> FloatArray:
        """Rates of a build that goes from one class to another: the higher, to be on the safe side.

        Shape (1, lanes, 1), or (positions, lanes, 1) for a rate on a grid.
        """
        return reduce(np.maximum, [self.failures_per_drive_year[drives] for drives in classes])


def rate_lanes(numbers: Scenario, ranges: Sequence[Entry], confidence: float) -> RateLanes:
    """The failure rates of all drive classes, as the loss is averaged over them.

    Parameters
    ----------
    numbers
        A scenario at its middle.
    ranges
        Its ranges.
    confidence
        Share of futures in which the needs must hold.
    """
    share, weight = _rate_nodes()
    asked = np.concatenate([share, [0.5, 0.1, 0.9, confidence]])
    failures_per_drive_year = {
        drives: _lanes_of(numbers, ranges, drives, asked) for drives in numbers.drives
    }
    return RateLanes(failures_per_drive_year=failures_per_drive_year, weights=weight)


@cache
def _rate_nodes() -> tuple[FloatArray, FloatArray]:
    return percentile_nodes(RATE_NODES)


def _lanes_of(numbers: Scenario, ranges: Sequence[Entry], drives: str, asked: FloatArray) -> Any:
    rate = numbers.drives[drives].failures_per_drive_year
    key = f"drives.{drives}.failures_per_drive_year"
    entry = next((entry for entry in ranges if entry.key == key), None)
    if entry is None or isinstance(rate, np.ndarray):
        return rate * np.ones((1, len(asked), 1))
    return entry.quantity.quantile(asked, entry.value)[None, :, None]


def chunks_of(numbers: Numbers, *, months: int, cells_at_once: int) -> Iterator[Numbers]:
    """The grid in parts small enough that memory stays bounded whatever its size."""
    each = max(1, cells_at_once // (max(1, numbers.draws) * months))
    for first in range(0, numbers.position_count, each):
        yield numbers.part(first, first + each)


def _checked_positions(
    known: Mapping[str, Entry], positions: Mapping[str, Any]
) -> dict[str, FloatArray]:
    faults = []
    grid: dict[str, FloatArray] = {}
    for key, values in positions.items():
        try:
            grid[key] = _checked_axis(known, key, values)
        except (ValueError, TypeError) as reason:
            faults.append(Fault(key=key, value=None, rule=str(reason)))
    if not faults and len({len(axis) for axis in grid.values()}) > 1:
        sizes = ", ".join(f"{key} has {len(axis)}" for key, axis in grid.items())
        faults.append(Fault(key="positions", value=None, rule=f"need one length each: {sizes}"))
    if faults:
        raise ScenarioError("the grid", faults)
    return grid


def _checked_axis(known: Mapping[str, Entry], key: str, values: Any) -> FloatArray:
    if key not in known:
        raise ValueError(f"is no quantity of this scenario{nearest(key, known)}")
    if known[key].quantity.whole or key in NOT_ON_A_GRID:
        raise ValueError("is a count or a choice; vary it with varied(), one scenario each")
    axis = np.asarray(values, dtype=np.float64)
    if axis.ndim != 1 or not axis.size:
        raise ValueError("needs a list of at least one number")
    for value in (float(axis.min()), float(axis.max())):
        try:
            known[key].quantity.checked(value)
        except PydanticCustomError as error:
            raise ValueError(f"{value:g} {error.message()}") from None
    return axis
