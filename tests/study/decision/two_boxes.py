"""Two boxes whose costs differ by what one can work out by hand."""

from typing import Any

from study.small import SMALL, with_tables

from storagecalc import Scenario
from storagecalc.study.scenario.load import scenario_from

# A box of 50 W more draws 50 x 0.73 kWh a month, 24 months long.
KWH_MORE = 50 * 0.73 * 24


def two_boxes(thrifty: dict[str, Any], **tables: Any) -> Scenario:
    """The small studio with its box, and another like it but for what is given.

    Nothing is worth anything at the end.
    """
    small = scenario_from(SMALL, source="by hand")
    worthless = {
        "prices.box_value_kept_per_year_fraction": 0,
        "prices.drive_value_kept_per_year_fraction": 0,
    }
    other = {**SMALL["builds"]["box"], **thrifty}
    return with_tables(small, {"builds.thrifty": other, **worthless, **tables})
