"""Looking further ahead: on the same futures, and it may change who is recommended."""

import pytest
from study.small import SMALL

from storagecalc import evaluate
from storagecalc.study.decision.horizons import advice_by_horizon
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.scenario.load import scenario_from


def test_each_horizon_is_an_evaluation_of_its_own(demo):
    evaluation = evaluate(demo, draws=30, seed=2)
    advice = advice_by_horizon(evaluation)
    assert [each.horizon_months for each in advice] == [84, 96, 108]
    for each in advice:
        longer = demo.varied({"horizon_months": each.horizon_months})
        alone = verdict(evaluate(longer, draws=30, seed=2))
        assert each.recommended == alone.recommended.build.name


@pytest.mark.parametrize(("months", "told"), [(216, [216, 228, 240]), (240, [240])])
def test_no_horizon_lies_beyond_what_a_file_may_say(months, told):
    scenario = scenario_from({**SMALL, "horizon_months": months}, source="long")
    assert [each.horizon_months for each in advice_by_horizon(evaluate(scenario))] == told


def test_a_contract_that_ends_late_turns_the_advice():
    """Renting costs 100 a month and nothing more, owning 2800 at once: even after 28 months."""
    box = {**SMALL["builds"]["box"], "box_price": 0}
    scenario = {
        **SMALL,
        "builds": {"own": {**box, "name": "own"}, "rent": {**box, "name": "rent"}},
        "costs": {
            "bought": {"price": 2800, "builds": ["own"]},
            "contract": {"price": 100, "every_months": 1, "builds": ["rent"]},
        },
    }
    advice = advice_by_horizon(evaluate(scenario_from(scenario, source="by hand")))
    told = [(each.horizon_months, each.recommended) for each in advice]
    assert told == [(24, "rent"), (36, "own"), (48, "own")]


def test_the_longer_looks_are_on_the_same_futures(small, monkeypatch):
    asked = []

    def noted(scenario, **how):
        asked.append((scenario.horizon_months, how))
        return evaluate(scenario, **how)

    monkeypatch.setattr("storagecalc.study.decision.horizons.evaluate", noted)
    advice_by_horizon(evaluate(small, draws=3, seed=7))
    assert asked == [(months, {"draws": 3, "seed": 7}) for months in (36, 48)]
