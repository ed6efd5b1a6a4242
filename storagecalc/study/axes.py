"""The three axes (positions, draws, months): bringing results to one shape, joining and picking."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from pydantic import BaseModel

from storagecalc.models.checks import FloatArray

# What has no parts.
_SINGLE = frozenset({str, int, float, bool, type(None)})
_EMPTY = np.empty(0)
# One number a position: an array while an evaluation has a grid, a float once a position is picked.
ByPosition: TypeAlias = Any
# Cells sorted at once, so that percentiles of many futures need little memory of their own.
SORTED_AT_ONCE = 4_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A result at the middle of every range, its mean over the futures, and what one, five and nine
    in ten of them stay at or below.

    Floats or arrays; mean and percentiles equal the point where nothing was drawn.
    """

    point: Any
    mean: Any
    p10: Any
    p50: Any
    p90: Any


def by_position(value: Any) -> FloatArray:
    """One number a position from anything that has at most the axis of positions."""
    return np.asarray(value, dtype=np.float64).reshape(-1)


def three_axes(value: Any) -> FloatArray:
    """One number, or an array that has the axes already, as an array with all three."""
    array = np.asarray(value, dtype=np.float64)
    return array if array.ndim else array.reshape(1, 1, 1)


def with_draws(rows: FloatArray, draws: int) -> FloatArray:
    """The same array with every future told, where all of them share a value."""
    if rows.shape[1] == draws:
        return rows
    return np.broadcast_to(rows, (len(rows), draws, rows.shape[-1]))


def unmonthed(value: Any) -> Any:
    """A drawn quantity without its months axis, which price paths and sums bring themselves."""
    return value[..., 0] if isinstance(value, np.ndarray) else value


def mean_number(value: Any) -> float:
    """The mean over all futures of a quantity: a number, or an array with one position."""
    return float(np.mean(value))


def mean_row(by_month: FloatArray) -> FloatArray:
    """The mean over all futures of an array with one position, (months,)."""
    row: FloatArray = by_month.mean(axis=(0, 1))
    return row


def at_share(values: Any, share: float) -> Any:
    """The value that a share of the draws stay at or below; draws are the second axis.

    Always one of the values, never a mixture, so that "never" (infinity) stays itself.
    """
    return _at_shares(np.asarray(values), (share,))[0]


def spread(point: Any, futures: Any) -> Spread:
    """Point and percentiles of arrays (positions, draws, …), without the draws axis."""
    low, middle, high = _at_shares(futures, (0.1, 0.5, 0.9))
    return Spread(
        point=point[:, 0].copy(), mean=futures.mean(axis=1), p10=low, p50=middle, p90=high
    )


def monthless_spread(point: Any, futures: Any) -> Spread:
    """The same of arrays (positions, draws, 1): one number a position."""
    return spread(point[..., 0], futures[..., 0])


def _at_shares(rows: Any, shares: Sequence[float]) -> list[Any]:
    count = rows.shape[1]
    if count == 1:
        return [rows[:, 0]] * len(shares)
    if rows.ndim > 2 and rows.size > SORTED_AT_ONCE:
        months = np.array_split(rows, -(-rows.size // SORTED_AT_ONCE), axis=-1)
        parts = [_at_shares(part, shares) for part in months]
        return [np.concatenate(same, axis=-1) for same in zip(*parts, strict=True)]
    # Draws last, side by side in memory. Sorting all of them takes half as long as picking a few.
    ordered = np.array(np.moveaxis(rows, 1, -1), order="C")
    ordered.sort(axis=-1)
    places = [max(0, int(np.ceil(share * count - 1e-9)) - 1) for share in shares]
    return [ordered[..., place].copy() for place in places]


def broadcast_positions(result: Any, positions: int) -> Any:
    """The same result with every array stretched to the number of positions."""
    if positions == 1:
        return result
    return mapped(result, lambda rows: np.broadcast_to(rows, (positions, *rows.shape[1:])))


def joined(results: Iterable[Any], *, axis: int) -> Any:
    """Results of parts of a grid or of the draws as one: arrays joined, the rest as the first.

    Parts are let go array by array, so that hardly more than the whole is held at once.
    """
    several = iter(results)
    first, second = next(several), next(several, None)
    if second is None:
        return first
    frame = mapped(first, lambda _: _EMPTY)
    parts = [_arrays(first), _arrays(second)]
    del first, second
    parts += map(_arrays, several)
    same = list(zip(*parts, strict=True))
    del parts
    return mapped(frame, lambda _: np.concatenate(same.pop(), axis=axis))


def _arrays(result: Any) -> list[FloatArray]:
    """Every array in a result, the last first."""
    found: list[FloatArray] = []
    mapped(result, found.append)
    return found[::-1]


def at_position(result: Any, position: int) -> Any:
    """The result at one position: floats where one number a position stood."""
    return mapped(result, lambda rows: rows.item(position) if rows.ndim == 1 else rows[position])


def mapped(result: Any, change: Callable[[FloatArray], Any]) -> Any:
    """The same result with every array in it changed, however deep it lies.

    Parameters
    ----------
    result
        Any nesting of dataclasses with slots, mappings, tuples, arrays and single values.
    change
        What becomes of an array.
    """
    kind = type(result)
    if kind is np.ndarray:
        return change(result)
    if kind in _SINGLE or isinstance(result, BaseModel):
        return result
    if kind is dict:
        return {key: mapped(part, change) for key, part in result.items()}
    if kind is tuple:
        return tuple([mapped(part, change) for part in result])
    # Field by field, as a dataclass that is frozen does itself, in two thirds of its time.
    made = object.__new__(kind)
    for name in kind.__dataclass_fields__:
        object.__setattr__(made, name, mapped(getattr(result, name), change))
    return made
