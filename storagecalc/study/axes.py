"""The three axes (positions, draws, months): bringing results to one shape, joining and picking."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from pydantic import BaseModel

from storagecalc.models.checks import FloatArray

# One number a position: an array while an evaluation has a grid, a float once a position is picked.
ByPosition: TypeAlias = Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A result at the middle of every range, and what one, five and nine in ten futures stay below.

    Floats or arrays; the three percentiles equal the point where nothing was drawn.
    """

    point: Any
    p10: Any
    p50: Any
    p90: Any


def by_position(value: Any) -> FloatArray:
    """One number a position from anything that has at most the axis of positions."""
    return np.asarray(value, dtype=np.float64).reshape(-1)


def unmonthed(value: Any) -> Any:
    """A drawn quantity without its months axis, which price paths and sums bring themselves."""
    return value[..., 0] if isinstance(value, np.ndarray) else value


def at_share(values: Any, share: float) -> Any:
    """The value that a share of the draws stay at or below; draws are the second axis.

    Always one of the values, never a mixture, so that "never" (infinity) stays itself.
    """
    return _at_shares(values, (share,))[0]


def spread(point: Any, drawn: Any) -> Spread:
    """Point and percentiles; arrays of shape (positions, 1, …) and (positions, draws, …)."""
    low, middle, high = _at_shares(drawn, (0.1, 0.5, 0.9))
    return Spread(point=point[:, 0], p10=low, p50=middle, p90=high)


def _at_shares(values: Any, shares: Sequence[float]) -> list[Any]:
    # Draws last, side by side in memory: partitioning along a far axis takes three times as long.
    rows = np.ascontiguousarray(np.moveaxis(np.asarray(values), 1, -1))
    count = rows.shape[-1]
    if count == 1:
        return [rows[..., 0]] * len(shares)
    places = [max(0, int(np.ceil(share * count - 1e-9)) - 1) for share in shares]
    ordered = np.partition(rows, sorted(set(places)), axis=-1)
    return [ordered[..., place] for place in places]


def spanning(result: Any, positions: int) -> Any:
    """The same result with every array stretched to the number of positions."""
    if positions == 1:
        return result
    if isinstance(result, np.ndarray):
        return np.broadcast_to(result, (positions, *result.shape[1:]))
    return _mapped(result, lambda part: spanning(part, positions))


def joined(results: Sequence[Any]) -> Any:
    """Results of parts of a grid as one: arrays joined by position, the rest as the first."""
    first = results[0]
    if len(results) == 1:
        return first
    if isinstance(first, np.ndarray):
        return np.concatenate(results)
    if isinstance(first, dict):
        return {key: joined([result[key] for result in results]) for key in first}
    if isinstance(first, tuple):
        return tuple(joined(parts) for parts in zip(*results, strict=True))
    if first is None or isinstance(first, (str, int, float, BaseModel)):
        return first
    names = type(first).__slots__
    return type(first)(
        **{name: joined([getattr(result, name) for result in results]) for name in names}
    )


def picked(result: Any, position: int) -> Any:
    """The result at one position: floats where one number a position stood."""
    if isinstance(result, np.ndarray):
        return result.item(position) if result.ndim == 1 else result[position]
    return _mapped(result, lambda part: picked(part, position))


def _mapped(result: Any, change: Any) -> Any:
    if result is None or isinstance(result, (str, int, float)):
        return result
    if isinstance(result, dict):
        return {key: change(part) for key, part in result.items()}
    if isinstance(result, tuple):
        return tuple(change(part) for part in result)
    names = getattr(type(result), "__slots__", ())
    return type(result)(**{name: change(getattr(result, name)) for name in names})
