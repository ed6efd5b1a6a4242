"""Sliders: where they may stand, and what a scenario becomes there."""

import pytest
from study.conftest import DEMO
from study.small import owned, with_tables

from storagecalc import load_scenario
from storagecalc.study.scenario.quantity import Range, entries, middle
from storagecalc.study.scenario.sliders import moved, sliders

DEMOS = [load_scenario(path) for path in sorted(DEMO.parent.glob("*.toml"))]


def slider_of(scenario, key):
    """The slider of one quantity."""
    (found,) = sliders(scenario, [key])
    return found


@pytest.mark.parametrize("scenario", DEMOS, ids=lambda scenario: scenario.title[:12])
def test_a_range_goes_along_to_either_end_of_its_slider(scenario):
    given = {entry.key: entry.value for entry in entries(scenario)}
    of_ranges = [
        slider for slider in sliders(scenario, ["*"]) if isinstance(given[slider.key], Range)
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


@pytest.mark.parametrize("scenario", DEMOS, ids=lambda scenario: scenario.title[:12])
def test_the_start_is_between_both_ends_whole_steps_from_each(scenario):
    for slider in sliders(scenario, ["*"]):
        for end in (slider.lowest, slider.highest):
            away = abs(end - slider.start) / slider.step
            assert away == pytest.approx(round(away), abs=1e-6), slider.key
        assert slider.lowest <= slider.start <= slider.highest


def test_ends_have_no_digits_that_steps_leave(demo):
    """Many small steps from a start come to 0.06, not to 0.060000000000000005."""
    found = sliders(demo, ["*"])
    ends = [end for slider in found for end in (slider.lowest, slider.highest)]
    assert len(ends) > 50
    assert all(len(str(end)) <= len(f"{end:.9g}") + 2 for end in ends)
    assert slider_of(demo, "filling.formatting_fraction").highest == 0.06


def test_a_share_that_is_kept_stays_between_its_neighbours(demo):
    """What is left at one age is no more than at the age before: 0.3 lies between 0.6 and 0.2."""
    steps = [{"after_months": 6 * (number + 1), "keep_fraction": share}
             for number, share in enumerate((0.6, 0.3, 0.2))]  # fmt: skip
    scenario = demo.varied({"keep.commissions.steps": steps})
    key = "keep.commissions.steps.1.keep_fraction"
    slider = slider_of(scenario, key)
    assert (slider.lowest, slider.highest) == (0.2, 0.6)
    for value in (slider.lowest, slider.highest):
        moved(scenario, {key: value})
    # Its range is wider than what lies between them.
    wide = scenario.varied({key: {"low": 0.1, "middle": 0.25, "high": 0.5}})
    slider = slider_of(wide, key)
    for value in (slider.lowest, 0.25, slider.highest):
        moved(wide, {key: value})
    # Nothing to move where both neighbours are as high.
    still = demo.varied(
        {"keep.commissions.steps": [{**step, "keep_fraction": 0.4} for step in steps]}
    )
    slider = slider_of(still, key)
    assert slider.lowest == slider.highest == 0.4


def test_what_a_build_leaves_to_its_box_is_moved_there(small):
    """Noise is left to the table of the owned box, power stands in the build itself."""
    tables = {"owned.old": owned((4, 1)), "builds.box.starts_in": "old"}
    offered = {slider.key for slider in sliders(with_tables(small, tables), ["*"])}
    assert {"owned.old.box_noise_dba", "owned.old.lots.0.age_years"} <= offered
    assert "builds.box.box_noise_dba" not in offered
    assert "builds.box.box_power_w" in offered
    assert "builds.box.box_noise_dba" in {slider.key for slider in sliders(small, ["*"])}


def test_a_lead_time_means_something_where_the_first_order_waits(small):
    full = small.varied({"builds.box.drives_at_first": 8})
    kept = {"owned.old": owned((4, 1)), "builds.box.keeps": ["old"]}
    for scenario, offered in ((full, False), (with_tables(full, kept), True)):
        assert bool(sliders(scenario, ["builds.*.lead_time_months"])) is offered
