"""Noise: all that stands together, as heard at the nearest desk."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.siting import combined_dba, dba_at_distance
from storagecalc.study.axes import three_axes
from storagecalc.study.capacity.owned import KeptBox
from storagecalc.study.scenario.builds import Build


def noise_dba(
    build: Build,
    desk_m: Any,
    *,
    kept: tuple[KeptBox, ...] = (),
    further: Build | None = None,
    boxes: int = 0,
) -> FloatArray:
    """dBA at the nearest desk with every shelf and kept box there, shape (positions, draws, 1).

    Free field: walls are left out.

    Parameters
    ----------
    build
        The build, its ranges numbers or arrays.
    desk_m
        Distance to the nearest desk, m.
    kept
        Boxes that are kept beside it.
    further, boxes
        What stands beside it, and how many of them.
    """
    levels = [build.box_noise_dba, *(box.build.box_noise_dba for box in kept)]
    if build.shelf is not None:
        levels += [build.shelf.noise_dba] * build.shelf.shelves_at_most
    if further is not None:
        levels += [further.box_noise_dba] * boxes
    level = combined_dba(np.stack(np.broadcast_arrays(*levels), axis=-1))
    return three_axes(dba_at_distance(level_dba=level, from_m=1.0, to_m=desk_m))
