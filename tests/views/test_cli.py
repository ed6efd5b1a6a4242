"""The command line as a user meets it."""

import json
from pathlib import Path

import pytest

from storagecalc.views.cli import main

DEMO = str(Path(__file__).parents[2] / "data_examples" / "stage_films.toml")
TOP = {
    "scenario", "currency", "horizon_months", "draws", "seed", "headline", "verdict", "cautions",
    "assumed", "builds",
}  # fmt: skip
BUILD = {
    "name", "meets_needs", "needs", "needs_met_fraction", "nominal_tb", "usable_tb", "usable_tib",
    "plannable_tb", "asked_tb", "upfront_cost", "net_present_cost", "net_present_cost_mean",
    "net_present_cost_p10", "net_present_cost_p90", "net_present_cost_by_cause",
    "cost_per_usable_tb", "full_cost_per_usable_tb", "levelised_cost_per_tb_year", "remedy_cost",
    "unmet_tb_months", "cost_by_year", "cost_by_year_mean", "first_fill_months", "headroom_months",
    "first_order_by_date", "box_loss_probability", "box_loss_probability_at_middle_rate",
    "box_loss_probability_low", "box_loss_probability_high", "lost_at_once_tb",
    "gone_for_good_probability", "expected_tb_lost", "drive_failures", "rebuild_h", "streams",
    "power_w", "peak_power_w", "noise_dba", "purchases",
}  # fmt: skip
VERDICT = {
    "outcome", "first", "second", "recommended", "level_with", "clear", "gap_cost",
    "cheaper_fraction",
}  # fmt: skip


def test_compare_prints_the_decision(capsys):
    assert main(["compare", DEMO, "--draws", "100"]) == 0
    text = capsys.readouterr().out
    for words in (
        "Buy “12 bays, room for a shelf” now",
        "Side by side",
        "Needs",
        "in today's money",
        "Take care",
        "one copy",
    ):
        assert words in text


def test_compare_as_json_has_every_promised_key(capsys):
    assert main(["compare", DEMO, "--json", "--draws", "50"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found) == TOP
    assert set(found["verdict"]) == VERDICT
    for build in found["builds"]:
        assert set(build) >= BUILD
        assert set(build["headroom_months"]) == {"p10", "p50", "p90"}
        assert {"need", "required", "value", "met", "met_fraction"} == set(build["needs"][0])
        assert {"month", "what", "drives", "count", "cost"} == set(build["purchases"][0])


def test_json_point_does_not_depend_on_draws(capsys):
    main(["compare", DEMO, "--json", "--draws", "0"])
    point = json.loads(capsys.readouterr().out)["builds"]
    main(["compare", DEMO, "--json", "--draws", "40"])
    drawn = json.loads(capsys.readouterr().out)["builds"]
    for one, other in zip(point, drawn, strict=True):
        for key in ("net_present_cost", "upfront_cost", "drive_failures", "purchases"):
            assert one[key] == other[key]
        assert one["net_present_cost_p10"] == one["net_present_cost"] == one["net_present_cost_p90"]


def test_check_tells_all_is_well_and_what_was_assumed(capsys):
    assert main(["check", DEMO]) == 0
    text = capsys.readouterr().out
    assert "nothing wrong" in text
    assert "To find out" in text
    assert "What matters most" in text


def test_check_lists_all_that_matters_when_asked(capsys):
    main(["check", DEMO])
    few = capsys.readouterr().out
    assert "--all" in few
    main(["check", DEMO, "--all"])
    every = capsys.readouterr().out
    assert "--all" not in every
    assert len(every.splitlines()) > len(few.splitlines())


@pytest.mark.parametrize("command", ["compare", "check", "report", "open"])
def test_an_unusable_scenario_exits_2_without_a_traceback(command, tmp_path, capsys):
    assert main([command, str(tmp_path / "none.toml")]) == 2
    heard = capsys.readouterr()
    assert "does not exist" in heard.err
    assert "Traceback" not in heard.err


@pytest.mark.parametrize("arguments", [["compare", DEMO, "--draws", "-1"], ["compare"], ["buy"]])
def test_wrong_arguments_are_explained(arguments, capsys):
    with pytest.raises(SystemExit) as stopped:
        main(arguments)
    assert stopped.value.code == 2
    assert "usage" in capsys.readouterr().err


PLANNED = str(Path(__file__).parents[2] / "data_examples" / "mid_life.toml")


def test_plan_prints_the_plan_its_checks_and_the_calendar(capsys):
    assert main(["plan", PLANNED, "--draws", "50"]) == 0
    text = capsys.readouterr().out
    for words in (
        "Best plan of",
        "why then",
        "dearer if ordered later; space is needed in",
        "- It is planned for space that",
        "- Not knowing which future will come costs about",
        "By a rule instead of a plan the same box",
        "Purchase calendar",
    ):
        assert words in text


def test_plan_without_a_plan_says_how_to_have_one_and_prints_the_calendar(capsys):
    assert main(["plan", DEMO, "--draws", "20"]) == 0
    text = capsys.readouterr().out
    assert 'Write plan = "best" into one' in text
    assert "Purchase calendar" in text
    assert "Best plan of" not in text


def test_plan_as_json_is_one_object(capsys):
    assert main(["plan", PLANNED, "--json", "--draws", "50", "--seed", "3"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found) == {
        "scenario", "currency", "horizon_months", "draws", "seed", "verdict", "plans", "calendar",
    }  # fmt: skip
    assert (found["draws"], found["seed"]) == (50, 3)
    assert [each["orders"][0]["month"] for each in found["plans"]] == [3]
    assert len(found["calendar"]) == 5
