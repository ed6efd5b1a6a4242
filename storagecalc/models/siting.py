"""What a box does to the room it stands in: noise, heat and air.

Free-field and steady-state arithmetic, to compare places before anything is bought. For fire,
ventilation and hearing the local codes and the people licensed for them decide.
"""

from typing import Any

import numpy as np

from storagecalc.models.checks import checked
from storagecalc.models.units import SECONDS_PER_HOUR, plain

# International table BTU, ISO 31-4.
JOULES_PER_BTU = 1055.05585262
# Dry air near 20 C at sea level; less dense, so more of it is needed, where it is hot or high up.
AIR_KG_PER_M3 = 1.2
AIR_J_PER_KG_K = 1005.0
DB_PER_DECADE_OF_POWER = 10.0
DB_PER_DECADE_OF_DISTANCE = 20.0


def combined_dba(levels_dba: Any) -> Any:
    """The level of several independent noises together.

    Formula: ``10 log10(sum of 10**(level / 10))``. Two alike add 3 dB, ten alike 10 dB. Holds for
    noises that are independent, as those of fans and drives are.

    Parameters
    ----------
    levels_dba
        Levels at the same place, dB(A), along the last axis.

    Returns
    -------
    float or numpy array
        dB(A), without the last axis.

    Raises
    ------
    ValueError
        Where a level is not finite or there is none.

    Examples
    --------
    >>> round(combined_dba([80.0, 80.0]), 2)
    83.01
    """
    levels = np.atleast_1d(checked("levels_dba", levels_dba))
    if levels.shape[-1] == 0:
        raise ValueError(f"levels_dba must hold at least one level, got {levels_dba!r:.60}")
    # Relative to the loudest, so that no power overflows.
    loudest = levels.max(axis=-1, keepdims=True)
    powers = 10.0 ** ((levels - loudest) / DB_PER_DECADE_OF_POWER)
    above = DB_PER_DECADE_OF_POWER * np.log10(powers.sum(axis=-1))
    return plain(loudest[..., 0] + above)


def dba_at_distance(*, level_dba: Any, from_m: Any, to_m: Any) -> Any:
    """The level of a small source at another distance, outdoors or nearly so.

    Formula: ``level - 20 log10(to / from)``, 6 dB less for each doubling: a point source in the
    free field. In a room the walls send the sound back and the level stops falling after a metre or
    two, so a desk hears more than this. Data sheets may print sound
    power in bels instead of a level: 5.0 bels are 50 dB of power, about 42 dB(A) at 1 m over a
    floor.

    Parameters
    ----------
    level_dba
        Sound pressure level, dB(A), at the distance ``from_m``.
    from_m, to_m
        Distances from the source, m, above 0, both well beyond the size of the box.

    Returns
    -------
    float or numpy array
        dB(A), in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    >>> dba_at_distance(level_dba=50.0, from_m=1.0, to_m=10.0)
    30.0
    """
    level = checked("level_dba", level_dba)
    ratio = checked("to_m", to_m, above=0) / checked("from_m", from_m, above=0)
    return plain(level - DB_PER_DECADE_OF_DISTANCE * np.log10(ratio))


def heat_btu_h(*, power_w: Any) -> Any:
    """Heat given off, in the unit that air conditioners are sold by.

    Formula: ``power * 3600 / 1055.06``: all electricity that goes in comes out as heat, the losses
    of an uninterruptible supply included.

    Parameters
    ----------
    power_w
        Power drawn, W, 0 or more.

    Returns
    -------
    float or numpy array
        BTU/h, in the shape of ``power_w``.

    Raises
    ------
    ValueError
        Where the power is negative or not finite.

    Examples
    --------
    >>> round(heat_btu_h(power_w=1000))
    3412
    """
    return checked("power_w", power_w, at_least=0) * (SECONDS_PER_HOUR / JOULES_PER_BTU)


def airflow_m3_h(*, power_w: Any, temperature_rise_k: Any) -> Any:
    """Air needed to carry the heat away while it warms by so much.

    Formula: ``power / (1.2 * 1005 * rise) * 3600``, air of 1.2 kg/m3 and 1005 J/(kg K). The rise
    counts from the air that enters the box, whose own limit for inlet air comes first.

    Parameters
    ----------
    power_w
        Heat, W, 0 or more.
    temperature_rise_k
        How much warmer the air leaves than it enters, K, above 0.

    Returns
    -------
    float or numpy array
        m3/h, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    >>> airflow_m3_h(power_w=335.0, temperature_rise_k=10.0)
    100.0
    """
    power = checked("power_w", power_w, at_least=0)
    rise = checked("temperature_rise_k", temperature_rise_k, above=0)
    return power * SECONDS_PER_HOUR / (AIR_KG_PER_M3 * AIR_J_PER_KG_K * rise)
