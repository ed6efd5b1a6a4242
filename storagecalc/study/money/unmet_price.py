"""What a TB that finds no room in a planned build costs for a month, as the ledger charges it."""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.axes import mean_number, mean_row
from storagecalc.study.capacity.steps import FurtherBox
from storagecalc.study.money.planned_running import box_running, drive_running
from storagecalc.study.money.price_paths import PricePaths, box_price, drive_price
from storagecalc.study.scenario.scenario import Scenario


def bridging_price_by_month(drawn: Scenario, prices: PricePaths) -> FloatArray:
    """The price of holding a TB elsewhere for a month, while an order is on its way or as remedy.

    Parameters
    ----------
    drawn, prices
        As of `plan_problem`.
    """
    price = drawn.remedy.elsewhere_price_per_tb_month * prices.general_price
    return mean_row(price)


def further_box_price_by_month(drawn: Scenario, prices: PricePaths, box: FurtherBox) -> FloatArray:
    """The share of a further box that a TB takes for a month, if the box is bought that month.

    Formula: (price of box, drives for all bays and work, less what they are still worth after a
    span, discounted) spread over the months of the span at the discount rate, and the power, care
    and failures of a month; over the plannable TB of the full box. The span is what is left of the
    horizon, or the life of what wears out first where that is shorter. So what is bought late bears
    its loss of worth in few months, as in the ledger.

    Parameters
    ----------
    drawn, prices, box
        As of `plan_problem`.
    """
    build, drives = box.build, drawn.drives[box.build.drives]
    months, moves = drawn.horizon_months, drawn.prices
    count = float(box.space.stints[0].count_by_step[-1])
    hour = mean_row(prices.hour_price)
    of_the_box = [
        mean_row(box_price(drawn, build, prices)),
        hour * mean_number(drawn.remedy.migration_h),
    ]
    of_the_drives = [
        count * mean_row(drive_price(drawn, prices, build.drives)),
        hour * mean_number(drawn.running.work_per_order_h),
    ]
    lives = [mean_number(life) for life in (build.box_life_years, drives.service_life_years)]
    span = np.minimum(months - np.arange(months), round(min(lives) * MONTHS_PER_YEAR))
    kept = (moves.box_value_kept_per_year_fraction, moves.drive_value_kept_per_year_fraction)
    worth = sum(
        _left(share, life, span) * np.minimum(cost, cost[-1])
        for costs, share, life in zip((of_the_box, of_the_drives), kept, lives, strict=True)
        for cost in costs
    )
    rate = 1.0 + mean_number(drawn.discount_rate_per_year)
    spent = sum(of_the_box) + sum(of_the_drives) - rate ** (-span / MONTHS_PER_YEAR) * worth
    care = drawn.running.further_box_care_fraction * drawn.running.care_h_per_month
    running = hour * mean_number(care) + count * drive_running(drawn, prices, build.drives)
    running = running + box_running(drawn, build, prices)
    present_months = np.cumsum(rate ** (-np.arange(months) / MONTHS_PER_YEAR))[span - 1]
    priced: FloatArray = (spent / present_months + running) / mean_number(
        box.space.ladder.plannable_tb[..., -1]
    )
    return priced


def _left(kept: Any, life_years: float, span: FloatArray) -> FloatArray:
    """The share of a price that is left after some months; nothing of what is worn out by then."""
    years = span / MONTHS_PER_YEAR
    left: FloatArray = np.where(years < life_years, mean_number(kept) ** years, 0.0)
    return left
