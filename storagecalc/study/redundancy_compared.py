"""Each build with each redundancy its drives allow, and with spares: space, rebuilds, loss.

At the middle of every range; loss is averaged over what is not known of the failure rate, as
everywhere. Each build grows by its own rule, so a redundancy that leaves less space has more
drives sooner.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.draws import Numbers, numbers_for, rate_lanes
from storagecalc.study.parts.capacity import Capacity, capacity
from storagecalc.study.parts.held import Held, held
from storagecalc.study.parts.loss import Loss, loss
from storagecalc.study.parts.purchases import Purchases, last_order_month, purchases
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

CONVENTIONS = ("parallel", "one at a time")
PARITIES = ("none", "single parity", "double parity", "triple parity")
SPARES = {"no spare": (0, 0), "a cold spare": (0, 1), "a hot spare": (1, 0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class LossOverYears:
    """The chance that drives alone lose the whole box within each of some numbers of years.

    Averaged over what is not known of the failure rate; ``low`` and ``high`` hold at the rate one
    in ten drives stay below, and one in ten go above.
    """

    loss_probability_by_year: tuple[float, ...]
    loss_probability_low: float
    loss_probability_high: float

    @property
    def loss_probability(self) -> float:
        """Within all the years looked at."""
        return self.loss_probability_by_year[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class RedundancyRow:
    """One build with one redundancy or spare; ``as_written`` where the file has it so.

    ``by_convention`` has the loss with drives rebuilt at once ("parallel") and in turn.
    """

    build_key: str
    name: str
    redundancy: str
    spare: str
    as_written: bool
    plannable_tb: float
    rebuild_h: float
    read_error_probability: float
    by_convention: Mapping[str, LossOverYears]


@dataclass(frozen=True, slots=True, kw_only=True)
class RedundancyCompared:
    """Rows in the order of the builds, each from the least protection to the most.

    ``years`` are those of the losses, the last one the horizon. ``spares`` keeps each build's own
    redundancy and changes its spares.
    """

    scenario: Scenario
    years: tuple[float, ...]
    rows: tuple[RedundancyRow, ...]
    spares: tuple[RedundancyRow, ...]


def redundancy_compared(
    scenario: Scenario, *, years: Sequence[float] | None = None
) -> RedundancyCompared:
    """What parity, mirrors and spares do to each build's space, rebuilds and chance of loss.

    Redundancies that a build's drives cannot form are left out: three parities need four drives,
    striped mirrors an even number.

    Parameters
    ----------
    scenario
        Any scenario; ranges stand at their middle.
    years
        After how many years the chance of loss is told, rising; the horizon always comes last.
        Left out: 1, 3, 5, …

    Raises
    ------
    ValueError
        Where a number of years is not above 0.
    """
    months = _months(scenario, years)
    footage = held(_at_middle(scenario)[1])
    rows = {
        key: list(_redundancy_rows(scenario, key, changed, months, footage))
        for key, changed in _redundancies(scenario).items()
    }
    found = [row for key in scenario.builds for row in rows[key]]
    return RedundancyCompared(
        scenario=scenario,
        years=tuple(count / MONTHS_PER_YEAR for count in months),
        rows=tuple(found),
        spares=(),
    )
