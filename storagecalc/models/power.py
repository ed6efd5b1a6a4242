"""What a circuit carries, and the energy that running takes."""

from typing import Any

from storagecalc.models.checks import checked
from storagecalc.models.units import HOURS_PER_MONTH

CONTINUOUS_LOAD_FRACTION = 0.8
W_PER_KW = 1000.0


def continuous_circuit_w(*, breaker_a: Any, voltage_v: Any) -> Any:
    """What a circuit may carry for hours, everything plugged into it together.

    Formula: ``0.8 * breaker * voltage``. 80 % for loads of three hours and more is a rule of the
    United States; other countries have their own. The local code and a licensed
    electrician decide, also on starting currents and what else is on the circuit.

    Parameters
    ----------
    breaker_a
        Rating of the breaker, A, above 0.
    voltage_v
        Mains voltage, V, above 0.

    Returns
    -------
    float or numpy array
        W, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    NFPA 70, "National Electrical Code", National Fire Protection Association, 210.19 and 210.20(A):
    the overcurrent device at 125 % of the continuous load.

    Examples
    --------
    >>> continuous_circuit_w(breaker_a=10, voltage_v=100)
    800.0
    """
    breaker = checked("breaker_a", breaker_a, above=0)
    return CONTINUOUS_LOAD_FRACTION * breaker * checked("voltage_v", voltage_v, above=0)


def energy_kwh_per_month(*, power_w: Any) -> Any:
    """Energy used in a month of 730 h at a steady power.

    Formula: ``power * 730 / 1000``.

    Parameters
    ----------
    power_w
        Mean power drawn, W, 0 or more; without the cooling that removes the heat.

    Returns
    -------
    float or numpy array
        kWh a month, in the shape of ``power_w``.

    Raises
    ------
    ValueError
        Where the power is negative or not finite.

    Examples
    --------
    >>> energy_kwh_per_month(power_w=100)
    73.0
    """
    return checked("power_w", power_w, at_least=0) * HOURS_PER_MONTH / W_PER_KW
