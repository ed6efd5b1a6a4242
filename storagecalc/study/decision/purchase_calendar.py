"""The purchase calendar: what every alternative orders, in which month, in how many futures."""

from collections.abc import Iterable
from dataclasses import dataclass

from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.dates import month_date
from storagecalc.study.decision.kept import kept
from storagecalc.study.decision.order_list import OrderRow, order_list
from storagecalc.study.decision.planned_orders import OrderedThing, ordered_thing
from storagecalc.study.decision.room import FURTHER_BOX, MARKED_FRACTION
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.orders import THINGS
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarOrder:
    """All that is ordered together.

    ``month`` is the median among the futures that place it; one in ten of those places it before
    ``month_p10``, one in ten after ``month_p90``. ``cost`` is the mean price of the things in
    the month of the order.
    """

    month: int
    month_p10: int
    month_p90: int
    placed_fraction: float
    things: tuple[OrderedThing, ...]
    cost: float

    @property
    def is_further_box(self) -> bool:
        """Whether it is no step of the alternative's own."""
        return any(thing.what == FURTHER_BOX for thing in self.things)

    @property
    def is_usual(self) -> bool:
        """Whether at least half of the futures place it."""
        return self.placed_fraction >= MARKED_FRACTION


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarLane:
    """One alternative and its orders by month, the first among them."""

    build: BuildResult
    is_recommended: bool
    orders: tuple[CalendarOrder, ...]

    @property
    def usual_orders(self) -> tuple[CalendarOrder, ...]:
        """The orders that at least half of the futures place."""
        return tuple(order for order in self.orders if order.is_usual)


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseCalendar:
    """The orders of all alternatives on one axis of months.

    ``januaries`` has the year of each, by month from the start to the end of the last month.
    """

    lanes: tuple[CalendarLane, ...]
    januaries: dict[int, int]
    months: int

    def lane_of(self, build: BuildResult) -> CalendarLane:
        """The lane of one alternative.

        Parameters
        ----------
        build
            Of the same evaluation.
        """
        return next(lane for lane in self.lanes if lane.build is build)


@kept
def purchase_calendar(evaluation: Evaluation) -> PurchaseCalendar:
    """What every alternative orders, in their order.

    Box, shelf, drives and further boxes; what fewer than ten of a hundred futures order is left
    out. Work and other costs are no purchases.

    Parameters
    ----------
    evaluation
        Without a grid.
    """
    scenario = evaluation.scenario
    chosen = verdict(evaluation).recommended.build
    return PurchaseCalendar(
        lanes=tuple(
            CalendarLane(
                build=build,
                is_recommended=build is chosen,
                orders=_orders(scenario, order_list(build)),
            )
            for build in evaluation.builds
        ),
        januaries=_januaries(scenario),
        months=scenario.horizon_months,
    )


def _orders(scenario: Scenario, rows: Iterable[OrderRow]) -> tuple[CalendarOrder, ...]:
    """Rows of the same futures and months are one order; a further box is always its own."""
    together: dict[tuple[float, ...], list[OrderRow]] = {}
    for row in rows:
        if row.what in THINGS:
            is_box = row.what == FURTHER_BOX
            # By month, then what more futures place, then what is no further box.
            key = (row.month, -row.placed_fraction, is_box, row.month_p10, row.month_p90)
            together.setdefault(key, []).append(row)
    return tuple(_order(scenario, together[key]) for key in sorted(together))


def _order(scenario: Scenario, rows: list[OrderRow]) -> CalendarOrder:
    first = rows[0]
    return CalendarOrder(
        month=first.month,
        month_p10=first.month_p10,
        month_p90=first.month_p90,
        placed_fraction=first.placed_fraction,
        things=tuple(ordered_thing(scenario, row.what, row.count, row.drives) for row in rows),
        cost=sum(row.cost for row in rows),
    )


def _januaries(scenario: Scenario) -> dict[int, int]:
    start = scenario.start_date
    first = (MONTHS_PER_YEAR + 1 - start.month) % MONTHS_PER_YEAR
    januaries = range(first, scenario.horizon_months + 1, MONTHS_PER_YEAR)
    return {month: month_date(start, month).year for month in januaries}
