"""What has to be deleted early for want of space, where that is the remedy."""

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.early_deletion import deleted_early_tb_by_month
from storagecalc.study.footage.footage import Footage
from storagecalc.study.scenario.scenario import Scenario


def early_tb_by_month(
    drawn: Scenario, footage: Footage, most_tb_by_month: FloatArray
) -> FloatArray:
    """TB deleted early in each month, the oldest first; none where the remedy is another.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    footage
        What is held.
    most_tb_by_month
        The most that the build can come to hold, (positions, draws, months or 1). Working copies
        stay.
    """
    held = footage.held_tb_by_month
    if drawn.remedy.kind != "early cull" or not (held > most_tb_by_month).any():
        return np.zeros((1, 1, drawn.horizon_months))
    works = footage.intake_tb_by_work
    return deleted_early_tb_by_month(
        intake_tb_by_month=[*works.values()],
        keep_fraction_by_age=[footage.keep_fraction_by_work[key] for key in works],
        stored_tb=[footage.stored_tb_by_work[key] for key in works],
        oldest_months=[drawn.work[key].stored_oldest_months for key in works],
        limit_tb_by_month=np.maximum(most_tb_by_month - footage.working_tb_by_month, 0.0),
    )
