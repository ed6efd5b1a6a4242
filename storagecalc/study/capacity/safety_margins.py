"""How many terabytes of caution stand between what is held and what is bought."""

from dataclasses import dataclass

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import ByPosition, by_position
from storagecalc.study.capacity.space import Space
from storagecalc.study.scenario.builds import Build


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyMargins:
    """Terabytes that each kind of caution adds for a build as bought, one number a position.

    ``free_space_tb`` is kept free so that the box stays fast. ``percentile_tb`` is what the
    studio's confidence asks for beyond the middle of every range, in the month when the middle
    fills the box, or in the last. ``trigger_tb`` is still free when the next step is ordered.
    """

    free_space_tb: ByPosition
    percentile_tb: ByPosition
    trigger_tb: ByPosition


def safety_margins(
    build: Build,
    space: Space,
    first_fill_months: FloatArray,
    held_now: FloatArray,
    held_cautious: FloatArray,
) -> SafetyMargins:
    """The caution in a build as bought.

    Parameters
    ----------
    build, space
        The build at its middle, and its capacity.
    first_fill_months
        When the middle fills it as bought, shape (positions, 1, 1); infinite for never.
    held_now, held_cautious
        Footage held at the middle, shape (positions, 1, months), and what the studio's confidence
        asks for, shape (positions, months).
    """
    cautious = held_cautious - held_now[:, 0]
    month = np.minimum(first_fill_months[:, 0, 0], cautious.shape[1] - 1).astype(np.int64)
    plannable = space.ladder.plannable_tb[..., :1]
    return SafetyMargins(
        free_space_tb=by_position(space.ladder.writable_tb[..., :1] - plannable),
        percentile_tb=cautious[np.arange(len(cautious)), month],
        trigger_tb=by_position(plannable * (1.0 - build.order_at_fraction)),
    )
