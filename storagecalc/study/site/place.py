"""What an alternative asks of the place it stands in: power, heat, noise, depth."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.power import continuous_circuit_w
from storagecalc.models.siting import airflow_m3_h, heat_btu_h
from storagecalc.study.axes import (
    ByPosition,
    Spread,
    at_share,
    by_position,
    monthless_spread,
    three_axes,
)
from storagecalc.study.capacity.consequences import Consequences
from storagecalc.study.capacity.owned import KeptBox
from storagecalc.study.capacity.space import Space
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.site.noise import noise_dba
from storagecalc.study.site.power import full_power_w


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What the place is asked for without further boxes, and when those become too much for it.

    Arrays of shape (positions, draws, 1); months are infinite where it stays within the limits,
    or where nobody states one.
    """

    noise_dba: FloatArray
    depth_mm: FloatArray
    too_loud_months: FloatArray
    too_deep_months: FloatArray
    circuit_over_months: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteResult:
    """One number a position: ``power_w`` is the mean over the horizon with all that stands,
    ``peak_power_w`` that of the month with most; ``full_power_w`` has all bays of box and shelves
    filled and kept boxes running, as heat and air have, without further boxes. Months tell when
    further boxes become too much with the studio's confidence, infinite where never."""

    power_w: ByPosition
    peak_power_w: ByPosition
    full_power_w: ByPosition
    heat_btu_h: ByPosition
    airflow_m3_h: ByPosition
    noise_dba: Spread
    noise_dba_by_draw: Any
    depth_mm: Spread
    depth_mm_by_draw: Any
    weight_kg: ByPosition
    circuit_left_w: ByPosition
    too_loud_months: ByPosition
    too_deep_months: ByPosition
    circuit_over_months: ByPosition


def limits(
    drawn: Scenario,
    build: Build,
    kept: tuple[KeptBox, ...],
    brought: Consequences,
    power_w_by_month: FloatArray,
) -> Limits:
    """Noise and depth of what stands, and when further boxes are too much for the place.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, kept, brought, power_w_by_month
        The build, what is kept beside it, what its steps bring, and the electricity that all of it
        draws.
    """
    place, further = drawn.place, brought.further
    over = power_w_by_month > _steady_w(drawn) - place.other_load_w
    never = np.full((1, 1, 1), np.inf)
    loud = deep = circuit = never
    if further is not None:
        boxes, asked = further.box_count_by_month, drawn.needs
        circuit = _first_month(over & (boxes > 0))
        if asked.noise_dba is not None:
            allowed = _boxes_allowed(drawn, build, kept, further.build, int(boxes.max()))
            loud = _first_month(boxes > allowed)
        if asked.depth_mm is not None:
            deep = _first_month((boxes > 0) & (three_axes(further.build.depth_mm) > asked.depth_mm))
    return Limits(
        noise_dba=noise_dba(build, place.desk_m, kept=kept),
        depth_mm=three_axes(
            reduce(np.maximum, [build.depth_mm, *(box.build.depth_mm for box in kept)])
        ),
        too_loud_months=loud,
        too_deep_months=deep,
        circuit_over_months=circuit,
    )


def site_result(
    drawn: Scenario,
    build: Build,
    space: Space,
    kept: tuple[KeptBox, ...],
    power_w_by_month: FloatArray,
    point: Limits,
    futures: Limits,
) -> SiteResult:
    """Power, heat and noise of an alternative, everything else on the circuit counted.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    build, space, kept, power_w_by_month
        The build, its space, what is kept beside it, and the power that all that stands draws, at
        the middle.
    point, futures
        What the place is asked for at the middle, and in every future.
    """
    full, place = full_power_w(drawn, build, space, kept), drawn.place
    steady_w = _steady_w(drawn)
    air = airflow_m3_h(power_w=full, temperature_rise_k=place.temperature_rise_k)
    caution = 1.0 - drawn.needs.confidence_fraction
    return SiteResult(
        power_w=by_position(np.mean(power_w_by_month, axis=-1)),
        peak_power_w=by_position(np.max(power_w_by_month, axis=-1)),
        full_power_w=by_position(full),
        heat_btu_h=by_position(heat_btu_h(power_w=full)),
        airflow_m3_h=by_position(air),
        noise_dba=monthless_spread(point.noise_dba, futures.noise_dba),
        noise_dba_by_draw=futures.noise_dba[..., 0],
        depth_mm=monthless_spread(point.depth_mm, futures.depth_mm),
        depth_mm_by_draw=futures.depth_mm[..., 0],
        weight_kg=by_position(build.weight_kg),
        circuit_left_w=by_position(steady_w - place.other_load_w - full),
        too_loud_months=at_share(futures.too_loud_months[..., 0], caution),
        too_deep_months=at_share(futures.too_deep_months[..., 0], caution),
        circuit_over_months=at_share(futures.circuit_over_months[..., 0], caution),
    )


def total_power_w(power_w_by_month: Sequence[FloatArray]) -> FloatArray:
    """W that all holdings draw together in each month."""
    total: FloatArray = sum(power_w_by_month[1:], power_w_by_month[0])
    return total


def _steady_w(drawn: Scenario) -> Any:
    """What the circuit carries for hours on end."""
    return continuous_circuit_w(breaker_a=drawn.place.breaker_a, voltage_v=drawn.place.mains_v)


def _boxes_allowed(
    drawn: Scenario, build: Build, kept: tuple[KeptBox, ...], further: Build, most: int
) -> FloatArray:
    """How many further boxes may stand before it is too loud, where it is not so already."""
    levels = [
        noise_dba(build, drawn.place.desk_m, kept=kept, further=further, boxes=count)
        for count in range(most + 1)
    ]
    quiet = [level <= drawn.needs.noise_dba for level in levels]
    # Too loud from the start is no fault of further boxes.
    allowed: FloatArray = np.where(quiet[0], sum(quiet) - 1.0, np.inf)
    return allowed


def _first_month(happens: Any) -> FloatArray:
    first = happens.argmax(axis=-1, keepdims=True).astype(np.float64)
    return np.where(happens.any(axis=-1, keepdims=True), first, np.inf)
