"""The studio's rule beside a plan: tuned in some futures, told in others."""

import pytest
from study.money.test_hindsight import BARE
from study.small import with_tables

from storagecalc import evaluate
from storagecalc.study.decision import tuned_rule
from storagecalc.study.decision.tuned_rule import tuned_rules
from storagecalc.study.scenario.builds import Build

UNKNOWN = {"work.shoots.shoot_days_per_month": {"low": 5, "middle": 10, "high": 15}}


@pytest.fixture(autouse=True)
def few_futures(monkeypatch):
    monkeypatch.setattr(tuned_rule, "FUTURES", 30)


def rule(scenario, key="box", **how):
    return tuned_rules(evaluate(scenario, **how))[key]


def mean_cost(scenario, key="box", **how):
    found = evaluate(scenario, draws=30, **how)
    return next(each for each in found.builds if each.key == key).money.net_present_cost.mean


@pytest.mark.parametrize(("work_h", "step"), [(0, 1), (20, 4)])
def test_each_drive_by_itself_unless_an_order_is_work(small, work_h, step):
    """A drive that stands early costs power, an order its work; what is ordered stands at once."""
    changes = {
        **BARE, "running.electricity_price_per_kwh": 2, "running.work_per_order_h": work_h,
        "builds.box.order_at_fraction": 0.6,
    }  # fmt: skip
    found = rule(small.varied(changes))
    assert (found.written.order_at_fraction, found.written.drives_per_step) == (0.6, 1)
    assert (found.tuned.order_at_fraction, found.tuned.drives_per_step) == (1.0, step)
    assert found.tuned.cost_mean < found.written.cost_mean


def test_a_rule_that_none_beats_stays_as_it_is_written(small):
    found = rule(small.varied({**BARE, "running.electricity_price_per_kwh": 2}))
    assert found.tuned == found.written


def test_costs_are_means_over_the_futures_of_the_next_seed(demo):
    scenario = demo.varied({"builds.eight_in_steps.plan": "best"})
    evaluation = evaluate(scenario, seed=4)
    found = tuned_rules(evaluation)["eight_in_steps"]
    assert found.futures == 30
    told = {"key": "eight_in_steps", "seed": 5}
    assert found.plan_cost_mean == pytest.approx(
        mean_cost(scenario, plans=evaluation.plans, **told)
    )
    assert found.written.cost_mean == pytest.approx(mean_cost(demo, **told))
    tuned = {
        "builds.eight_in_steps.order_at_fraction": found.tuned.order_at_fraction,
        "builds.eight_in_steps.drives_per_step": found.tuned.drives_per_step,
        "builds.eight_in_steps.grows_by": "one drive"
        if found.tuned.drives_per_step == 1
        else "groups",
    }
    assert found.tuned.cost_mean == pytest.approx(mean_cost(demo.varied(tuned), **told))
    # In its own futures what is tuned is no dearer.
    own = {"key": "eight_in_steps", "seed": 4}
    assert mean_cost(demo.varied(tuned), **own) <= mean_cost(demo, **own) + 1e-9


@pytest.mark.parametrize(
    ("figures", "steps"),
    [
        ({}, [(1, "one drive"), (2, "groups"), (4, "groups")]),
        ({"drives_per_step": 3, "grows_by": "groups"},
         [(3, "groups"), (1, "one drive"), (2, "groups"), (4, "groups")]),
        ({"drives_at_first": 8}, [(1, "one drive")]),
        ({"drives_at_first": 8,
          "shelf": {"bays": 5, "price": 1, "drives_at_first": 3}},
         [(1, "one drive"), (2, "groups")]),
        ({"grows_by": "swapping", "swap_to": "ten"}, [(1, "swapping")]),
    ],
)  # fmt: skip
def test_steps_are_tried_as_far_as_bays_take_them(small, figures, steps):
    build = Build.model_validate({**small.as_written()["builds"]["box"], **figures})
    assert list(tuned_rule._steps(build)) == steps


def test_striped_mirrors_take_no_odd_step(small):
    pairs = {"redundancy": "striped mirrors", "grows_by": "groups", "drives_per_step": 2}
    table = {**small.as_written()["builds"]["box"], **pairs, "plan": "best"}
    scenario = with_tables(small.varied(BARE), {"builds.box": table})
    (each,) = [one.alternative for one in evaluate(scenario).builds]
    trial = tuned_rule._Trial(evaluation=evaluate(scenario), each=each)
    assert [step for step, _ in trial.rules()] == [2, 4]


def test_mirrors_have_an_order_point_alone(small):
    pair = {"redundancy": "mirror", "bays": 2, "drives_at_first": 2, "plan": "best"}
    table = {**small.as_written()["builds"]["box"], **pair}
    assert rule(with_tables(small.varied(BARE), {"builds.box": table})).tuned.drives_per_step == 1


def test_it_does_not_hang_on_how_many_futures_are_shown(small):
    scenario = small.varied({**BARE, **UNKNOWN})
    assert rule(scenario) == rule(scenario, draws=20)
    assert rule(scenario) != rule(scenario, seed=1)


def test_a_long_look_ahead_gets_fewer_futures(small, monkeypatch):
    monkeypatch.setattr(tuned_rule, "MONTHS_A_POSITION", 120)
    assert rule(small.varied(BARE)).futures == 10


def test_an_option_has_a_rule_of_its_own(small):
    scenario = with_tables(
        small.varied({**BARE, **UNKNOWN}),
        {
            "elsewhere.store": {"price_per_tb_month": 1},
            "options.off": {"build": "box", "move_off_after_months": 3, "to": "store"},
        },
    )
    found = tuned_rules(evaluate(scenario))
    assert found.keys() == {"box", "off"}
    assert found["off"].plan_cost_mean != found["box"].plan_cost_mean


def test_nothing_is_told_without_a_plan_and_a_grid_is_refused(small):
    assert tuned_rules(evaluate(small)) == {}
    with pytest.raises(ValueError, match="grid"):
        tuned_rules(evaluate(small, positions={"running.care_h_per_month": [1.0, 2.0]}))


def test_every_twentieth_from_half_full_to_full_is_tried():
    points = (0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1.0)
    assert points == tuned_rule.ORDER_POINTS
