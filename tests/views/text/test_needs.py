"""Needs in words: how much is asked, what a build gives, and by how much it misses."""

import pytest

from storagecalc import evaluate
from storagecalc.study.decision.needs import need_results
from storagecalc.views.text.needs import asked, given, short_by

MISSED = [
    ("headroom_months", 60, "at least 5 years", " too short"),
    ("loss_probability", 1e-9, "at most 1 in 1,000,000,000", ", too likely"),
    ("streams", 11, "at least 11", " too few"),
    ("noise_dba", 30, "at most 30 dBA", " dB too loud"),
    ("depth_mm", 350, "at most 350 mm", "380 mm, 30 mm too deep"),
    ("upfront_cost", 5000, "at most EUR 5,000", " too much"),
    ("copies", 3, "at least three", "one, two too few"),
    ("cost_per_year", 6000, "at most EUR 6,000", " too much"),
]


@pytest.mark.parametrize(("need", "required", "wanted", "got"), MISSED)
def test_what_is_missed_says_by_how_much(demo, need, required, wanted, got):
    evaluation = evaluate(demo.varied({f"needs.{need}": required}))
    judged = next(
        each for each in need_results(evaluation, evaluation.builds[0]) if each.need == need
    )
    assert not judged.met
    assert judged.shortfall == pytest.approx(abs(required - judged.value))
    assert asked(judged, evaluation.scenario) == wanted
    assert got in given(judged, evaluation.scenario)
    assert f"{wanted} is asked" in short_by(judged, evaluation.scenario)
    assert "rare" not in given(judged, evaluation.scenario)


def test_a_need_as_long_as_the_horizon_is_told_in_years(demo):
    """Footage that fits on no day one, and a wish that reaches to the last month looked at."""
    changes = {"needs.headroom_months": 84, "work.stage.stored_today_tb": 200}
    evaluation = evaluate(demo.varied(changes))
    judged = need_results(evaluation, evaluation.builds[0])[0]
    assert asked(judged, evaluation.scenario) == "at least 7 years"
    assert given(judged, evaluation.scenario) == "0 months, 7 years too short"


def test_what_is_met_is_not_short(demo):
    evaluation = evaluate(demo)
    for need in need_results(evaluation, evaluation.builds[0]):
        assert need.shortfall == 0.0
        assert given(need, evaluation.scenario).endswith(", meets it")
