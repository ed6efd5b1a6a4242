"""Evaluations with invented figures: a cost and what needs are judged on, future by future.

Only the names and the shapes come from a real evaluation; every number is the test's own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
from study.small import SMALL

from storagecalc import evaluate
from storagecalc.study.alternatives import Alternative
from storagecalc.study.axes import spread
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import NEEDS
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.load import scenario_from

FUTURES = 100


@cache
def template(confidence: float) -> Evaluation:
    scenario = {**SMALL, "needs": {"confidence_fraction": confidence}}
    return evaluate(scenario_from(scenario, source="by hand"))


def crafted(
    costs: Mapping[str, Any],
    needs: Mapping[str, tuple[float, Mapping[str, Any]]] | None = None,
    *,
    confidence: float = 0.8,
    draws: int = FUTURES,
    points: Mapping[str, float] | None = None,
) -> Evaluation:
    """An evaluation of alternatives by name.

    Parameters
    ----------
    costs
        The net present cost of each: one number for all futures, or one a future.
    needs
        By need: what is asked, and what each alternative is judged on, likewise.
    confidence, draws
        The studio's confidence; 0 draws leave one future, the point.
    points
        Costs at the middle of every range, where they are not those of the first future.
    """
    whole, asked = template(confidence), needs or {}
    builds = tuple(
        _build(whole.builds[0], name, cost, draws, (points or {}).get(name)) for name, cost in
        costs.items()
    )  # fmt: skip
    for need, (_, judged) in asked.items():
        builds = tuple(_judged(build, need, judged[build.key], draws) for build in builds)
    required = {need: float(each[0]) for need, each in asked.items()}
    return replace(whole, draws=draws, builds=builds, asked=required)


def met_in(*spans: tuple[int, int], good: float, bad: float) -> list[float]:
    """One good or bad figure a future: good in the spans of futures given, bad elsewhere."""
    inside = {future for first, end in spans for future in range(first, end)}
    return [good if future in inside else bad for future in range(FUTURES)]


def lasts(count: int) -> list[float]:
    """Months of headroom: 30 in the first so many futures, 10 in the others."""
    return met_in((0, count), good=30, bad=10)


def dearer_in(count: int, *, by: float, usually: Sequence[float] | float) -> list[float]:
    """A cost that is ``usually``, and ``by`` in the last so many futures."""
    costs = np.broadcast_to(np.asarray(usually, dtype=float), FUTURES).copy()
    costs[FUTURES - count :] = by
    return costs.tolist()


def _rows(value: Any, draws: int) -> Any:
    return np.broadcast_to(np.asarray(value, dtype=float), max(draws, 1))


def _build(like: BuildResult, name: str, cost: Any, draws: int, point: float | None) -> BuildResult:
    costs = _rows(cost, draws)
    middle = np.array([[costs[0] if point is None else point]])
    total = spread(middle, costs[None])
    told = {key: getattr(total, key).item() for key in ("point", "mean", "p10", "p50", "p90")}
    money = replace(
        like.money,
        net_present_cost=replace(total, **told),
        net_present_cost_by_draw=costs,
    )
    alternative = Alternative(key=name, name=name, build_key="box", habit=None)
    return replace(like, alternative=alternative, money=money)


def _judged(build: BuildResult, need: str, value: Any, draws: int) -> BuildResult:
    """The same alternative with other figures for a need; loss is one number for all futures."""
    topic, field = (NEEDS[need].judged_at or NEEDS[need].at).split(".")
    figures = value if topic == "loss" else _rows(value, draws)
    return replace(build, **{topic: replace(getattr(build, topic), **{field: figures})})
