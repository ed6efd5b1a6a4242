"""What stands after each step of a ladder: the build's own steps, and those of further boxes."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.study.capacity.space import Space, Stint
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

MOST_FURTHER_BOXES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """What stands after each step, step 0 first.

    Counts of boxes and shelves have shape (steps,), the drives are told by the ``stints``.
    ``plannable_tb`` has shape (positions, draws, steps).
    """

    boxes_by_step: FloatArray
    shelves_by_step: FloatArray
    stints: tuple[Stint, ...]
    plannable_tb: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherBox:
    """The box that is bought when all before it are full, and its space by step."""

    build: Build
    space: Space


def own_steps(space: Space) -> Steps:
    """The build as bought, and after each step it may take."""
    pools = space.pools
    return Steps(
        boxes_by_step=np.ones(pools.shelves_by_step.shape),
        shelves_by_step=pools.shelves_by_step,
        stints=space.stints,
        plannable_tb=space.ladder.plannable_tb,
    )


def further_steps(box: FurtherBox, boxes: int) -> Steps:
    """Nothing, then a number of further boxes, each bought and grown until it is full.

    Parameters
    ----------
    box
        The box that is bought each time.
    boxes
        How many, 1 or more.
    """
    own, each = own_steps(box.space), box.space.ladder.plannable_tb.shape[-1]
    filling = own.stints[0]
    count = _repeated(filling.count_by_step, boxes)
    return Steps(
        boxes_by_step=np.concatenate([[0.0], np.repeat(np.arange(1.0, boxes + 1), each)]),
        shelves_by_step=np.zeros(1 + boxes * each),
        stints=(
            replace(
                filling,
                bought_drives_by_step=count,
                count_by_step=count,
                swapped_drives_by_step=np.zeros_like(count),
            ),
        ),
        plannable_tb=_repeated(own.plannable_tb, boxes),
    )


def further_build(drawn: Scenario) -> Build | None:
    """The build of each further box as one buys it: new drives only, no shelf and no swap.

    None where the remedy is another.
    """
    if drawn.remedy.kind != "next box":
        return None
    chosen = drawn.builds[str(drawn.remedy.next_build)]
    left_out = dict.fromkeys(("shelf", "swap_to", "starts_in", "drives_from"))
    return chosen.model_copy(update=left_out | {"keeps": ()})


def _repeated(by_step: Any, times: int) -> FloatArray:
    """What stands step by step when the same ladder is climbed several times, one after another."""
    whole = by_step[..., -1:]
    parts = [np.zeros_like(whole), *(by_step + number * whole for number in range(times))]
    return np.concatenate(parts, axis=-1)
