"""Sliders: where they may stand, and what a scenario becomes there."""

import math

import pytest
from study.conftest import DEMO

from storagecalc import load_scenario
from storagecalc.study.scenario.quantity import Range, entries, middle
from storagecalc.study.scenario.sliders import coarse, moved, sliders, stops

DEMOS = [load_scenario(path) for path in sorted(DEMO.parent.glob("*.toml"))]


@pytest.mark.parametrize("scenario", DEMOS, ids=lambda scenario: scenario.title[:12])
def test_a_range_goes_along_to_either_end_of_its_slider(scenario):
    given = {entry.key: entry.value for entry in entries(scenario)}
    of_ranges = [
        slider
        for slider in sliders(scenario, ["*"])
        # What is left at one age must not be more than at the age before.
        if isinstance(given[slider.key], Range) and not slider.key.endswith("keep_fraction")
    ]
    assert len(of_ranges) > 5
    for slider in of_ranges:
        for value in (slider.lowest, slider.highest):
            changed = {e.key: e.value for e in entries(moved(scenario, {slider.key: value}))}
            assert middle(changed[slider.key]) == pytest.approx(value)


def test_the_ends_of_the_plausible_are_one_number(demo):
    key = "keep.commissions.steps.0.keep_fraction"
    scenario = demo.varied({key: {"low": 0.4, "middle": 0.6, "high": 0.8}})
    for value in (0.0, 1.0):
        changes = {key: value, "keep.commissions.steps.1.keep_fraction": 0.0}
        assert {e.key: e.value for e in entries(moved(scenario, changes))}[key] == value
    wide = moved(scenario, {key: 0.95})
    spread = {e.key: e.value for e in entries(wide)}[key]
    assert spread.low < 0.95 < spread.high < 1


@pytest.mark.parametrize(
    ("key", "value", "below", "above"),
    [
        ("work.stage.shoot_days_per_month", 4, 2, 2),
        ("work.stage.shoot_days_per_month", 0, 0, 4),
        ("filling.free_fraction", 0.5, 4, 0),
        ("prices.drive_change_per_year", {"low": -0.2, "middle": -0.1, "high": 0.1}, 2, 2),
    ],
)
def test_few_stops_stay_where_a_value_may_be(demo, key, value, below, above):
    scenario = demo.varied({key: value})
    slider = coarse(sliders(scenario, [key])[0], 5)
    at = stops(slider)
    assert sum(stop < slider.start - 1e-9 for stop in at) == below
    assert sum(stop > slider.start + 1e-9 for stop in at) == above
    assert any(math.isclose(stop, slider.start, abs_tol=1e-9) for stop in at)
    for stop in at:
        moved(scenario, {key: stop})
