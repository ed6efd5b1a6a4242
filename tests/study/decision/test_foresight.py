"""What not knowing costs: nothing where all is known, never less than nothing."""

import numpy as np
import pytest
from study.money.test_hindsight import BARE, BEST_COST

from storagecalc import evaluate
from storagecalc.study.decision.foresight import foresights
from storagecalc.study.money import hindsight as looked_back
from storagecalc.study.money.hindsight import hindsight
from storagecalc.study.sampling import sampler

UNKNOWN = {"work.shoots.shoot_days_per_month": {"low": 5, "middle": 10, "high": 15}}


@pytest.fixture(autouse=True)
def few_futures(monkeypatch):
    monkeypatch.setattr(looked_back, "MOST_FUTURES", 40)


def test_with_one_known_future_the_plan_is_perfect(small):
    found = foresights(evaluate(small.varied(BARE)))["box"]
    assert found.plan_cost_mean == pytest.approx(BEST_COST)
    assert found.foresight_cost_mean == pytest.approx(BEST_COST)
    told = found.not_knowing_cost_mean, found.not_knowing_cost_p10, found.not_knowing_cost_p90
    assert told == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_nobody_is_better_off_for_not_knowing(demo):
    scenario = demo.varied({"builds.twelve_and_shelf.plan": "best"})
    evaluation = evaluate(scenario)
    rows = hindsight(sampler(scenario), evaluation.plans)["twelve_and_shelf"]
    more = rows.plan_cost_by_draw - rows.best_cost_by_draw
    assert more.min() >= -1e-6
    found = foresights(evaluation)["twelve_and_shelf"]
    assert found.futures == len(more) == 40
    assert found.not_knowing_cost_mean == pytest.approx(more.mean())
    # At or below it lie one in ten, and nine in ten.
    assert found.not_knowing_cost_p10 == pytest.approx(np.sort(more)[3])
    assert found.not_knowing_cost_p90 == pytest.approx(np.sort(more)[35])
    assert found.plan_cost_mean - found.foresight_cost_mean == pytest.approx(more.mean())


def test_more_doubt_costs_more(small):
    wide = {"low": 2, "middle": 10, "high": 22}
    some, much = (
        foresights(evaluate(small.varied({**BARE, **UNKNOWN, **more})))["box"]
        for more in ({}, {"work.shoots.shoot_days_per_month": wide})
    )
    assert 0.0 < some.not_knowing_cost_mean < much.not_knowing_cost_mean


def test_it_does_not_hang_on_how_many_futures_are_shown(small):
    scenario = small.varied({**BARE, **UNKNOWN})
    assert foresights(evaluate(scenario)) == foresights(evaluate(scenario, draws=30))
    assert foresights(evaluate(scenario)) != foresights(evaluate(scenario, seed=1))


def test_nothing_is_told_without_a_plan_and_a_grid_is_refused(small):
    assert foresights(evaluate(small)) == {}
    grid = evaluate(small, positions={"running.care_h_per_month": [1.0, 2.0]})
    with pytest.raises(ValueError, match="grid"):
        foresights(grid)
