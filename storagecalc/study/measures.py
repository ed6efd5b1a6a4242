"""Everything that can be said of an alternative: the one list that all faces read.

Needs, their words, JSON, the comparison table: a measure stands here once, with what it is called,
its unit, which way is better, where it lies in a ``BuildResult``, and how a need on it is judged.
"""

from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass
from operator import attrgetter
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure of an alternative.

    Parameters
    ----------
    key
        Its name in JSON and in ``compare``.
    label
        What people call it, in lower case; ``{span}`` stands for the horizon.
    unit
        TB, TiB, TB-months, money, months, date, probability, fraction, streams, drives, boxes,
        copies, h, days, W, BTU/h, m3/h, MB/s, kg, dBA or mm.
    better
        Whether more or less of it is better; nothing where neither is.
    at
        Where it lies in a ``BuildResult``.
    shown
        Whether it has a row in the comparison table.
    placed
        Whether it has a row in the table of place and speed.
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
    _: KW_ONLY
    shown: bool = True
    placed: bool = False
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
    Measure("upfront_cost", "to pay on day one", "money", "less", "money.upfront_cost",
            need="upfront_cost", judged_at="money.upfront_cost_by_draw", missed="too much"),
    Measure("net_present_cost", "all costs over {span}, in today's money", "money", "less",
            "money.net_present_cost"),
    Measure("remedy_cost", "of which for what its own steps cannot hold", "money", "less",
            "money.remedy_cost"),
    Measure("cost_per_year", "cost of the dearest later year", "money", "less",
            "money.dearest_later_year_cost", shown=False, need="cost_per_year",
            judged_at="money.dearest_later_year_cost_by_draw", missed="too much"),
    Measure("nominal_tb", "what the labels on the drives say", "TB", "more",
            "capacity.ladder.nominal_tb", shown=False),
    Measure("usable_tb", "usable space as bought", "TB", "more", "capacity.ladder.usable_tb"),
    Measure("usable_tib", "usable space as an operating system shows it", "TiB", "more",
            "capacity.usable_tib"),
    Measure("plannable_tb", "space to plan with, as bought", "TB", "more",
            "capacity.ladder.plannable_tb"),
    Measure("full_plannable_tb", "space to plan with, all steps taken", "TB", "more",
            "capacity.full_ladder.plannable_tb"),
    Measure("cost_per_usable_tb", "cost of a usable TB, as bought", "money", "less",
            "money.cost_per_usable_tb"),
    Measure("full_cost_per_usable_tb", "cost of a usable TB, all bays full", "money", "less",
            "money.full_cost_per_usable_tb"),
    Measure("cost_per_plannable_tb", "cost of a TB to plan with, as bought", "money", "less",
            "money.cost_per_plannable_tb"),
    Measure("full_cost_per_plannable_tb", "cost of a TB to plan with, all bays full", "money",
            "less", "money.full_cost_per_plannable_tb"),
    Measure("full_cost", "hardware with all bays full", "money", "less", "money.full_cost",
            shown=False),
    Measure("levelised_cost_per_tb_year", "cost of holding a TB for a year", "money", "less",
            "money.levelised_cost_per_tb_year"),
    Measure("unmet_tb_months", "footage its own steps cannot hold", "TB-months", "less",
            "capacity.unmet_tb_months", shown=False),
    Measure("further_boxes", "further boxes within {span}", "boxes", "less",
            "capacity.further_boxes"),
    Measure("asked_tb", "space to plan with that would last as long as asked", "TB", "",
            "capacity.asked_tb", shown=False),
    Measure("first_fill_months", "lasts as bought", "months", "more",
            "capacity.first_fill_months"),
    Measure("headroom_months", "lasts before a new box is needed", "months", "more",
            "capacity.headroom_months", need="headroom_months",
            judged_at="capacity.headroom_months_by_draw", missed="too short"),
    Measure("first_order_by_date", "next order by", "date", "", "capacity.first_order_months"),
    Measure("fills_within_horizon_fraction", "futures in which it fills as bought", "fraction",
            "less", "capacity.fills_fraction", shown=False),
    Measure("box_loss_probability",
            "drive failures alone destroy everything in a pool within {span}", "probability",
            "less", "loss.box_loss_probability", need="loss_probability", missed="too likely"),
    Measure("box_loss_probability_at_middle_rate", "the same at a middling failure rate",
            "probability", "less", "loss.box_loss_probability_at_middle_rate", shown=False),
    Measure("box_loss_probability_low", "the same at a low failure rate", "probability", "less",
            "loss.box_loss_probability_low", shown=False),
    Measure("box_loss_probability_high", "the same at a high failure rate", "probability", "less",
            "loss.box_loss_probability_high", shown=False),
    Measure("lost_at_once_tb", "lost at once with the largest pool", "TB", "less",
            "loss.lost_at_once_tb"),
    Measure("expected_tb_lost", "TB lost on average", "TB", "less", "loss.expected_tb_lost",
            shown=False),
    Measure("copies", "copies of everything, the box among them", "copies", "more",
            "capacity.copies", shown=False, need="copies",
            judged_at="capacity.copies_by_draw", missed="too few"),
    Measure("rebuild_h", "rebuild, wait included", "h", "less", "loss.rebuild_h"),
    Measure("swap_slow_days", "slow and short of a drive while it is swapped", "days", "less",
            "capacity.swap_slow_days", shown=False),
    Measure("streams", "editors' streams at once", "streams", "more", "speed.streams",
            need="streams", judged_at="speed.streams_by_draw", missed="too few"),
    Measure("pool_mb_s", "what the drives read together", "MB/s", "more", "speed.pool_mb_s",
            shown=False, placed=True),
    Measure("box_link_mb_s", "what the link of the box carries", "MB/s", "more",
            "speed.box_link_mb_s", shown=False, placed=True),
    Measure("desk_link_mb_s", "what the link of a desk carries", "MB/s", "more",
            "speed.desk_link_mb_s", shown=False, placed=True),
    Measure("stream_mb_s", "what one stream takes", "MB/s", "", "speed.stream_mb_s",
            shown=False, placed=True),
    Measure("desk_share_mb_s", "what each desk gets when all pull at once", "MB/s", "more",
            "speed.desk_share_mb_s", shown=False, placed=True),
    Measure("power_w", "power, mean", "W", "less", "site.power_w"),
    Measure("full_power_w", "power without further boxes, all bays full", "W", "less",
            "site.full_power_w", shown=False, placed=True),
    Measure("peak_power_w", "power in the month with most, further boxes included", "W", "less",
            "site.peak_power_w", shown=False, placed=True),
    Measure("circuit_left_w", "left on the circuit, all bays full", "W", "more",
            "site.circuit_left_w", shown=False, placed=True),
    Measure("heat_btu_h", "heat to carry away, all bays full", "BTU/h", "less",
            "site.heat_btu_h", shown=False, placed=True),
    Measure("airflow_m3_h", "air that carries it away", "m3/h", "less", "site.airflow_m3_h",
            shown=False, placed=True),
    Measure("noise_dba", "noise at the nearest desk", "dBA", "less", "site.noise_dba",
            need="noise_dba", judged_at="site.noise_dba_by_draw", missed="too loud"),
    Measure("weight_kg", "weight with its drives", "kg", "less", "site.weight_kg", shown=False,
            placed=True),
    Measure("depth_mm", "depth with plugs", "mm", "less", "site.depth_mm", shown=False,
            placed=True, need="depth_mm", judged_at="site.depth_mm_by_draw", missed="too deep"),
    Measure("drive_failures", "drives that fail", "drives", "less",
            "capacity.drive_failures"),
)  # fmt: skip

NEEDS = {measure.need: measure for measure in MEASURES if measure.need}


def measures_of(result: Any) -> Iterator[tuple[Measure, Any]]:
    """Every measure of an alternative, with its value."""
    return ((measure, measure.of(result)) for measure in MEASURES)
