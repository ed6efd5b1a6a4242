"""From ranges to arrays: the scenario with every unknown drawn, or laid on a grid.

Shape of every array: (positions, draws, months), with 1 where an axis is not needed. Each range has
its own random stream, named by its dotted key, so that adding one changes no other.
"""

import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from pydantic_core import PydanticCustomError

from storagecalc.models.checks import FloatArray
from storagecalc.models.lumps import lump_factors, lump_variance
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.scenario.faults import Fault, ScenarioError
from storagecalc.study.scenario.footage import Work
from storagecalc.study.scenario.nearest import nearest
from storagecalc.study.scenario.owned import OF_THE_BOX, left_to_its_box
from storagecalc.study.scenario.quantity import (
    Amount,
    Entry,
    Quantity,
    Range,
    entries,
    middle,
    quantiles,
    with_values,
)
from storagecalc.study.scenario.scenario import Scenario

# The C library of Linux returns the memory of each large array at once and gets it back page by
# page for the next one. Once it has freed a piece this large, it keeps what it has.
np.empty(30_000_000, dtype=np.uint8)

# More than this is refused: the percentiles kept of each future would not fit into 1 GB.
MOST_DRAWS = 100_000
# Jobs are drawn for so many futures at a time, whatever else is worked on at once.
JOBS_AT_ONCE = 5_000
# Percentiles are picked once for a whole evaluation.
NOT_ON_A_GRID = ("needs.confidence_fraction",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampler:
    """Turns a scenario's ranges into numbers.

    Parameters
    ----------
    scenario
        The scenario as written.
    draws
        Futures to draw, 0 or more; 0 puts every range at its middle.
    seed
        Whole number; the same seed gives the same futures.
    positions
        Values by dotted key, numbers or ranges, as many for each: the points of a grid.
    ranges
        Every range of the scenario, and what lies on the grid.
    """

    scenario: Scenario
    draws: int
    seed: int
    positions: Mapping[str, tuple[Amount, ...]]
    ranges: tuple[Entry, ...]

    def middle(self) -> Scenario:
        """The scenario with every range at its middle, and the grid's values where it has one."""
        middles = {entry.key: middle(entry.value) for entry in self.ranges}
        grid = {
            key: np.array([middle(value) for value in axis], dtype=np.float64)[:, None, None]
            for key, axis in self.positions.items()
        }
        return self._with({**middles, **grid})

    def futures(self, first: int, last: int) -> Scenario:
        """Some of the futures: arrays of shape (1, draws, 1) where ranges stood, jobs and the
        market of drives drawn.

        Parameters
        ----------
        first, last
            The first future wanted and the one after the last; 0 and the number of draws for all.
        """
        drawn = self._with(self._drawn(first, last))
        return self._with_market(self._with_jobs(drawn, first, last), first, last)

    def parts(self, cells_at_once: int) -> Iterator["Sampler"]:
        """The grid in parts small enough that memory stays bounded whatever its size."""
        draws = min(max(1, self.draws), self._draws_at_once(cells_at_once))
        each = max(1, cells_at_once // (draws * self.scenario.horizon_months))
        for first in range(0, self.position_count, each):
            some = {key: grid[first : first + each] for key, grid in self.positions.items()}
            yield replace(self, positions=some)

    def single_positions(self) -> Iterator["Sampler"]:
        """The grid position by position."""
        for place in range(self.position_count):
            own = {key: grid[place : place + 1] for key, grid in self.positions.items()}
            yield replace(self, positions=own)

    def blocks(self, cells_at_once: int) -> Iterator[tuple[Scenario, int]]:
        """The futures worked on at once, and how many they are; no number hangs on the block."""
        each = self._draws_at_once(cells_at_once)
        for first in range(0, self.draws, each):
            last = min(first + each, self.draws)
            yield self.futures(first, last), last - first

    @property
    def position_count(self) -> int:
        """Points of the grid; 1 without one."""
        return len(next(iter(self.positions.values()))) if self.positions else 1

    def _draws_at_once(self, cells_at_once: int) -> int:
        return max(1, cells_at_once // self.scenario.horizon_months)

    def _with(self, values: Mapping[str, Any]) -> Scenario:
        drawn: Scenario = with_values(self.scenario, values)
        # What a build leaves to the table of the box that it goes on in.
        boxes = {
            key: build.model_copy(update=self._of_its_box(drawn, key, build.starts_in))
            for key, build in drawn.builds.items()
            if build.starts_in is not None
        }
        return drawn.model_copy(update={"builds": {**drawn.builds, **boxes}}) if boxes else drawn

    def _of_its_box(self, drawn: Scenario, key: str, name: str) -> dict[str, Any]:
        written, box = self.scenario.builds[key], drawn.owned[name]
        return {
            field: getattr(box, field)
            for field in OF_THE_BOX
            if left_to_its_box(written, field) and f"builds.{key}.{field}" not in self.positions
        }

    def _drawn(self, first: int, last: int) -> dict[str, Any]:
        """Every range by key, and what lies on the grid: what was drawn, at each of its points."""
        axes = {entry.key: (entry.value,) for entry in self.ranges} | dict(self.positions)
        quantity_of = {entry.key: entry.quantity for entry in self.ranges}
        told = [(key, value) for key, axis in axes.items() for value in axis]
        spreads = [(key, value) for key, value in told if isinstance(value, Range)]
        rows: Iterator[FloatArray] = iter(())
        if spreads:
            shares = self._shares([key for key, _ in spreads], first, last)
            pairs = [(quantity_of[key], spread) for key, spread in spreads]
            rows = iter(quantiles(shares, pairs))
        return {key: _laid_out(axis, rows) for key, axis in axes.items()}

    def _shares(self, keys: Sequence[str], first: int, last: int) -> FloatArray:
        """One share a future between 0 and 1 for each unknown: some futures of all drawn."""
        return np.stack(
            [stratified(self.draws, seed=self.seed, key=key)[first:last] for key in keys]
        )

    def _with_market(self, drawn: Scenario, first: int, last: int) -> Scenario:
        """A stray of drive prices for each year, and luck for each shortage."""
        names = list(drawn.shortages)
        changed: dict[str, Any] = {}
        if np.any(drawn.prices.drive_shock_per_year):
            years = range(-(-drawn.horizon_months // MONTHS_PER_YEAR))
            keys = [f"prices.drive_strays.{year}" for year in years]
            shares = np.ascontiguousarray(self._shares(keys, first, last).T)[None]
            changed["prices"] = drawn.prices.with_drive_strays(shares)
        if names:
            luck = self._shares([f"shortages.{name}.luck" for name in names], first, last)
            changed["shortages"] = {
                name: drawn.shortages[name].with_luck(own[None, :, None])
                for name, own in zip(names, luck, strict=True)
            }
        return drawn.model_copy(update=changed)

    def _with_jobs(self, drawn: Scenario, first: int, last: int) -> Scenario:
        """Footage in lumps where a kind of work says how many jobs a month bring it."""
        lumpy = {
            name: work.with_lump_factors(self._lump_factors(name, first, last))
            for name, work in drawn.work.items()
            if work.jobs_per_month is not None
        }
        return drawn.model_copy(update={"work": {**drawn.work, **lumpy}}) if lumpy else drawn

    def _lump_factors(self, name: str, first: int, last: int) -> FloatArray:
        """A factor by draw and month; the same future has the same jobs whatever the block."""
        rows = []
        for start in range(first - first % JOBS_AT_ONCE, last, JOBS_AT_ONCE):
            end = min(start + JOBS_AT_ONCE, self.draws)
            work = self._with(self._drawn(start, end)).work[name]
            factors = lump_factors(
                jobs_per_month=work.jobs_per_month,
                job_size_spread_fraction=work.job_size_spread_fraction,
                months=self.scenario.horizon_months,
                draws=end - start,
                generator=stream(
                    seed=self.seed, key=f"work.{name}.lumps" + (f".{start}" if start else "")
                ),
            )
            rows.append(factors[:, max(first - start, 0) : last - start])
        return np.concatenate(rows, axis=1)


def sampler(
    scenario: Scenario,
    *,
    draws: int = 0,
    seed: int = 0,
    positions: Mapping[str, Any] | None = None,
) -> Sampler:
    """A checked sampler for an evaluation.

    Raises
    ------
    ScenarioError
        Where a position's key or value breaks a rule of its quantity.
    ValueError
        Where draws or seed is no whole number from 0 up, or there are more draws than fit.
    """
    for name, value in (("draws", draws), ("seed", seed)):
        if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or value < 0:
            raise ValueError(f"{name} must be a whole number from 0 upwards, got {value!r:.40}")
    if draws > MOST_DRAWS:
        raise ValueError(
            f"draws must be at most {MOST_DRAWS:,}, got {draws:,}: memory would run out"
        )
    known = {entry.key: entry for entry in entries(scenario)}
    grid = _checked_positions(known, positions or {})
    ranges = tuple(
        entry for key, entry in known.items() if isinstance(entry.value, Range) or key in grid
    )
    return Sampler(
        scenario=scenario, draws=int(draws), seed=int(seed), positions=grid, ranges=ranges
    )


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


def _laid_out(axis: tuple[Amount, ...], rows: Iterator[FloatArray]) -> FloatArray:
    """One row a place: the next that was drawn for a range, one number for a number."""
    if not any(isinstance(value, Range) for value in axis):
        return np.array(axis, dtype=np.float64)[:, None, None]
    drawn = [next(rows) if isinstance(value, Range) else value for value in axis]
    size = max(np.size(row) for row in drawn)
    return np.stack([np.broadcast_to(row, (size,)) for row in drawn])[:, :, None]


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


def _checked_positions(
    known: Mapping[str, Entry], positions: Mapping[str, Any]
) -> dict[str, tuple[Amount, ...]]:
    faults = []
    grid: dict[str, tuple[Amount, ...]] = {}
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


def _checked_axis(known: Mapping[str, Entry], key: str, values: Any) -> tuple[Amount, ...]:
    if key not in known:
        raise ValueError(f"is no quantity of this scenario{nearest(key, known)}")
    quantity = known[key].quantity
    if quantity.whole or key in NOT_ON_A_GRID:
        raise ValueError("is a count or a choice; vary it with varied(), one scenario each")
    if np.ndim(values) != 1 or not len(values):
        raise ValueError("needs a list of at least one number or range")
    axis = values.tolist() if isinstance(values, np.ndarray) else values
    return tuple(_checked_place(quantity, value) for value in axis)


def _checked_place(quantity: Quantity, value: Any) -> Amount:
    plain = value.item() if isinstance(value, np.generic) else value
    try:
        return quantity.checked(plain)
    except PydanticCustomError as error:
        told = f"{plain:g} " if isinstance(plain, (int, float)) else ""
        raise ValueError(f"{told}{error.message()}") from None
