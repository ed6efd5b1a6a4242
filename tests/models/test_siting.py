"""Noise at a desk, heat and air."""

import math

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.siting import airflow_m3_h, combined_dba, dba_at_distance, heat_btu_h

LEVELS = st.lists(st.floats(-20, 140), min_size=1, max_size=10)
METRES = st.floats(0.1, 100)


def at(level, from_m, to_m):
    return dba_at_distance(level_dba=level, from_m=from_m, to_m=to_m)


def air(power, rise):
    return airflow_m3_h(power_w=power, temperature_rise_k=rise)


def test_by_hand():
    # 100 and nine times 100 make ten times 100.
    assert combined_dba([20.0, 20.0 + 10 * math.log10(9)]) == pytest.approx(30.0, rel=1e-14)
    assert at(42.0, 1.0, 2.0) == pytest.approx(42 - 20 * math.log10(2), rel=1e-15)
    assert at(42.0, 2.0, 0.2) == pytest.approx(62.0, rel=1e-15)
    # A BTU warms a pound of water by a degree Fahrenheit: about 453.6 g * 4.187 J / 1.8.
    assert heat_btu_h(power_w=453.6 * 4.187 / 1.8 / 3600) == pytest.approx(1.0, rel=1e-3)
    assert air(1206.0, 1.0) == pytest.approx(3600.0, rel=1e-14)


def test_limits():
    assert combined_dba([37.0]) == 37.0
    assert combined_dba([37.0, -500.0]) == 37.0
    assert combined_dba([5000.0, 5000.0]) == pytest.approx(5003.0103, rel=1e-8)
    assert at(40.0, 3.0, 3.0) == 40.0
    assert heat_btu_h(power_w=0) == 0.0
    assert air(0, 5) == 0.0
    assert air(100, 1e12) == pytest.approx(0.0, abs=1e-9)


@given(LEVELS)
def test_second_route_adding_powers_in_long_arithmetic(levels):
    with mpmath.workdps(40):
        powers = [mpmath.power(10, mpmath.mpf(level) / 10) for level in levels]
        wanted = float(10 * mpmath.log10(mpmath.fsum(powers)))
    assert combined_dba(levels) == pytest.approx(wanted, rel=1e-12, abs=1e-12)


@given(st.floats(20, 90), METRES, METRES)
def test_second_route_to_distance_by_the_area_of_spheres(level, near, far):
    power_per_area = 10 ** (level / 10) * (4 * math.pi * near**2) / (4 * math.pi * far**2)
    assert at(level, near, far) == pytest.approx(10 * math.log10(power_per_area), abs=1e-9)


@given(st.floats(1, 5000), st.floats(1, 30))
def test_second_route_to_air_by_the_warmth_it_takes(power, rise):
    kilograms_per_s = air(power, rise) * 1.2 / 3600
    assert kilograms_per_s * 1005 * rise == pytest.approx(power, rel=1e-12)


@given(LEVELS)
def test_property_together_louder_than_the_loudest_but_not_much(levels):
    together = combined_dba(levels)
    assert max(levels) <= together <= max(levels) + 10 * math.log10(len(levels)) + 1e-9
    assert combined_dba(levels[::-1]) == pytest.approx(together, rel=1e-12, abs=1e-12)
    louder = combined_dba([level + 5 for level in levels])
    assert louder == pytest.approx(together + 5, abs=1e-9)


@given(st.floats(20, 90), METRES, METRES, METRES)
def test_property_the_way_back_gives_the_level_back(level, near, between, far):
    assert at(at(level, near, far), far, near) == pytest.approx(level, abs=1e-9)
    in_two = at(at(level, near, between), between, far)
    assert in_two == pytest.approx(at(level, near, far), abs=1e-9)


@given(st.floats(1, 5000), st.floats(1, 30))
def test_property_heat_and_air_grow_with_power(power, rise):
    assert heat_btu_h(power_w=2 * power) == pytest.approx(2 * heat_btu_h(power_w=power))
    assert air(2 * power, rise) == pytest.approx(2 * air(power, rise))
    assert air(power, 2 * rise) == pytest.approx(air(power, rise) / 2)


def test_arrays_are_what_their_entries_are():
    levels = np.array([[[30.0, 40.0]], [[50.0, 20.0]]])
    together = combined_dba(levels)
    assert together.shape == (2, 1)
    assert together[1, 0] == combined_dba([50.0, 20.0])
    assert isinstance(combined_dba([50.0, 20.0]), float)
    assert at([[40.0], [50.0]], 1.0, [1.0, 2.0, 4.0]).shape == (2, 3)
    assert air([100.0, 200.0], 5.0)[1] == air(200.0, 5.0)
    assert heat_btu_h(power_w=[1.0, 2.0])[1] == heat_btu_h(power_w=2.0)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: combined_dba([]), "levels_dba"),
        (lambda: combined_dba([40, math.nan]), "levels_dba"),
        (lambda: at(math.inf, 1, 2), "level_dba"),
        (lambda: at(40, 0, 2), "from_m"),
        (lambda: at(40, 1, 0), "to_m"),
        (lambda: heat_btu_h(power_w=-1), "power_w"),
        (lambda: air(-1, 5), "power_w"),
        (lambda: air(1, 0), "temperature_rise_k"),
    ],
)
def test_bad_input_is_refused_by_name(call, argument):
    with pytest.raises(ValueError, match=argument):
        call()
