"""Noise: box and shelves together, as heard at the nearest desk."""

from typing import Any

import numpy as np

from storagecalc.models.siting import combined_dba, dba_at_distance
from storagecalc.study.scenario.builds import Build


def noise_dba(build: Build, desk_m: Any) -> Any:
    """dBA at the nearest desk with every shelf there, free field: walls are left out."""
    shelves = [build.shelf.noise_dba] * build.shelf.shelves_at_most if build.shelf else []
    levels = np.broadcast_arrays(build.box_noise_dba, *shelves)
    level = combined_dba(np.stack(levels, axis=-1))
    return dba_at_distance(level_dba=level, from_m=1.0, to_m=desk_m)
