"""Everything that can be said of an alternative: the one list that all faces read.

Needs, their words, JSON, the comparison table: a measure stands here once, with what it is called,
its unit, which way is better, where it lies in a ``BuildResult``, and how a need on it is judged.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from operator import attrgetter
from typing import Any, Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One figure of an alternative.

    Parameters
    ----------
    key
        Its name in JSON and in ``compare``.
    label
        What people call it, in lower case; ``{span}`` stands for the horizon.
    unit
        TB, TiB, money, months, date, probability, fraction, streams, drives, copies, h, days, W,
        dBA, mm or TB-months.
    better
        Whether more or less of it is better; nothing where neither is.
    at
        Where it lies in a ``BuildResult``.
    shown
        Whether it has a row in the comparison table.
    need
        The need in the scenario that limits it, if there is one.
    judged_at
        Where the numbers lie that the need is judged on: one a future, or one for all of them.
        Empty where that is the measure itself.
    missed
        What is said of an alternative that misses the need.
    """

    key: str
    label: str
    unit: str
    better: Literal["more", "less", ""]
    at: str
    shown: bool = True
    need: str = ""
    judged_at: str = ""
    missed: str = ""

    def of(self, result: Any) -> Any:
        """The measure of a ``BuildResult``: a number, or a ``Spread``."""
        return attrgetter(self.at)(result)

    def judged(self, result: Any) -> Any:
        """What its need is judged on: a number, or one a future."""
        return attrgetter(self.judged_at or self.at)(result)


MEASURES = (
    Measure(
        key="upfront_cost", label="cost on day one", unit="money", better="less",
        at="money.upfront_cost", need="upfront_cost", missed="too much",
    ),
    Measure(
        key="net_present_cost", label="all costs over {span}, in today's money, mean",
        unit="money", better="less", at="money.net_present_cost",
    ),
    Measure(
        key="cost_per_year", label="cost of the dearest later year", unit="money", better="less",
        at="money.dearest_later_year_cost", shown=False, need="cost_per_year",
        judged_at="money.dearest_later_year_cost_by_draw", missed="too much",
    ),
    Measure(
        key="nominal_tb", label="what the labels on the drives say", unit="TB", better="more",
        at="capacity.ladder.nominal_tb", shown=False,
    ),
    Measure(
        key="usable_tb", label="usable space as bought", unit="TB", better="more",
        at="capacity.ladder.usable_tb",
    ),
    Measure(
        key="usable_tib", label="the same as an operating system shows it", unit="TiB",
        better="more", at="capacity.usable_tib",
    ),
    Measure(
        key="plannable_tb", label="space to plan with, as bought", unit="TB", better="more",
        at="capacity.ladder.plannable_tb",
    ),
    Measure(
        key="full_plannable_tb", label="the same with all bays full", unit="TB", better="more",
        at="capacity.full_ladder.plannable_tb",
    ),
    Measure(
        key="cost_per_usable_tb", label="cost of a usable TB, as bought", unit="money",
        better="less", at="money.cost_per_usable_tb",
    ),
    Measure(
        key="full_cost_per_usable_tb", label="the same with all bays full", unit="money",
        better="less", at="money.full_cost_per_usable_tb",
    ),
    Measure(
        key="cost_per_plannable_tb", label="cost of a TB to plan with, as bought", unit="money",
        better="less", at="money.cost_per_plannable_tb",
    ),
    Measure(
        key="full_cost_per_plannable_tb", label="the same with all bays full", unit="money",
        better="less", at="money.full_cost_per_plannable_tb",
    ),
    Measure(
        key="full_cost", label="hardware with all bays full", unit="money", better="less",
        at="money.full_cost", shown=False,
    ),
    Measure(
        key="levelised_cost_per_tb_year", label="cost of holding a TB for a year", unit="money",
        better="less", at="money.levelised_cost_per_tb_year",
    ),
    Measure(
        key="remedy_cost", label="of which for footage it cannot hold", unit="money",
        better="less", at="money.remedy_cost", shown=False,
    ),
    Measure(
        key="unmet_tb_months", label="footage it cannot hold itself", unit="TB-months",
        better="less", at="capacity.unmet_tb_months", shown=False,
    ),
    Measure(
        key="first_fill_months", label="until it is full as bought", unit="months", better="more",
        at="capacity.first_fill_months",
    ),
    Measure(
        key="headroom_months", label="until it is full with every step", unit="months",
        better="more", at="capacity.headroom_months", need="headroom_months",
        judged_at="capacity.headroom_months_by_draw", missed="too short",
    ),
    Measure(
        key="first_order_by_date", label="order again by", unit="date", better="",
        at="capacity.first_order_months",
    ),
    Measure(
        key="fills_within_horizon_fraction", label="futures in which it fills as bought",
        unit="fraction", better="less", at="capacity.fills_fraction", shown=False,
    ),
    Measure(
        key="box_loss_probability", label="drives alone lose the box in {span}",
        unit="probability", better="less", at="loss.box_loss_probability",
        need="loss_probability", judged_at="loss.box_loss_probability_at_confidence",
        missed="too likely",
    ),
    Measure(
        key="box_loss_probability_at_middle_rate", label="the same at a middling failure rate",
        unit="probability", better="less", at="loss.box_loss_probability_at_middle_rate",
        shown=False,
    ),
    Measure(
        key="box_loss_probability_low", label="the same at a low failure rate",
        unit="probability", better="less", at="loss.box_loss_probability_low", shown=False,
    ),
    Measure(
        key="box_loss_probability_high", label="the same at a high failure rate",
        unit="probability", better="less", at="loss.box_loss_probability_high", shown=False,
    ),
    Measure(
        key="expected_tb_lost", label="TB lost on average", unit="TB", better="less",
        at="loss.expected_tb_lost", shown=False,
    ),
    Measure(
        key="copies", label="copies of everything, the box among them", unit="copies",
        better="more", at="capacity.copies", shown=False, need="copies", missed="too few",
    ),
    Measure(
        key="rebuild_h", label="rebuild, wait included", unit="h", better="less",
        at="loss.rebuild_h",
    ),
    Measure(
        key="swap_slow_days", label="slow and short of a drive while it is swapped", unit="days",
        better="less", at="capacity.swap_slow_days", shown=False,
    ),
    Measure(
        key="streams", label="editors' streams at once", unit="streams", better="more",
        at="speed.streams", need="streams", missed="too few",
    ),
    Measure(
        key="power_w", label="power, mean", unit="W", better="less", at="site.power_w",
    ),
    Measure(
        key="noise_dba", label="noise at the nearest desk", unit="dBA", better="less",
        at="site.noise_dba", need="noise_dba", missed="too loud",
    ),
    Measure(
        key="depth_mm", label="depth with plugs", unit="mm", better="less", at="site.depth_mm",
        shown=False, need="depth_mm", missed="too deep",
    ),
    Measure(
        key="drive_replacements", label="drives that fail", unit="drives", better="less",
        at="capacity.drive_failures",
    ),
)  # fmt: skip

NEEDS = {measure.need: measure for measure in MEASURES if measure.need}


def measures_of(result: Any) -> Iterator[tuple[Measure, Any]]:
    """Every measure of an alternative, with its value."""
    return ((measure, measure.of(result)) for measure in MEASURES)
