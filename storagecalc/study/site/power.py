"""Electricity: what stands in each month draws, and what all of it would draw."""

from functools import reduce

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.capacity.consequences import Holding
from storagecalc.study.capacity.owned import KeptBox
from storagecalc.study.capacity.space import Space, classes_in
from storagecalc.study.capacity.steps import own_steps
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


def power_w_by_month(holding: Holding) -> FloatArray:
    """W drawn by boxes, shelves and drives in each month, shape (positions, draws, months)."""
    build = holding.build
    shelf_w = build.shelf.power_w if build.shelf else 0.0
    drives_w = sum(own.drives.power_w * own.count_by_month for own in holding.drives.values())
    boxes_w: FloatArray = (
        build.box_power_w * holding.box_count_by_month
        + shelf_w * holding.shelf_count_by_month
        + drives_w
    )
    return boxes_w


def full_power_w(
    drawn: Scenario, build: Build, space: Space, kept: tuple[KeptBox, ...] = ()
) -> FloatArray:
    """W drawn with all bays of box and shelves filled, and by what is kept beside them."""
    steps = own_steps(space)
    drives = float(space.pools.drives_by_step[:, -1].sum())
    shelf_w = build.shelf.power_w * float(steps.shelves_by_step[-1]) if build.shelf else 0.0
    classes = classes_in(drawn, build, space)
    drive_w = reduce(np.maximum, [drawn.drives[key].power_w for key in classes])
    power: FloatArray = build.box_power_w + shelf_w + drives * drive_w
    for box in kept:
        power = power + full_power_w(drawn, box.build, box.space)
    return power
