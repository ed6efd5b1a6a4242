"""What the hardware of a build costs at the prices of month 0: as bought, or with all bays full."""

from storagecalc.models.checks import FloatArray
from storagecalc.study.axes import three_axes
from storagecalc.study.capacity.space import Space
from storagecalc.study.capacity.steps import own_steps
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


def hardware_cost(drawn: Scenario, build: Build, space: Space, *, full: bool) -> FloatArray:
    """Box, shelves and drives that are to be bought, shape (positions, draws, 1).

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, space
        The build and its space by step.
    full
        With every step taken, or as bought.
    """
    steps, last = own_steps(space), -1 if full else 0
    box = build.box_price if build.starts_in is None else 0.0
    shelf = build.shelf.price if build.shelf else 0.0
    cost = box + shelf * float(steps.shelves_by_step[last])
    cost = cost + build.cold_spares * drawn.drives[build.drives].price
    for stint in steps.stints:
        cost = cost + float(stint.bought_drives_by_step[last]) * drawn.drives[stint.drives].price
    return three_axes(cost)
