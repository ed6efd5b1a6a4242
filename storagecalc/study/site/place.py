"""What an alternative asks of the place it stands in: power, heat, noise, depth."""

from dataclasses import dataclass

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.power import continuous_circuit_w
from storagecalc.models.siting import airflow_m3_h, heat_btu_h
from storagecalc.study.axes import ByPosition, by_position
from storagecalc.study.capacity.space import Space
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.site.noise import noise_dba
from storagecalc.study.site.power import full_power_w


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteResult:
    """One number a position: ``power_w`` is the mean over the horizon, ``full_power_w`` with all
    bays of box and shelves filled; noise, heat and air are those of the full build."""

    power_w: ByPosition
    full_power_w: ByPosition
    heat_btu_h: ByPosition
    airflow_m3_h: ByPosition
    noise_dba: ByPosition
    depth_mm: ByPosition
    weight_kg: ByPosition
    circuit_w: ByPosition
    circuit_left_w: ByPosition


def site_result(
    drawn: Scenario, build: Build, space: Space, power_w_by_month: FloatArray
) -> SiteResult:
    """Power, heat and noise of a build, everything else on the circuit counted.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    build, space, power_w_by_month
        The build, its space, and the power it draws.
    """
    full, place = full_power_w(drawn, build, space), drawn.place
    circuit = continuous_circuit_w(breaker_a=place.breaker_a, voltage_v=place.mains_v)
    air = airflow_m3_h(power_w=full, temperature_rise_k=place.temperature_rise_k)
    return SiteResult(
        power_w=by_position(np.mean(power_w_by_month, axis=-1)),
        full_power_w=by_position(full),
        heat_btu_h=by_position(heat_btu_h(power_w=full)),
        airflow_m3_h=by_position(air),
        noise_dba=by_position(noise_dba(build, place.desk_m)),
        depth_mm=by_position(build.depth_mm),
        weight_kg=by_position(build.weight_kg),
        circuit_w=by_position(circuit),
        circuit_left_w=by_position(circuit - place.other_load_w - full),
    )
