"""How drives protect one another, and what is left to fill: a ladder from nominal to plannable."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.chain import MOST_PARITY_DRIVES
from storagecalc.models.checks import checked, checked_choice, checked_whole

_PARITY_DRIVES = {"none": 0, "single parity": 1, "double parity": 2, "triple parity": 3}
REDUNDANCIES = (
    "none",
    "mirror",
    "single parity",
    "double parity",
    "triple parity",
    "striped mirrors",
)
"""What protects the drives; in the standard's levels: 0, 1, 5, 6, three parities, 1+0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Groups of drives that protect one another; each field an int or an array of ints.

    Parameters
    ----------
    group_count
        Groups side by side, 0 or more; data are lost when any one of them is.
    drives_per_group
        Drives in a group, parity included, 1 or more.
    parity_drives
        Drives of a group that may fail without loss, 0 to ``drives_per_group`` - 1.
    hot_spares
        Drives that wait for a failure and hold nothing, 0 or more.
    """

    group_count: Any
    drives_per_group: Any
    parity_drives: Any
    hot_spares: Any

    def __post_init__(self) -> None:
        checked_whole("group_count", self.group_count, at_least=0)
        drives = checked_whole("drives_per_group", self.drives_per_group, at_least=1)
        parity = checked_whole("parity_drives", self.parity_drives, at_least=0)
        checked_whole("hot_spares", self.hot_spares, at_least=0)
        if np.any(np.asarray(parity) >= np.asarray(drives)):
            raise ValueError(
                "parity_drives must be below drives_per_group, got "
                f"parity_drives {parity} and drives_per_group {drives}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """TB on each rung, from what the labels on the drives say to what one may plan to fill."""

    nominal_tb: Any
    usable_tb: Any
    formatted_tb: Any
    writable_tb: Any
    plannable_tb: Any


def layout(*, redundancy: str, drive_count: Any, hot_spares: Any) -> Layout:
    """The groups that a number of drives forms.

    Mirror: every drive holds the same. Striped mirrors: pairs side by side. Otherwise one group
    with none, one, two or three drives' worth of parity.

    Parameters
    ----------
    redundancy
        One of ``REDUNDANCIES``.
    drive_count
        Drives in all, hot spares included; a whole number or an array of them.
    hot_spares
        Hot spares among them, 0 or more; a whole number or an array of them.

    Returns
    -------
    Layout

    Raises
    ------
    ValueError
        Where the drives are too few for the redundancy, more than nine for a mirror, or odd in
        number for striped mirrors.

    Examples
    --------
    >>> twelve = layout(redundancy="double parity", drive_count=12, hot_spares=1)
    >>> twelve.drives_per_group, twelve.parity_drives
    (11, 2)
    """
    checked_choice("redundancy", redundancy, REDUNDANCIES)
    spares = checked_whole("hot_spares", hot_spares, at_least=0)
    least = 2 if "mirror" in redundancy else _PARITY_DRIVES[redundancy] + 1
    drives = checked_whole("drive_count", drive_count, at_least=1) - spares
    _refuse_too_few(redundancy, least, drives, spares)
    if redundancy == "striped mirrors":
        if np.any(np.asarray(drives) % 2):
            raise ValueError(
                "drive_count must be an even number plus the hot_spares for striped mirrors, "
                f"got {drive_count!r:.60} with hot_spares {hot_spares!r:.60}"
            )
        return Layout(
            group_count=drives // 2, drives_per_group=2, parity_drives=1, hot_spares=spares
        )
    if redundancy == "mirror" and np.any(np.asarray(drives) > MOST_PARITY_DRIVES + 1):
        raise ValueError(
            f"drive_count must be at most {MOST_PARITY_DRIVES + 1} beside the hot_spares for a "
            f"mirror, in which every drive holds the same, got {drive_count!r:.60}; striped "
            "mirrors hold more"
        )
    parity = drives - 1 if redundancy == "mirror" else _PARITY_DRIVES[redundancy]
    return Layout(group_count=1, drives_per_group=drives, parity_drives=parity, hot_spares=spares)


def usable_tb(*, layout: Layout, drive_tb: Any) -> Any:
    """TB that hold data once parity, mirrors and hot spares are taken off.

    Formula: ``group_count * (drives_per_group - parity_drives) * drive_tb``. Unequal drives count
    as the smallest of them.

    Parameters
    ----------
    layout
        From ``layout`` or made by hand.
    drive_tb
        Size of a drive in TB as its label says (10^12 bytes), above 0.

    Returns
    -------
    float or numpy array
        TB, in the shape of the layout's fields and the size together.

    Raises
    ------
    ValueError
        Where ``drive_tb`` is not finite or not above 0.

    Examples
    --------
    >>> twelve = layout(redundancy="double parity", drive_count=12, hot_spares=0)
    >>> usable_tb(layout=twelve, drive_tb=10)
    100.0
    """
    data_drives = layout.group_count * (layout.drives_per_group - layout.parity_drives)
    return data_drives * checked("drive_tb", drive_tb, above=0)


def nominal_tb(*, layout: Layout, drive_tb: Any) -> Any:
    """TB on the labels of all drives together, hot spares included.

    Formula: ``(group_count * drives_per_group + hot_spares) * drive_tb``.

    Parameters
    ----------
    layout
        From ``layout`` or made by hand.
    drive_tb
        Size of a drive in TB as its label says (10^12 bytes), above 0.

    Returns
    -------
    float or numpy array
        TB, in the shape of the layout's fields and the size together.

    Raises
    ------
    ValueError
        Where ``drive_tb`` is not finite or not above 0.

    Examples
    --------
    >>> nominal_tb(
    ...     layout=layout(redundancy="mirror", drive_count=2, hot_spares=0), drive_tb=4
    ... )
    8.0
    """
    drives = layout.group_count * layout.drives_per_group + layout.hot_spares
    return drives * checked("drive_tb", drive_tb, above=0)


def capacity_ladder(
    *,
    layout: Layout,
    drive_tb: Any,
    formatting_fraction: Any,
    snapshot_fraction: Any,
    free_fraction: Any,
) -> Ladder:
    """What each loss leaves, rung by rung: nominal, usable, formatted, writable, plannable TB.

    Each fraction is taken of the rung above it:
    ``formatted = usable * (1 - formatting)``, ``writable = formatted * (1 - snapshot)``,
    ``plannable = writable * (1 - free)``.

    Parameters
    ----------
    layout
        From ``layout`` or made by hand.
    drive_tb
        Size of a drive in TB as its label says (10^12 bytes), above 0.
    formatting_fraction
        Share that the file system keeps for itself, 0 to below 1.
    snapshot_fraction
        Share kept for snapshots, 0 to below 1.
    free_fraction
        Share left empty so that the box stays fast, 0 to below 1.

    Returns
    -------
    Ladder
        Each field a float or an array in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    >>> ladder = capacity_ladder(
    ...     layout=layout(redundancy="single parity", drive_count=5, hot_spares=0),
    ...     drive_tb=10, formatting_fraction=0.0, snapshot_fraction=0.5, free_fraction=0.5,
    ... )
    >>> ladder.nominal_tb, ladder.usable_tb, ladder.writable_tb, ladder.plannable_tb
    (50.0, 40.0, 20.0, 10.0)
    """
    usable = usable_tb(layout=layout, drive_tb=drive_tb)
    formatted = usable * _left_over("formatting_fraction", formatting_fraction)
    writable = formatted * _left_over("snapshot_fraction", snapshot_fraction)
    return Ladder(
        nominal_tb=nominal_tb(layout=layout, drive_tb=drive_tb),
        usable_tb=usable,
        formatted_tb=formatted,
        writable_tb=writable,
        plannable_tb=writable * _left_over("free_fraction", free_fraction),
    )


def _left_over(name: str, fraction: Any) -> Any:
    return 1.0 - checked(name, fraction, at_least=0, below=1)


def _refuse_too_few(redundancy: str, least: int, drives: Any, spares: Any) -> None:
    short = np.asarray(drives) < least
    if short.any():
        got = (np.asarray(drives) + spares)[short].flat[0]
        spare = np.broadcast_to(spares, short.shape)[short].flat[0]
        raise ValueError(
            f"drive_count must be a whole number from {least} upwards beside the hot_spares for "
            f'"{redundancy}", got {got} with hot_spares {spare}'
        )
