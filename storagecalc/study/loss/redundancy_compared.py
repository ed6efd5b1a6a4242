"""Each build with each redundancy its drives allow, and with spares: space, rebuilds, loss.

At the middle of every range; loss is averaged over what is not known of the failure rate, as
everywhere. Each build grows by its own rule, so with a redundancy that leaves less space it has
more drives sooner.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from storagecalc.models.checks import FloatArray, checked
from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.capacity.consequences import consequences
from storagecalc.study.capacity.growth import growth
from storagecalc.study.capacity.owned import kept_boxes
from storagecalc.study.capacity.space import space
from storagecalc.study.footage.footage import footage
from storagecalc.study.loss.box_loss import Loss, LossCase, losses_within
from storagecalc.study.loss.cases import loss_case
from storagecalc.study.loss.failure_rates import FailureRates, failure_rates
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

REPAIRS = ("parallel", "one at a time")
PARITIES = ("none", "single parity", "double parity", "triple parity")
# Hot and cold spares to set beside those that a build has.
SPARES = ((0, 0), (0, 1), (1, 0))
YEARS_APART = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class LossOverYears:
    """The chance that drive failures alone destroy a pool of the first box within so many years.

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
    scenario: Scenario, *, years: Sequence[float] | None = None, with_spares: bool = True
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
    with_spares
        False leaves the rows of spares empty, which takes a third of the time off.

    Raises
    ------
    ValueError
        Where a number of years is not above 0.
    """
    months = _months(scenario, years)
    kinds, spares = _kinds(scenario), _spares(scenario) if with_spares else []
    own_repair = (scenario.rebuild.repair,)
    return RedundancyCompared(
        scenario=scenario,
        years=tuple(count / MONTHS_PER_YEAR for count in months),
        rows=_rows(scenario, kinds, months, REPAIRS),
        spares=_rows(scenario, spares, months[-1:], own_repair),
    )


@dataclass(frozen=True, slots=True)
class _Variant:
    """A build of the scenario with something changed, as a plain table."""

    build_key: str
    table: dict[str, Any]


def _middle(
    scenario: Scenario, variants: Sequence[_Variant]
) -> tuple[Scenario, FailureRates, list[LossCase]]:
    """The variants as builds of one scenario at its middle, so that all of it is checked once."""
    written = scenario.as_written()["builds"]
    # No build has a key as long as these.
    width = max(len(key) for key in written) + len(str(len(variants)))
    keys = [str(number).zfill(width + 1) for number in range(len(variants))]
    tables = {
        key: {**variant.table, "name": key} for key, variant in zip(keys, variants, strict=True)
    }
    sample = sampler(scenario.varied({"builds": {**written, **tables}}))
    drawn = sample.middle()
    rates = failure_rates(drawn, sample.ranges, {})
    held_tb = footage(drawn).held_tb_by_month
    return drawn, rates, [_case(drawn, drawn.builds[key], held_tb) for key in keys]


def _case(drawn: Scenario, build: Build, held_tb_by_month: FloatArray) -> LossCase:
    room = space(drawn, build)
    kept = kept_boxes(drawn, build)
    grown = growth(drawn, build, room, held_tb_by_month, None, kept)
    brought = consequences(drawn, build, room, grown, held_tb_by_month, None, kept)
    # What is kept beside it holds its share, but the rows are about the first box.
    alone = replace(brought, kept=())
    return loss_case(room, grown, alone, (), held_tb_by_month)


def _rows(
    scenario: Scenario,
    variants: Sequence[_Variant],
    months: Sequence[int],
    repairs: Sequence[str],
) -> tuple[RedundancyRow, ...]:
    if not variants:
        return ()
    drawn, rates, cases = _middle(scenario, variants)
    named = {str(number): case for number, case in enumerate(cases)}
    found = {
        repair: losses_within(_repaired(drawn, repair), named, rates, months) for repair in repairs
    }
    return tuple(
        _row(scenario, variant, case, {repair: found[repair][str(number)] for repair in repairs})
        for number, (variant, case) in enumerate(zip(variants, cases, strict=True))
    )


def _row(
    scenario: Scenario, variant: _Variant, case: LossCase, by_repair: Mapping[str, Sequence[Loss]]
) -> RedundancyRow:
    build, before = case.build, scenario.builds[variant.build_key]
    whole = next(iter(by_repair.values()))[-1]
    fields = ("redundancy", "hot_spares", "cold_spares")
    return RedundancyRow(
        build_key=variant.build_key,
        name=scenario.build_name(variant.build_key),
        redundancy=build.redundancy,
        hot_spares=build.hot_spares,
        cold_spares=build.cold_spares,
        as_written=all(getattr(build, name) == getattr(before, name) for name in fields),
        plannable_tb=float(case.space.ladder.plannable_tb[0, 0, 0]),
        rebuild_h=float(whole.rebuild_h[0]),
        read_error_probability=float(whole.read_error_probability[0]),
        by_repair={repair: _over_years(found) for repair, found in by_repair.items()},
    )


def _repaired(drawn: Scenario, repair: str) -> Scenario:
    rebuild = drawn.rebuild.model_copy(update={"repair": repair})
    return drawn.model_copy(update={"rebuild": rebuild})


def _over_years(found: Sequence[Loss]) -> LossOverYears:
    return LossOverYears(
        loss_probability_by_year=tuple(float(each.box_loss_probability[0]) for each in found),
        loss_probability_low=float(found[-1].box_loss_probability_low[0]),
        loss_probability_high=float(found[-1].box_loss_probability_high[0]),
    )


def _months(scenario: Scenario, years: Sequence[float] | None) -> tuple[int, ...]:
    whole = scenario.horizon_months
    if years is None:
        asked = list(range(MONTHS_PER_YEAR, whole, YEARS_APART * MONTHS_PER_YEAR))
    else:
        asked = [round(checked("years", each, above=0) * MONTHS_PER_YEAR) for each in years]
    return (*sorted({count for count in asked if 0 < count < whole}), whole)


def _kinds(scenario: Scenario) -> list[_Variant]:
    """Every build without, and with each kind of redundancy that its drives can form."""
    return [
        variant
        for key, build in scenario.builds.items()
        for kind in _kinds_of(build)
        for variant in _possible(scenario, key, _redundant(build, kind))
    ]


def _kinds_of(build: Build) -> list[str]:
    """Redundancies to try; in two bays parity would be a mirror, so only what is written counts."""
    parities = PARITIES if build.bays > 2 else ("none", build.redundancy)
    return list(dict.fromkeys((*parities, _mirrors(build))))


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


def _spares(scenario: Scenario) -> list[_Variant]:
    """Every build without a spare, with a cold one, with a hot one, and with its own."""
    return [
        variant
        for key, build in scenario.builds.items()
        for hot, cold in dict.fromkeys((*SPARES, (build.hot_spares, build.cold_spares)))
        for variant in _possible(scenario, key, {"hot_spares": hot, "cold_spares": cold})
    ]


def _possible(scenario: Scenario, key: str, change: Mapping[str, Any]) -> list[_Variant]:
    """The build with a change, if its drives can be laid out so."""
    table = {**scenario.builds[key].model_dump(exclude_unset=True, exclude_none=True), **change}
    try:
        Build.model_validate(table)
    except ValidationError:
        return []
    return [_Variant(key, table)]
