"""A grid of answers packed small, and one of them unpacked: ``grid.js`` does that in the report.

Numbers of a series become steps of 16 bits, what is equal everywhere stands once.
"""

import base64
import itertools
import json
import math
import sys
from array import array
from collections.abc import Mapping, Sequence
from typing import Any

from storagecalc.views.page.page import plain, sendable

GAP = 65535
"""The 16-bit code of a missing number; the codes below it are steps from lowest to highest."""


def grid_of(axes: Sequence[Mapping[str, Any]], answers: Sequence[Mapping[str, Any]]) -> Any:
    """All answers of a grid of positions, packed small for a report that has no kernel.

    Parameters
    ----------
    axes
        One mapping a slider: its ``key`` and its ``values``, at least two, rising.
        No axis and one answer make a still page.
    answers
        One answer for each combination, the last axis running fastest.

    Returns
    -------
    dict
        ``axes`` and ``answers``. What is equal in all answers stands once; texts are lists of
        distinct values with a code an answer; series of numbers have 16-bit steps between their
        lowest and highest value over the whole grid, so a drawn value is off by at most one part
        in 131,068 of that range.

    Raises
    ------
    ValueError
        Where the answers are not one for each combination, or an axis does not rise.
    """
    count = math.prod(len(axis["values"]) for axis in axes)
    if not 1 <= len(answers) == count <= GAP + 1:
        raise ValueError(
            f"answers must be one for each of the {count} positions (at most {GAP + 1}), "
            f"got {len(answers)}"
        )
    plain_axes = [{"key": axis["key"], "values": plain(axis["values"])} for axis in axes]
    for axis in plain_axes:
        if not _rises(axis["values"]):
            raise ValueError(f"axis {axis['key']} must rise, got {axis['values']}")
    return {"axes": plain_axes, "answers": _packed([sendable(answer) for answer in answers])}


def grid_values(axes: Sequence[Mapping[str, Any]]) -> list[dict[str, float]]:
    """Every combination of the axes' values, in the order in which ``grid_of`` takes answers.

    Examples
    --------
    >>> grid_values([{"key": "a", "values": [1, 2]}, {"key": "b", "values": [5, 6]}])
    [{'a': 1, 'b': 5}, {'a': 1, 'b': 6}, {'a': 2, 'b': 5}, {'a': 2, 'b': 6}]
    """
    keys = [axis["key"] for axis in axes]
    places = itertools.product(*(axis["values"] for axis in axes))
    return [dict(zip(keys, place, strict=True)) for place in places]


def grid_answer(grid: Mapping[str, Any], values: Mapping[str, float]) -> dict[str, Any]:
    """The answer nearest to the values, unpacked: what the report's script does, in Python.

    Parameters
    ----------
    grid
        As ``grid_of`` returns it.
    values
        A number for each axis key; other keys are ignored.

    Returns
    -------
    dict
        The answer, with the position it stands for under ``values``.
    """
    position = 0
    found = {}
    for axis in grid["axes"]:
        distances = [abs(value - values[axis["key"]]) for value in axis["values"]]
        place = distances.index(min(distances))
        position = position * len(distances) + place
        found[axis["key"]] = axis["values"][place]
    return {**_unpacked(grid["answers"], position), "values": found}


def _rises(values: list[float]) -> bool:
    return len(values) > 1 and all(one < next_ for one, next_ in itertools.pairwise(values))


def _packed(parts: list[Any]) -> Any:
    """The same place of all answers as one: itself, a mapping or list of places, or coded rows."""
    first = parts[0]
    if all(part == first for part in parts):
        return first
    if all(isinstance(part, dict) and part.keys() == first.keys() for part in parts):
        return {name: _packed([part[name] for part in parts]) for name in first}
    if all(isinstance(part, list) and len(part) == len(first) for part in parts):
        if all(_is_series(part) for part in parts):
            return _series(parts)
        return [_packed([part[place] for part in parts]) for place in range(len(first))]
    texts, rows = _distinct([json.dumps(part) for part in parts])
    return {**rows, "choices": [json.loads(text) for text in texts]}


def _is_series(part: list[Any]) -> bool:
    return {type(value) for value in part} - {type(None)} in ({int}, {float}, {int, float})


def _series(parts: list[list[float | None]]) -> dict[str, Any]:
    """Series as distinct rows of steps between their lowest and highest number."""
    known = [value for part in parts for value in part if value is not None]
    low = min(known)
    quantum = (max(known) - low) / (GAP - 1) or 1.0
    steps, rows = _distinct(
        [
            tuple(GAP if value is None else round((value - low) / quantum) for value in part)
            for part in parts
        ]
    )
    series = _coded(list(itertools.chain.from_iterable(steps)), GAP + 1)
    return {**rows, "series": series, "length": len(parts[0]), "low": low, "quantum": quantum}


def _distinct(values: Sequence[Any]) -> tuple[list[Any], dict[str, Any]]:
    """The values that differ, and which of them each answer has."""
    places: dict[Any, int] = {}
    codes = [places.setdefault(value, len(places)) for value in values]
    return list(places), {"~of": _coded(codes, len(places)), "count": len(places)}


def _code_type(count: int) -> str:
    return "B" if count <= 256 else "H"


def _coded(numbers: Sequence[int], count: int) -> str:
    """Whole numbers below ``count`` as base64, one byte each where that is enough, else two."""
    codes = array(_code_type(count), numbers)
    if sys.byteorder == "big":
        codes.byteswap()
    return base64.b64encode(codes.tobytes()).decode("ascii")


def _decoded(text: str, count: int) -> Sequence[int]:
    codes = array(_code_type(count), base64.b64decode(text))
    if sys.byteorder == "big":
        codes.byteswap()
    return codes


def _unpacked(part: Any, position: int) -> Any:
    if isinstance(part, list):
        return [_unpacked(inner, position) for inner in part]
    if not isinstance(part, dict):
        return part
    if "~of" not in part:
        return {name: _unpacked(inner, position) for name, inner in part.items()}
    row = _decoded(part["~of"], part["count"])[position]
    if "choices" in part:
        return part["choices"][row]
    first = row * part["length"]
    steps = _decoded(part["series"], GAP + 1)[first : first + part["length"]]
    return [None if step == GAP else part["low"] + step * part["quantum"] for step in steps]
