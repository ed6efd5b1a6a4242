"""How much is lost at once with one pool: never more than the pool can hold."""

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.capacity.consequences import Consequences, filled_fraction
from storagecalc.study.capacity.growth import Growth
from storagecalc.study.capacity.space import Space, at_step
from storagecalc.study.capacity.steps import FurtherBox


def lost_at_once_tb(
    space: Space,
    box: FurtherBox | None,
    grown: Growth,
    brought: Consequences,
    held_tb_by_month: FloatArray,
) -> FloatArray:
    """The most TB that one pool holds in any month, shape (positions, draws, 1).

    What is held is spread over all space in place in proportion.

    Parameters
    ----------
    space, box
        Space of the build by step, and the further box.
    grown, brought
        Which steps are taken when, and what stands.
    held_tb_by_month
        TB held, shape (positions, draws, months).
    """
    largest = at_step(largest_pool_tb(space), grown.own.steps_in_place_by_month)
    if grown.stands_by_month is not None:
        largest = largest * grown.stands_by_month
    for each in brought.kept:
        largest = np.maximum(largest, each.plannable_tb_by_month)
    if box is not None and grown.further is not None:
        pools, steps = largest_pool_tb(box.space), grown.further.steps_in_place_by_month
        each = pools.shape[-1]
        newest = at_step(pools, np.maximum(steps - 1, 0) % each) * (steps > 0)
        largest = np.maximum(largest, np.where(steps > each, pools[..., -1:], newest))
    filled = filled_fraction(brought, held_tb_by_month)
    most: FloatArray = (filled * largest).max(axis=-1, keepdims=True)
    return most


def largest_pool_tb(space: Space) -> FloatArray:
    """Plannable TB of the largest pool at each step, shape (positions, draws, steps)."""
    plannable, pools = space.ladder.plannable_tb, space.pool_usable_tb
    if len(pools) == 1:
        return plannable
    largest = np.maximum.reduce(np.broadcast_arrays(*pools))
    share: FloatArray = largest / space.ladder.usable_tb
    return plannable * share
