"""What is told of an alternative in the end, topic by topic."""

from dataclasses import dataclass

from storagecalc.models.checks import FloatArray
from storagecalc.study.alternatives import Alternative
from storagecalc.study.axes import Spread
from storagecalc.study.capacity.result import CapacityResult, capacity_result
from storagecalc.study.loss.box_loss import Loss
from storagecalc.study.money.result import MoneyResult, money_result
from storagecalc.study.outcome import Futures, Outcome
from storagecalc.study.site.place import SiteResult, site_result
from storagecalc.study.speed.streams import SpeedResult, speed_result


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildResult:
    """Everything told of one alternative: one number (or row of months) a position.

    Plain floats where the evaluation has no grid. Names end in their unit; money is in the
    scenario's currency, months are counted from the start, infinite where it does not happen
    within the horizon. What ends in ``_by_draw`` has one number a future.
    """

    alternative: Alternative
    capacity: CapacityResult
    money: MoneyResult
    loss: Loss
    speed: SpeedResult
    site: SiteResult

    @property
    def key(self) -> str:
        """The key of its build or option in the file."""
        return self.alternative.key

    @property
    def name(self) -> str:
        """What people call it."""
        return self.alternative.name


def build_result(
    point: Outcome,
    middle: Futures,
    futures: Futures,
    held: tuple[FloatArray, Spread, FloatArray],
    loss: Loss,
    *,
    gridded: bool,
) -> BuildResult:
    """Everything told of one alternative.

    Parameters
    ----------
    point
        What it comes to at the middle of every range.
    middle, futures
        What is kept of that, and of every future.
    held
        TB held by month in every future, its spread, and what the studio's confidence asks for.
    loss
        Its chances of loss.
    gridded
        Whether there are several positions.
    """
    drawn = point.drawn
    return BuildResult(
        alternative=point.alternative,
        capacity=capacity_result(point, middle, futures, held, loss.rebuild_h),
        money=money_result(point, middle, futures, gridded=gridded),
        loss=loss,
        speed=speed_result(drawn, point.rates, futures.streams[..., 0]),
        site=site_result(
            drawn,
            point.build,
            point.space,
            point.kept,
            point.power_w_by_month,
            middle.limits,
            futures.limits,
        ),
    )
