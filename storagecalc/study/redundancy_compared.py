"""Each build with each redundancy its drives allow, and with spares: space, rebuilds, loss.

At the middle of every range; loss is averaged over what is not known of the failure rate, as
everywhere. Each build grows by its own rule, so with a redundancy that leaves less space it has
more drives sooner.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from storagecalc.models.checks import checked
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.draws import numbers_for, rate_lanes
from storagecalc.study.parts.capacity import Capacity, capacity
from storagecalc.study.parts.held import Held, held
from storagecalc.study.parts.loss import Loss, loss
from storagecalc.study.parts.purchases import Purchases, last_order_month, purchases
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

REPAIRS = ("parallel", "one at a time")
PARITIES = ("none", "single parity", "double parity", "triple parity")
# Hot and cold spares to set beside those that a build has.
SPARES = ((0, 0), (0, 1), (1, 0))
YEARS_APART = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class LossOverYears:
    """The chance that drives alone lose the whole box within each of some numbers of years.

    Averaged over what is not known of the failure rate; ``_low`` and ``_high`` hold over all the
    years at the rate that one model of drives in ten stays below, and one in ten goes above.
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
    """One build with one redundancy and its spares; ``as_written`` where the file has it so.

    ``plannable_tb`` is as bought. ``by_repair`` has the loss by how broken drives are rebuilt: all
    at once ("parallel") or in turn ("one at a time").
    """

    build_key: str
    name: str
    redundancy: str
    hot_spares: int
    cold_spares: int
    as_written: bool
    plannable_tb: float
    rebuild_h: float
    read_error_probability: float
    by_repair: Mapping[str, LossOverYears]


@dataclass(frozen=True, slots=True, kw_only=True)
class RedundancyCompared:
    """Rows in the order of the builds, from the least parity to the most, mirrors last.

    ``years`` are those of the losses, the last one the horizon. ``spares`` has rows that keep each
    build's redundancy and change its spares; their losses are told for the horizon only, and as
    the scenario rebuilds.
    """

    scenario: Scenario
    years: tuple[float, ...]
    rows: tuple[RedundancyRow, ...]
    spares: tuple[RedundancyRow, ...]


def redundancy_compared(
    scenario: Scenario, *, years: Sequence[float] | None = None
) -> RedundancyCompared:
    """What parity, mirrors and spares do to each build's space, rebuilds and chance of loss.

    Redundancies that the drives at first cannot form are left out: three parities need four
    drives, striped mirrors an even number.

    Parameters
    ----------
    scenario
        Any scenario; its ranges stand at their middle.
    years
        After how many years the chance of loss is told, each above 0; those beyond the horizon are
        left out, and the horizon always comes last. Left out: every other year from the first.

    Raises
    ------
    ValueError
        Where a number of years is not above 0.
    """
    months = _months(scenario, years)
    ground = _Ground.of(scenario)
    rows = [ground.rows(each, months, REPAIRS) for each in _kinds(scenario)]
    own_repair = (scenario.rebuild.repair,)
    spares = [ground.rows(each, months[-1:], own_repair) for each in _spares(scenario)]
    return RedundancyCompared(
        scenario=scenario,
        years=tuple(count / MONTHS_PER_YEAR for count in months),
        rows=_by_build(scenario, rows),
        spares=_by_build(scenario, spares),
    )


# Builds of the scenario as plain tables, changed, by key; those that cannot be so are not in it.
_Changed = dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class _Ground:
    """What no redundancy changes: the footage, and the failure rates laid out by build."""

    scenario: Scenario
    footage: Held
    rates: Mapping[str, Any]

    @classmethod
    def of(cls, scenario: Scenario) -> "_Ground":
        numbers = numbers_for(scenario, draws=0, seed=0, positions=None)
        middle = numbers.of(scenario)
        confidence = scenario.needs.confidence_fraction
        rates = {
            key: rate_lanes(middle, numbers.ranges, build.drive_classes, confidence)
            for key, build in middle.builds.items()
        }
        return cls(scenario, held(middle), rates)

    def rows(
        self, changed: _Changed, months: Sequence[int], repairs: Sequence[str]
    ) -> list[RedundancyRow]:
        """One row for each changed build."""
        written = self.scenario.as_written()["builds"]
        # The whole table at once: a name with a dot in it would not survive as a dotted key.
        varied = self.scenario.varied({"builds": {**written, **changed}})
        numbers = numbers_for(varied, draws=0, seed=0, positions=None).of(varied)
        return [self._row(numbers, key, months, repairs) for key in changed]

    def _row(
        self, numbers: Scenario, key: str, months: Sequence[int], repairs: Sequence[str]
    ) -> RedundancyRow:
        build, before = numbers.builds[key], self.scenario.builds[key]
        space = capacity(numbers, build)
        bought = purchases(build, space, self.footage, last_order_month(numbers, build))
        found = {
            repair: self._losses(_repaired(numbers, repair), key, space, bought, months)
            for repair in repairs
        }
        whole = found[repairs[0]][-1]
        fields = ("redundancy", "hot_spares", "cold_spares")
        return RedundancyRow(
            build_key=key,
            name=numbers.build_name(key),
            redundancy=build.redundancy,
            hot_spares=build.hot_spares,
            cold_spares=build.cold_spares,
            as_written=all(getattr(build, name) == getattr(before, name) for name in fields),
            plannable_tb=float(space.ladder.plannable_tb[0, 0, 0]),
            rebuild_h=float(whole.rebuild_h[0]),
            read_error_probability=float(whole.read_error_probability[0]),
            by_repair={repair: _over_years(losses) for repair, losses in found.items()},
        )

    def _losses(
        self,
        numbers: Scenario,
        key: str,
        space: Capacity,
        bought: Purchases,
        months: Sequence[int],
    ) -> list[Loss]:
        """The loss within each number of months: that of the purchases cut off there."""
        steps, held_tb = bought.steps_in_place_by_month, self.footage.held_tb_by_month
        return [
            loss(
                numbers,
                numbers.builds[key],
                space,
                replace(bought, steps_in_place_by_month=steps[..., :count]),
                held_tb[..., :count],
                self.rates[key],
            )
            for count in months
        ]


def _repaired(numbers: Scenario, repair: str) -> Scenario:
    rebuild = numbers.rebuild.model_copy(update={"repair": repair})
    return numbers.model_copy(update={"rebuild": rebuild})


def _over_years(losses: Sequence[Loss]) -> LossOverYears:
    return LossOverYears(
        loss_probability_by_year=tuple(float(each.box_loss_probability[0]) for each in losses),
        loss_probability_low=float(losses[-1].box_loss_probability_low[0]),
        loss_probability_high=float(losses[-1].box_loss_probability_high[0]),
    )


def _months(scenario: Scenario, years: Sequence[float] | None) -> tuple[int, ...]:
    whole = scenario.horizon_months
    if years is None:
        asked = list(range(MONTHS_PER_YEAR, whole, YEARS_APART * MONTHS_PER_YEAR))
    else:
        asked = [round(checked("years", each, above=0) * MONTHS_PER_YEAR) for each in years]
    return (*sorted({count for count in asked if 0 < count < whole}), whole)


def _by_build(
    scenario: Scenario, found: Sequence[Sequence[RedundancyRow]]
) -> tuple[RedundancyRow, ...]:
    """Rows found kind by kind, put in the order of the builds."""
    rows = [row for each in found for row in each]
    return tuple(row for key in scenario.builds for row in rows if row.build_key == key)


def _kinds(scenario: Scenario) -> list[_Changed]:
    """Every build without, and with each kind of redundancy that its drives can form."""
    kinds = [dict.fromkeys(scenario.builds, parity) for parity in PARITIES]
    kinds.append({key: _mirrors(build) for key, build in scenario.builds.items()})
    return [
        _possible(scenario, {key: _redundant(scenario.builds[key], kind[key]) for key in kind})
        for kind in kinds
    ]


def _mirrors(build: Build) -> str:
    """The kind of mirror for a build: its own, or pairs, which in two bays are one mirror."""
    if "mirror" in build.redundancy:
        return build.redundancy
    return "mirror" if build.bays == 2 else "striped mirrors"


def _redundant(build: Build, kind: str) -> dict[str, Any]:
    """What changes in a build that gets another redundancy; mirrors grow by pairs."""
    if kind == "striped mirrors" and build.grows_by in ("one drive", "groups"):
        pairs = build.drives_per_step + build.drives_per_step % 2
        return {"redundancy": kind, "grows_by": "groups", "drives_per_step": pairs}
    return {"redundancy": kind}


def _spares(scenario: Scenario) -> list[_Changed]:
    """Every build without a spare, with a cold one, with a hot one, and with its own."""
    own = {
        key: {"hot_spares": build.hot_spares, "cold_spares": build.cold_spares}
        for key, build in scenario.builds.items()
        if (build.hot_spares, build.cold_spares) not in SPARES
    }
    named = [
        {key: {"hot_spares": hot, "cold_spares": cold} for key in scenario.builds}
        for hot, cold in SPARES
    ]
    return [_possible(scenario, each) for each in (*named, own)]


def _possible(scenario: Scenario, changes: Mapping[str, Mapping[str, Any]]) -> _Changed:
    """Builds with their changes, as far as their drives can be laid out so."""
    written = scenario.as_written()["builds"]
    changed = {key: {**written[key], **change} for key, change in changes.items()}
    return {key: table for key, table in changed.items() if _can_be_built(table)}


def _can_be_built(table: dict[str, Any]) -> bool:
    try:
        Build.model_validate(table)
    except ValidationError:
        return False
    return True
