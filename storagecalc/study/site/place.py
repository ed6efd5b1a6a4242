"""What the build asks of the place it stands in: power, heat, noise."""

from dataclasses import dataclass
from functools import reduce

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.power import continuous_circuit_w
from storagecalc.models.siting import (
    airflow_m3_h,
    combined_dba,
    dba_at_distance,
    heat_btu_h,
)
from storagecalc.study.axes import ByPosition, by_position
from storagecalc.study.capacity.space import Capacity
from storagecalc.study.money.cash_flow import Money
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceResult:
    """Arrays of shape (positions,): ``power_w`` is the mean over the horizon, ``full_power_w`` with
    all bays of box and shelves filled; noise, heat and air are those of the full build."""

    power_w: ByPosition
    full_power_w: ByPosition
    heat_btu_h: ByPosition
    airflow_m3_h: ByPosition
    noise_dba: ByPosition
    circuit_w: ByPosition
    circuit_left_w: ByPosition


def place(numbers: Scenario, build: Build, space: Capacity, flow: Money) -> PlaceResult:
    """Power, heat and noise of a build, free field, everything else on the circuit counted.

    Parameters
    ----------
    numbers
        A scenario at its middle: no draws.
    build, space, flow
        The build, its capacity, and its cash flow with the power drawn.
    """
    full = _full_power_w(numbers, build, space)
    site = numbers.place
    circuit = continuous_circuit_w(breaker_a=site.breaker_a, voltage_v=site.mains_v)
    return PlaceResult(
        power_w=by_position(np.mean(flow.power_w_by_month, axis=-1)),
        full_power_w=by_position(full),
        heat_btu_h=by_position(heat_btu_h(power_w=full)),
        airflow_m3_h=by_position(
            airflow_m3_h(power_w=full, temperature_rise_k=site.temperature_rise_k)
        ),
        noise_dba=by_position(
            dba_at_distance(level_dba=_noise_dba(build), from_m=1.0, to_m=site.desk_m)
        ),
        circuit_w=by_position(circuit),
        circuit_left_w=by_position(circuit - site.other_load_w - full),
    )


def _full_power_w(numbers: Scenario, build: Build, space: Capacity) -> FloatArray:
    drives = float(space.pools.drives_by_step[:, -1].sum())
    shelves = float(len(space.pools.layouts) - 1)
    shelf_w = build.shelf.power_w * shelves if build.shelf else 0.0
    drive_w = reduce(np.maximum, [numbers.drives[key].power_w for key in build.drive_classes])
    power: FloatArray = build.box_power_w + shelf_w + drives * drive_w
    return power


def _noise_dba(build: Build) -> FloatArray:
    shelves = [build.shelf.noise_dba] * build.shelf.shelves_at_most if build.shelf else []
    levels = np.broadcast_arrays(build.box_noise_dba, *shelves)
    level: FloatArray = combined_dba(np.stack(levels, axis=-1))
    return level
