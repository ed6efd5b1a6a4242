"""What the loss of an alternative is worked out from: the build, and what is kept beside it."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.capacity.consequences import Consequences, Holding, filled_fraction
from storagecalc.study.capacity.drives_in_service import olds_by_month
from storagecalc.study.capacity.growth import Growth
from storagecalc.study.capacity.owned import KeptBox
from storagecalc.study.capacity.space import Space
from storagecalc.study.loss.box_loss import LossCase


def loss_case(
    space: Space,
    grown: Growth,
    brought: Consequences,
    kept: tuple[KeptBox, ...],
    held_tb_by_month: FloatArray,
    **of_the_futures: Any,
) -> LossCase:
    """One alternative at the middle of every range, with what its futures say.

    Parameters
    ----------
    space, grown, brought, kept
        Its space by step, which steps are taken when, what stands, and the boxes kept beside it.
    held_tb_by_month
        TB held, shape (positions, 1, months).
    of_the_futures
        The fields of the case that are told of every future.
    """
    filled = filled_fraction(brought, held_tb_by_month)
    still = np.zeros((1, 1, held_tb_by_month.shape[-1]), dtype=np.int64)
    beside = tuple(
        _case(each, box.space, still, box.stands_by_month, filled)
        for each, box in zip(brought.kept, kept, strict=True)
    )
    steps, stands = grown.own.steps_in_place_by_month, grown.stands_by_month
    return _case(brought.own, space, steps, stands, filled, kept=beside, **of_the_futures)


def _case(
    holding: Holding,
    space: Space,
    steps: Any,
    stands: FloatArray | None,
    filled: FloatArray,
    **further: Any,
) -> LossCase:
    return LossCase(
        build=holding.build,
        space=space,
        steps_by_month=steps,
        stands_by_month=stands,
        held_tb_by_month=filled * holding.plannable_tb_by_month,
        olds_by_month=olds_by_month(holding.drives),
        **{"lost_at_once_tb": np.zeros((1, 1, 1)), **further},
    )
