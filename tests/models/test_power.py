"""What a circuit carries and what running costs in energy."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.power import continuous_circuit_w, energy_kwh_per_month

AMPERES = st.floats(1, 125)
VOLTS = st.floats(90, 400)


def circuit(breaker, voltage):
    return continuous_circuit_w(breaker_a=breaker, voltage_v=voltage)


def energy(power):
    return energy_kwh_per_month(power_w=power)


def test_by_hand():
    assert circuit(16, 100) == 1280.0
    assert energy(1000) == 730.0


def test_limits():
    assert energy(0) == 0.0
    assert circuit(1e-9, 230) == pytest.approx(1.84e-7, rel=1e-12)


@given(AMPERES, VOLTS)
def test_second_route_the_breaker_is_a_quarter_larger_than_the_load(breaker, voltage):
    """The rule is written the other way round: the breaker at 125 per cent of the load."""
    load_a = circuit(breaker, voltage) / voltage
    assert 1.25 * load_a == pytest.approx(breaker, rel=1e-14)


@given(st.floats(0, 5000))
def test_second_route_energy_hour_by_hour(power):
    assert 12 * energy(power) == pytest.approx(
        math.fsum([power / 1000] * 8760), rel=1e-12, abs=1e-12
    )


@given(AMPERES, VOLTS, st.floats(1, 2))
def test_property_both_grow_in_step(breaker, voltage, more):
    assert circuit(more * breaker, voltage) == pytest.approx(more * circuit(breaker, voltage))
    assert circuit(breaker, more * voltage) == pytest.approx(more * circuit(breaker, voltage))
    assert circuit(breaker, voltage) < breaker * voltage
    assert energy(more * breaker) == pytest.approx(more * energy(breaker))


def test_arrays_are_what_their_entries_are():
    assert circuit([[15], [20]], [120.0, 230.0])[1, 0] == circuit(20, 120.0)
    np.testing.assert_array_equal(energy([100.0, 200.0]), [energy(100.0), energy(200.0)])


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: circuit(0, 230), "breaker_a"),
        (lambda: circuit(16, 0), "voltage_v"),
        (lambda: circuit(16, math.nan), "voltage_v"),
        (lambda: energy(-1), "power_w"),
        (lambda: energy("much"), "power_w"),
    ],
)
def test_bad_input_is_refused_by_name(call, argument):
    with pytest.raises(ValueError, match=argument):
        call()
