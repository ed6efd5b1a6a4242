"""How long a rebuild takes, and the chance that it meets a file that cannot be read."""

from functools import reduce
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.failure import read_error_probability, shortest_rebuild_h
from storagecalc.study.axes import by_position
from storagecalc.study.capacity.space import Space, classes_in
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


def rebuild_h(drawn: Scenario, build: Build, space: Space) -> Any:
    """Hours from a drive's failure to full protection again: of the class that takes longest."""
    classes = classes_in(drawn, build, space)
    return reduce(np.maximum, [class_rebuild_h(drawn, build, drives) for drives in classes])


def class_rebuild_h(drawn: Scenario, build: Build, drives: str) -> Any:
    """Hours from the failure of a drive of one class to full protection again: wait, then copy."""
    table, share = drawn.drives[drives], drawn.rebuild.rebuild_speed_fraction
    copying = shortest_rebuild_h(drive_tb=table.size_tb, drive_mb_s=table.media_mb_s * share)
    return _wait_h(drawn, build) + copying


def _wait_h(drawn: Scenario, build: Build) -> Any:
    """Hours until a good drive is in: none with a hot spare, somebody's way with a cold one."""
    if build.hot_spares:
        return 0.0
    return drawn.rebuild.cold_swap_h if build.cold_spares else drawn.rebuild.swap_wait_h


def unreadable_file_probability(drawn: Scenario, build: Build, space: Space) -> FloatArray:
    """Chance of an unreadable file in a rebuild of the full box with no redundancy left,
    shape (positions,)."""
    drives = drawn.drives[build.drives]
    box = space.pools.layouts[0]
    per_group = int(np.max(box.drives_per_group))
    others = max(per_group - int(np.max(box.parity_drives)), 1)
    chance = read_error_probability(
        read_tb=others * drives.size_tb, errors_per_bit=drives.errors_per_bit
    )
    return by_position(chance)
