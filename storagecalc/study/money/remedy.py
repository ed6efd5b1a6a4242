"""What is paid for footage a build cannot hold, so that every build serves the same."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.months import advanced, new_by_month
from storagecalc.models.ordering import boxes_needed_by_month
from storagecalc.models.power import energy_kwh_per_month
from storagecalc.study.capacity.growth import Purchases
from storagecalc.study.capacity.space import capacity
from storagecalc.study.money.archive import given_up_cost_by_month
from storagecalc.study.money.price_paths import PricePaths
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class NextBox:
    """The box that is bought when a build is full: all bays filled, standing beside it.

    ``cost_by_month`` is what one costs if ordered in that month, the work of bringing it in
    included; ``running_cost_by_month`` what one in use draws.
    """

    plannable_tb: FloatArray
    cost_by_month: FloatArray
    running_cost_by_month: FloatArray


def next_box(numbers: Scenario, prices: PricePaths) -> NextBox | None:
    """The scenario's next box, or None where the remedy is another.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays.
    prices
        How prices move.
    """
    remedy = numbers.remedy
    if remedy.kind != "next box":
        return None
    chosen = _new_box(numbers.builds[str(remedy.next_build)])
    drives, space = numbers.drives[chosen.drives], capacity(numbers, chosen)
    drive_count = float(space.pools.drives_by_step[:, -1].sum())
    power_w = chosen.box_power_w + drives.power_w * drive_count
    return NextBox(
        plannable_tb=space.ladder.plannable_tb[..., -1:],
        cost_by_month=chosen.box_price * prices.box_price
        + drive_count * drives.price * prices.drive_price
        + (remedy.migration_h + numbers.running.work_per_order_h) * prices.hour_price,
        running_cost_by_month=energy_kwh_per_month(power_w=power_w) * prices.kwh_price,
    )


def _new_box(build: Build) -> Build:
    """The build's box as one buys it to fill it at once: new drives only, no swap, no shelf."""
    nothing_else = {"shelf": None, "swap_to": None, "old_drives": None, "old_drive_count": 0}
    filled = {"drives_at_first": build.bays} if build.grows_by == "swapping" else {}
    return build.model_copy(update={**nothing_else, **filled})


def remedy_cost_by_month(
    numbers: Scenario, build: Build, bought: Purchases, prices: PricePaths, box: NextBox | None
) -> FloatArray:
    """Bridging while a step is on its way, and the remedy for what no step will hold.

    Parameters
    ----------
    numbers
        A scenario whose ranges are numbers or arrays.
    build, bought
        The build and what it buys and cannot hold.
    prices, box
        How prices move, and the next box where that is the remedy.
    """
    beyond, remedy = bought.beyond_tb_by_month, numbers.remedy
    rent = remedy.elsewhere_price_per_tb_month * prices.general_price
    bridging = np.maximum(bought.unmet_tb_by_month - beyond, 0.0) * rent
    # Most futures of most builds fit: the sums for what is beyond are then all zero.
    if not beyond.any():
        return bridging
    if box is not None:
        return bridging + _boxes_cost_by_month(build, beyond, box)
    if remedy.kind == "held elsewhere":
        return bridging + beyond * rent
    return bridging + given_up_cost_by_month(numbers, beyond, prices)


def _boxes_cost_by_month(build: Build, beyond_tb: FloatArray, box: NextBox) -> Any:
    """Boxes bought a lead time before they are needed, and what they draw once they stand."""
    standing = boxes_needed_by_month(shortfall_tb_by_month=beyond_tb, box_tb=box.plannable_tb)
    ordered = advanced(standing, lead_months=build.lead_time_months)
    new = new_by_month(ordered)
    return new * box.cost_by_month + standing * box.running_cost_by_month
