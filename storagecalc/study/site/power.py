"""Electricity: what stands in each month draws, and what all of it would draw."""

from collections.abc import Mapping
from functools import reduce
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.capacity.consequences import Consequences
from storagecalc.study.capacity.drives_in_service import DrivesInService
from storagecalc.study.capacity.space import Space
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


def power_w_by_month(
    build: Build, brought: Consequences, drives: Mapping[str, DrivesInService]
) -> Any:
    """W drawn by box, shelves and drives in each month, shape (positions, draws, months)."""
    shelf_w = build.shelf.power_w if build.shelf else 0.0
    drives_w = sum(own.drives.power_w * own.count_by_month for own in drives.values())
    return build.box_power_w + shelf_w * brought.shelf_count_by_month + drives_w


def full_power_w(drawn: Scenario, build: Build, space: Space) -> FloatArray:
    """W drawn with all bays of box and shelves filled."""
    drives = float(space.pools.drives_by_step[:, -1].sum())
    shelves = float(len(space.pools.layouts) - 1)
    shelf_w = build.shelf.power_w * shelves if build.shelf else 0.0
    drive_w = reduce(np.maximum, [drawn.drives[key].power_w for key in build.drive_classes])
    power: FloatArray = build.box_power_w + shelf_w + drives * drive_w
    return power
