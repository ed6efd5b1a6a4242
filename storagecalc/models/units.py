"""Units of time and data, and the shape of a quantity that may differ by position and draw.

The only power of 1024 in the package stands here; everything else counts in powers of ten.
"""

from typing import Any

import numpy as np

from storagecalc.models.checks import checked

SECONDS_PER_HOUR = 3600.0
HOURS_PER_YEAR = 8760.0
"""A year of 365 days, as the published failure statistics count it."""
MONTHS_PER_YEAR = 12
HOURS_PER_MONTH = HOURS_PER_YEAR / MONTHS_PER_YEAR

WHOLE_TOLERANCE = 1e-9
"""A quotient this close to a whole number is that number; nothing is measured so precisely."""

BITS_PER_BYTE = 8.0
BYTES_PER_MB = 1e6
BYTES_PER_GB = 1e9
BYTES_PER_TB = 1e12
MB_PER_TB = BYTES_PER_TB / BYTES_PER_MB
BYTES_PER_TIB = float(1024**4)


def tib_from_tb(tb: Any) -> Any:
    """The same amount of data in TiB, the unit many operating systems show (often written "TB").

    Formula: ``tb * 10**12 / 2**40``.

    Parameters
    ----------
    tb
        Amount of data in TB (10^12 bytes), 0 or more; a number or an array of any shape.

    Returns
    -------
    float or numpy array
        TiB (2^40 bytes), in the shape of ``tb``.

    Raises
    ------
    ValueError
        Where ``tb`` is negative or not finite.

    Notes
    -----
    Prefixes: IEC 80000-13, "Quantities and units, Part 13: Information science and technology",
    clause 4; the place from memory.
    For display only; no model counts in TiB.

    Examples
    --------
    >>> tib_from_tb(1.099511627776)
    1.0
    """
    return checked("tb", tb, at_least=0) * (BYTES_PER_TB / BYTES_PER_TIB)


def mb_s_from_mbit_s(mbit_s: Any) -> Any:
    """A data rate in MB/s: eight bits to the byte, nothing taken off for protocol.

    Formula: ``mbit_s / 8``.

    Parameters
    ----------
    mbit_s
        Rate in Mb/s (10^6 bits a second), 0 or more; a number or an array of any shape.

    Returns
    -------
    float or numpy array
        MB/s (10^6 bytes a second), in the shape of ``mbit_s``.

    Raises
    ------
    ValueError
        Where ``mbit_s`` is negative or not finite.

    Examples
    --------
    >>> mb_s_from_mbit_s(1000)
    125.0
    """
    return checked("mbit_s", mbit_s, at_least=0) / BITS_PER_BYTE


def with_month_axis(name: str, value: object, *, months: int = 1) -> Any:
    """A quantity with a month axis: of length 1, unless it may change by month.

    Parameters
    ----------
    name
        What the caller calls the argument; it opens the error message.
    value
        A float, an array (positions, draws), or an array (positions, draws, 1).
    months
        Number of months where an array (positions, draws, months) is allowed too.

    Returns
    -------
    float or numpy array
        A float unchanged; an array with the month axis last.

    Raises
    ------
    ValueError
        Where a third axis is there and has neither length 1 nor one entry for each month.

    Examples
    --------
    >>> with_month_axis("price_today", np.ones((1, 5))).shape
    (1, 5, 1)
    """
    values = np.asarray(value)
    if values.ndim == 0:
        return value
    if values.ndim < 3:
        return values[..., np.newaxis]
    if values.shape[-1] not in (1, months):
        rule = (
            "not change by month (a third axis of length 1)"
            if months == 1
            else f"have one entry or {months}, one a month, on its last axis"
        )
        raise ValueError(f"{name} must {rule}, got the shape {values.shape}")
    return values


def plain(value: object) -> Any:
    """A Python float for a single number, the array itself for everything with a shape.

    Examples
    --------
    >>> plain(np.float64(2))
    2.0
    """
    values: Any = value
    return float(values) if np.ndim(values) == 0 else values
