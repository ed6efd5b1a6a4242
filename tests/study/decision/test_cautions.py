"""Cautions: on figures of the test's own, on either side of what sets them off."""

import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from study.decision.crafted import crafted
from study.small import owned

from storagecalc import evaluate
from storagecalc.study.decision.cautions import assumed, cautions
from storagecalc.study.scenario.load import scenario_from


def kinds(topic, **figures):
    """Which cautions one alternative gets with some of its figures replaced, and their facts."""
    evaluation = crafted({"a": 100})
    (build,) = evaluation.builds
    part = getattr(build, topic)
    for name, value in figures.items():
        if hasattr(getattr(part, name), "p90"):
            figures[name] = replace(getattr(part, name), mean=value, p50=value, p90=value)
    changed = replace(build, **{topic: replace(part, **figures)})
    found = cautions(replace(evaluation, builds=(changed,)))
    return {each.kind: dict(each.facts) for each in found if each.build == "a"}


@pytest.mark.parametrize(("fraction", "late"), [(0.49, False), (0.5, True), (1.0, True)])
def test_the_rule_orders_too_late_where_it_does_in_half_the_futures(fraction, late):
    found = kinds(
        "capacity",
        first_order_months=5.0,
        rule_late_fraction=fraction,
        order_point_fraction=0.7,
    )
    assert ("rule orders too late" in found) is late
    if late:
        assert found["rule orders too late"] == {
            "by_date": date(2027, 6, 1),
            "late_fraction": fraction,
            "order_point_fraction": 0.7,
        }


@pytest.mark.parametrize(("months", "at_once"), [(-2.0, True), (0.0, True), (1.0, False)])
def test_an_order_that_is_due_goes_out_at_once_and_no_rule_is_blamed(months, at_once):
    found = kinds("capacity", first_order_months=months, rule_late_fraction=1.0)
    assert ("order at once" in found) is at_once
    assert ("rule orders too late" in found) is not at_once


def test_no_order_is_due_where_too_few_futures_fill():
    found = kinds("capacity", first_order_months=math.inf, rule_late_fraction=0.9)
    assert not {"order at once", "rule orders too late"} & set(found)


@pytest.mark.parametrize(("boxes", "many"), [(19, False), (20, True)])
def test_twenty_further_boxes_are_too_many(boxes, many):
    found = kinds("capacity", further_boxes=boxes)
    assert ("too many boxes" in found) is many


@pytest.mark.parametrize(("cost", "told"), [(0.0, False), (20.0, False), (21.0, True)])
def test_what_further_boxes_cost_is_told_where_it_is_worth_telling(cost, told):
    """More than a fiftieth of all costs."""
    found = kinds("money", remedy_cost=cost, net_present_cost=1000.0)
    assert ("remedy" in found) is told
    if told:
        assert found["remedy"]["cost"] == cost


def test_without_draws_no_caution_counts_futures():
    evaluation = crafted({"a": 100}, draws=0)
    (build,) = evaluation.builds
    late = {"first_order_months": 5.0, "rule_late_fraction": 1.0}
    boxes = replace(build.capacity.further_boxes, p90=20.0)
    capacity = replace(build.capacity, further_boxes=boxes, **late)
    changed = replace(build, capacity=capacity, site=replace(build.site, too_loud_months=3.0))
    found = {each.kind: each.facts for each in cautions(replace(evaluation, builds=(changed,)))}
    assert found["rule orders too late"]["late_fraction"] is None
    assert found["too loud later"]["doubt_fraction"] is None
    assert found["too many boxes"]["most_fraction"] is None


def test_what_is_too_much_only_with_further_boxes_has_its_date():
    found = kinds(
        "site", too_loud_months=3.0, too_deep_months=12.0, circuit_over_months=24.0,
        circuit_left_w=10.0,
    )  # fmt: skip
    told = {kind: facts.get("from_date") for kind, facts in found.items()}
    assert told["too loud later"] == date(2027, 4, 1)
    assert told["too deep later"] == date(2028, 1, 1)
    assert told["circuit later"] == date(2029, 1, 1)
    assert found["circuit later"]["doubt_fraction"] == pytest.approx(0.2)
    assert "circuit" not in found


def test_a_circuit_too_small_from_the_start_is_told_once():
    found = kinds("site", circuit_over_months=24.0, circuit_left_w=-10.0)
    assert found["circuit"] == {"over_w": 10.0}
    assert "circuit later" not in found


def test_what_never_happens_is_not_told():
    found = kinds(
        "site", too_loud_months=math.inf, too_deep_months=math.inf, circuit_over_months=math.inf
    )
    assert not [kind for kind in found if kind.endswith("later")]


@pytest.mark.parametrize(("probability", "told"), [(0.05, False), (0.051, True)])
def test_a_read_error_in_a_rebuild_is_told_from_one_in_twenty(probability, told):
    assert ("read error" in kinds("loss", read_error_probability=probability)) is told


@pytest.mark.parametrize(("weight_kg", "told"), [(23.0, False), (23.1, True)])
def test_what_one_person_should_not_lift_is_told(weight_kg, told):
    assert ("weight" in kinds("site", weight_kg=weight_kg)) is told


def test_invented_prices_and_the_middle_alone_are_told_of_all(demo):
    point = [each.kind for each in cautions(evaluate(demo)) if each.build is None]
    drawn = [each.kind for each in cautions(evaluate(demo, draws=20)) if each.build is None]
    assert {"one copy", "independence", "prices", "guesses", "mains", "middle only"} == set(point)
    assert set(point) - set(drawn) == {"middle only"}


def test_what_the_file_leaves_out_is_assumed_and_what_it_writes_is_not(demo):
    found = {entry.key for entry in assumed(evaluate(demo))}
    assert "running.further_box_care_fraction" in found
    assert "prices.drive_value_kept_per_year_fraction" in found
    assert not [key for key in found if key.startswith("needs.")]
    assert "running.labour_price_per_h" not in found


def test_a_grid_is_refused(demo):
    with pytest.raises(ValueError, match="grid"):
        cautions(evaluate(demo, positions={"place.desk_m": [1, 2]}))


@pytest.mark.parametrize(("until", "life_years", "told"), [
    ("2028-06-01", 2, True), ("2028-12-01", 2, True), ("2029-01-01", 2, False),
    ("2028-06-01", 9, False), (None, 2, False),
])  # fmt: skip
def test_drives_worn_out_when_their_class_has_ended_are_told(small, until, life_years, told):
    """From January 2027 on drives of two years wear out in January 2029, within three years."""
    ends = {} if until is None else {"drives.ten.available_until_date": date.fromisoformat(until)}
    changes = {"horizon_months": 36, "drives.ten.service_life_years": life_years, **ends}
    told_of = cautions(evaluate(small.varied(changes)))
    found = [each for each in told_of if each.kind == "class ends"]
    assert bool(found) is told
    if told:
        assert found[0].facts["from_date"] == date(2029, 1, 1)


@pytest.mark.parametrize(("keeps_months", "told"), [(5, False), (6, False), (7, True)])
def test_so_are_those_of_a_box_that_stays(small, keeps_months, told):
    """Of three drives two wear out in July 2027, if the box is still there."""
    raw = small.as_written()
    raw["drives"]["old"] = {**raw["drives"]["ten"], "available_until_date": "2027-06-01"}
    raw["owned"] = {"box": owned((1, 1), (2, 9.5), drives="old")}
    raw["builds"]["box"] |= {"keeps": ["box"], "keeps_months": keeps_months}
    found = cautions(evaluate(scenario_from(raw, source="kept")))
    facts = [each.facts for each in found if each.kind == "class ends"]
    ends = {"by_date": date(2027, 6, 1), "from_date": date(2027, 7, 1)}
    assert facts == ([ends] if told else [])


@pytest.mark.parametrize(("desk", "told"), [(100.0, True), (200.0, False)])
def test_a_desk_link_below_one_stream_is_told(desk, told):
    found = kinds("speed", desk_link_mb_s=desk, stream_mb_s=150.0)
    assert ("desk link" in found) is told


@pytest.mark.parametrize(("first", "full"), [(31.0, True), (30.0, False)])
def test_full_from_the_start_is_more_than_the_space_in_the_first_month(first, full):
    """30 TB as bought; what comes later is no matter of the start."""
    evaluation = crafted({"a": 100})
    (build,) = evaluation.builds
    held = np.append(first, np.full(23, 500.0))
    told = replace(build.capacity.held_tb_by_month, mean=held)
    changed = replace(build, capacity=replace(build.capacity, held_tb_by_month=told))
    found = {each.kind: each.facts for each in cautions(replace(evaluation, builds=(changed,)))}
    assert ("full from the start" in found) is full
    if full:
        assert found["full from the start"] == {"held_tb": 31.0, "plannable_tb": 30.0}


def test_further_boxes_are_told_as_their_mean():
    evaluation = crafted({"a": 1000})
    (build,) = evaluation.builds
    boxes = replace(build.capacity.further_boxes, mean=1.5, p50=2.0, p90=3.0)
    cost = replace(build.money.remedy_cost, mean=300.0, p50=0.0, p90=900.0)
    changed = replace(
        build,
        capacity=replace(build.capacity, further_boxes=boxes),
        money=replace(build.money, remedy_cost=cost),
    )
    found = {each.kind: each.facts for each in cautions(replace(evaluation, builds=(changed,)))}
    assert found["remedy"] == {"cost": 300.0, "boxes": 1.5}


@pytest.mark.parametrize(("key", "value"), [("drives_from", "box"), ("keeps", ["box"])])
def test_old_drives_are_worn_out_by_the_life_of_their_own_class(small, key, value):
    """Three years old: worn out where their class lasts two, whatever the new one lasts."""
    for life, told in ((2, True), (5, False)):
        raw = small.as_written()
        raw["drives"]["old"] = {**raw["drives"]["ten"], "service_life_years": life}
        raw["owned"] = {"box": owned((2, 3), drives="old")}
        raw["builds"]["box"] |= {key: value}
        found = {each.kind for each in cautions(evaluate(scenario_from(raw, source="old")))}
        assert ("worn-out drives" in found) is told


@pytest.mark.parametrize(("begins", "late"), [("2028-12-01", False), ("2029-01-31", True)])
def test_work_that_starts_after_the_last_month_is_told(small, begins, late):
    """Two years from January 2027 end with December 2028."""
    found = cautions(evaluate(small.varied({"work.shoots.start_date": begins})))
    facts = [each.facts for each in found if each.kind == "starts too late"]
    day = date.fromisoformat(begins)
    assert facts == ([{"work": "shoots", "from_date": day}] if late else [])


@pytest.mark.parametrize(
    ("chance", "draws", "share"),
    [(0.0, 5, ...), (0.2, 5, 0.2), (1.0, 5, 1.0), (0.5, 0, ...), (0.6, 0, None)],
)
def test_a_shortage_is_told_where_it_comes_in_some_future(small, chance, draws, share):
    flood = {"from_date": "2027-06-15", "months": 4, "probability_fraction": chance,
             "price_factor": {"low": 1.2, "middle": 1.5, "high": 2}}  # fmt: skip
    evaluation = evaluate(small.varied({"shortages": {"flood": flood}}), draws=draws)
    found = [dict(each.facts) for each in cautions(evaluation) if each.kind == "shortage"]
    facts = {"shortage": "flood", "from_date": date(2027, 6, 15), "months": 4, "price_factor": 1.5}
    assert found == ([] if share is ... else [facts | {"comes_fraction": share}])
