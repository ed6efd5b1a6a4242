"""Evaluations whose figures all differ, so that a sentence shows which of them it has taken."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from study.decision.crafted import crafted

from storagecalc.study.axes import Spread
from storagecalc.study.evaluate import Evaluation


def five(point: Any, mean: Any, p10: Any, p50: Any, p90: Any) -> Spread:
    """A spread in the order in which these five are always written."""
    return Spread(point=point, mean=mean, p10=p10, p50=p50, p90=p90)


def rows(*ends: tuple[float, float], months: int = 24) -> Spread:
    """A spread by month: each of the five goes evenly from one number to another."""
    return five(*(np.linspace(first, last, months) for first, last in ends))


def with_figures(
    figures: Mapping[str, Any], *, evaluation: Evaluation | None = None, number: int = 0
) -> Evaluation:
    """An evaluation where one alternative has other figures, by dotted name."""
    whole = evaluation or crafted({"a": 100, "b": 300})
    builds = list(whole.builds)
    for dotted, value in figures.items():
        builds[number] = _with(builds[number], dotted.split("."), value)
    return replace(whole, builds=tuple(builds))


def _with(part: Any, names: list[str], value: Any) -> Any:
    first, *further = names
    return replace(part, **{first: _with(getattr(part, first), further, value)} if further else
                   {first: value})  # fmt: skip
