"""What a reader must know before acting on an evaluation. Facts only; views/text has the words."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from storagecalc.models.units import MONTHS_PER_YEAR
from storagecalc.study.capacity.steps import MOST_FURTHER_BOXES
from storagecalc.study.dates import month_date, months_between
from storagecalc.study.decision.needs import ungridded
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.study.sampling import month_spread_fraction
from storagecalc.study.scenario.footage import Step, example_curves
from storagecalc.study.scenario.owned import OF_THE_BOX, Owned, left_to_its_box
from storagecalc.study.scenario.quantity import Entry, entries, middle
from storagecalc.study.scenario.scenario import Scenario

# Recommended weight limit of the revised NIOSH lifting equation at its ideal posture.
# Source: Waters, Putz-Anderson, Garg, "Applications Manual for the Revised NIOSH Lifting
# Equation", NIOSH publication 94-110, 1994: load constant 23 kg.
IDEAL_LIFT_KG = 23.0
NOTEWORTHY_READ_ERROR_PROBABILITY = 0.05
# The studio's rule orders too late where it does so in half of the futures.
LATE_FRACTION = 0.5
# Too many boxes in so many futures are told.
MOST_FRACTION = 0.1
# Less of the costs than this is not worth a caution.
NOTABLE_FRACTION = 0.02
# Every kind there is: what can hurt people first, then what loses footage, money or time.
KINDS = (
    "one copy", "circuit", "circuit later", "weight", "mains", "independence", "read error",
    "worn-out drives", "worn-out box", "not kept", "full from the start", "order at once",
    "starts too late", "rule orders too late", "too many boxes", "streams short", "desk link",
    "too loud later", "too deep later", "class ends", "shortage", "prices", "remedy", "guesses",
    "lumps", "middle only",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution: its kind, the build it concerns (or none), and its figures by name.

    Shares of futures are None where nothing was drawn.
    """

    kind: str
    build: str | None
    facts: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class BorrowedCurve:
    """A keep rule that takes over an example of the table, and what the table says of it."""

    rule: str
    like: str
    steps: tuple[Step, ...]
    status: str


def cautions(evaluation: Evaluation) -> tuple[Caution, ...]:
    """Everything to be wary of, in the order of ``KINDS``; of one kind in the order of the builds.

    Raises
    ------
    ValueError
        Where the evaluation still has a grid.
    """
    ungridded(evaluation)
    found = list(_general(evaluation))
    for build in evaluation.builds:
        found += _of_build(evaluation, build)
    return tuple(sorted(found, key=lambda caution: KINDS.index(caution.kind)))


def assumed(evaluation: Evaluation) -> tuple[Entry, ...]:
    """Every quantity whose default was used because the scenario does not give it."""
    needless = ("needs.",)
    return tuple(
        entry
        for entry in entries(evaluation.scenario)
        if not entry.written
        and not entry.key.startswith(needless)
        and _matters(evaluation.scenario, entry.key)
    )


def borrowed_curves(evaluation: Evaluation) -> tuple[BorrowedCurve, ...]:
    """Every keep rule that says ``like``: an assumption as much as a default is."""
    return tuple(
        BorrowedCurve(
            rule=name,
            like=rule.like,
            steps=rule.curve,
            status=example_curves()[rule.like][0]["status"],
        )
        for name, rule in evaluation.scenario.keep.items()
        if rule.like is not None
    )


def _matters(scenario: Scenario, key: str) -> bool:
    """False where the rest of the scenario leaves a default nothing to act on."""
    section, _, rest = key.partition(".")
    name, _, field = rest.rpartition(".")
    if section == "work" and field == "job_size_spread_fraction":
        return scenario.work[name].jobs_per_month is not None
    if section == "builds" and field in OF_THE_BOX:
        return not left_to_its_box(scenario.builds[name], field)
    if section == "owned":
        return any(
            name in each.keeps or (each.starts_in == name and left_to_its_box(each, field))
            for each in scenario.builds.values()
        )
    if section == "keep" and field == "fetched_back_fraction_per_year":
        return bool(scenario.keep[name].places)
    return True


def _general(evaluation: Evaluation) -> Iterator[Caution]:
    scenario = evaluation.scenario
    yield Caution(kind="one copy", build=None, facts={"copies": scenario})
    yield Caution(kind="independence", build=None, facts={})
    if scenario.prices_are != "quoted":
        yield Caution(kind="prices", build=None, facts={"are": scenario.prices_are})
    guesses = [entry for entry in assumed(evaluation) if entry.quantity.status == "guess"]
    if guesses:
        yield Caution(kind="guesses", build=None, facts={"count": len(guesses)})
    for name, work in scenario.work.items():
        spread = month_spread_fraction(work)
        if spread is not None:
            facts = {"work": name, "jobs": middle(work.jobs_per_month), "spread_fraction": spread}
            yield Caution(kind="lumps", build=None, facts=facts)
        begins = work.start_date
        if begins and months_between(scenario.start_date, begins) >= scenario.horizon_months:
            yield Caution(
                kind="starts too late", build=None, facts={"work": name, "from_date": begins}
            )
    if not evaluation.draws:
        yield Caution(kind="middle only", build=None, facts={})
    yield Caution(kind="mains", build=None, facts={})
    yield from _of_shortages(evaluation)


def _of_shortages(evaluation: Evaluation) -> Iterator[Caution]:
    """Shortages that come in some future that was looked at, their figures at the middle."""
    for name, shortage in evaluation.scenario.shortages.items():
        chance = middle(shortage.probability_fraction)
        if chance > 0 if evaluation.draws else chance > 0.5:
            facts = {
                "shortage": name,
                "from_date": shortage.from_date,
                "months": middle(shortage.months),
                "price_factor": middle(shortage.price_factor),
                "comes_fraction": chance if evaluation.draws else None,
            }
            yield Caution(kind="shortage", build=None, facts=facts)


def _of_build(evaluation: Evaluation, build: BuildResult) -> Iterator[Caution]:
    facts = {
        kind: figures
        for kind, holds, figures in (
            *_capacity_cautions(evaluation, build),
            *_risk_cautions(build),
            *_age_cautions(evaluation, build),
            *_class_cautions(evaluation, build),
            *_place_cautions(evaluation, build),
            *_team_cautions(evaluation, build),
        )
        if holds
    }
    for kind, figures in facts.items():
        yield Caution(kind=kind, build=build.name, facts=figures)


def _capacity_cautions(evaluation: Evaluation, build: BuildResult) -> Iterator[Any]:
    space, start = build.capacity, evaluation.scenario.start_date
    held_first = float(space.held_tb_by_month.mean[0])
    plannable = space.ladder.plannable_tb + sum(each.plannable_tb for each in space.kept)
    full = held_first > plannable
    yield "full from the start", full, {"held_tb": held_first, "plannable_tb": plannable}
    yield "order at once", space.first_order_months <= 0 and not full, {}
    late = space.rule_late_fraction >= LATE_FRACTION and 0 < space.first_order_months < math.inf
    if late:
        facts = {
            "by_date": month_date(start, space.first_order_months),
            "late_fraction": space.rule_late_fraction if evaluation.draws else None,
            "order_point_fraction": space.order_point_fraction,
        }
        yield "rule orders too late", True, facts
    remedy = float(build.money.remedy_cost.mean)
    notable = remedy > NOTABLE_FRACTION * float(build.money.net_present_cost.mean)
    yield "remedy", notable, {"cost": remedy, "boxes": float(space.further_boxes.mean)}
    most = float(space.further_boxes.p90)
    facts = {
        "boxes": MOST_FURTHER_BOXES,
        "most_fraction": MOST_FRACTION if evaluation.draws else None,
    }
    yield "too many boxes", most >= MOST_FURTHER_BOXES, facts


def _risk_cautions(build: BuildResult) -> Iterator[Any]:
    chance = build.loss.read_error_probability
    yield (
        "read error",
        chance > NOTEWORTHY_READ_ERROR_PROBABILITY,
        {"probability": chance, "rebuild_h": build.loss.rebuild_h},
    )


def _age_cautions(evaluation: Evaluation, build: BuildResult) -> Iterator[Any]:
    """Things owned that have reached the age at which they are replaced."""
    scenario, written = evaluation.scenario, evaluation.scenario.builds[build.alternative.build_key]
    gone = {name: _box_age(scenario.owned[name]) for name in written.keeps}
    if written.keeps_months is not None:
        gone = {}
    yield "not kept", *_worn_out(gone.values())
    staying = [name for name in written.keeps if not _worn_out([gone.get(name, (0.0, 1.0))])[0]]
    in_use = [scenario.owned[name] for name in (written.drives_from, *staying) if name]
    ages = [(middle(lot.age_years), _life(scenario, box)) for box in in_use for lot in box.lots]
    yield "worn-out drives", *_worn_out(ages)
    boxes = [_box_age(scenario.owned[name]) for name in staying]
    if written.starts_in is not None:
        age, life = _box_age(scenario.owned[written.starts_in])
        own = not left_to_its_box(written, "box_life_years")
        boxes.append((age, middle(written.box_life_years) if own else life))
    yield "worn-out box", *_worn_out(boxes)


def _life(scenario: Scenario, box: Owned) -> float:
    return middle(scenario.drives[box.drives].service_life_years)


def _box_age(box: Owned) -> tuple[float, float]:
    """How old a box is, and at what age it is replaced."""
    return middle(box.box_age_years), middle(box.box_life_years)


def _worn_out(things: Iterable[tuple[float, float]]) -> tuple[bool, dict[str, float]]:
    """Whether any thing has reached the age at which it is replaced, and how old the first is."""
    for age, life in things:
        if age >= life:
            return True, {"age_years": age, "life_years": life}
    return False, {}


def _class_cautions(evaluation: Evaluation, build: BuildResult) -> Iterator[Any]:
    """Drives that wear out when their class is no longer sold: they are costed as before."""
    scenario, found = evaluation.scenario, []
    for name, months in _wearing_out(evaluation, build):
        last, first = (
            scenario.drives[name].available_until_date,
            month_date(scenario.start_date, months),
        )
        if last is not None and first > last:
            found.append({"by_date": last, "from_date": first})
    facts = min(found, key=lambda each: each["from_date"], default={})
    yield "class ends", bool(found), facts


def _wearing_out(evaluation: Evaluation, build: BuildResult) -> Iterator[tuple[str, float]]:
    """Classes whose drives have successors of the same class, and the month of the first."""
    scenario, plan = evaluation.scenario, evaluation.plans.get(build.key)
    written = scenario.builds[build.alternative.build_key]
    bought = [(written.drives, 0)]
    if plan is not None:
        bought = [(order.drives, order.month) for order in plan.orders]
    for name, month in bought:
        months = month + middle(scenario.drives[name].service_life_years) * MONTHS_PER_YEAR
        if months < scenario.horizon_months:
            yield name, months
    for name, kept in zip(written.keeps, build.capacity.kept, strict=True):
        box = scenario.owned[name]
        ages = (middle(lot.age_years) for lot in box.lots)
        left = [max(_life(scenario, box) - age, 0.0) * MONTHS_PER_YEAR for age in ages]
        if min(left) < kept.stays_months:
            yield box.drives, min(left)


def _place_cautions(evaluation: Evaluation, build: BuildResult) -> Iterator[Any]:
    place, speed, start = build.site, build.speed, evaluation.scenario.start_date
    yield "circuit", place.circuit_left_w < 0, {"over_w": -place.circuit_left_w}
    for kind, months in (
        ("circuit later", place.circuit_over_months),
        ("too loud later", place.too_loud_months),
        ("too deep later", place.too_deep_months),
    ):
        if math.isfinite(months) and (kind != "circuit later" or place.circuit_left_w >= 0):
            doubt = 1.0 - evaluation.scenario.needs.confidence_fraction
            facts = {"doubt_fraction": doubt if evaluation.draws else None}
            yield kind, True, {"from_date": month_date(start, months), **facts}
    yield "weight", place.weight_kg > IDEAL_LIFT_KG, {"weight_kg": place.weight_kg}
    yield (
        "desk link",
        speed.desk_link_mb_s < speed.stream_mb_s,
        {"desk_mb_s": speed.desk_link_mb_s, "stream_mb_s": speed.stream_mb_s},
    )


def _team_cautions(evaluation: Evaluation, build: BuildResult) -> Iterator[Any]:
    speed, start = build.speed, evaluation.scenario.start_date
    months = speed.streams_short_from_months
    if math.isfinite(months):
        editors = float(speed.editors_by_month[int(months)])
        confidence = evaluation.scenario.needs.confidence_fraction
        facts = {
            "sure_fraction": confidence if evaluation.draws else None,
            "from_date": month_date(start, months) if months else None,
            "editors": editors,
            "played": editors * float(middle(evaluation.scenario.team.streams_per_editor)),
            "streams": float(speed.sure_streams),
        }
        yield "streams short", True, facts
