"""The command line as a user meets it."""

import json
from pathlib import Path

import pytest

from storagecalc.views.cli import main

DEMO = str(Path(__file__).parents[2] / "data_examples" / "stage_films.toml")
TOP = {
    "scenario", "currency", "horizon_months", "draws", "seed", "headline", "cautions", "assumed",
    "builds",
}  # fmt: skip
BUILD = {
    "name", "meets_needs", "needs", "nominal_tb", "usable_tb", "usable_tib", "plannable_tb",
    "upfront_cost", "net_present_cost", "net_present_cost_mean", "net_present_cost_p10",
    "net_present_cost_p90", "cost_per_usable_tb", "levelised_cost_per_tb_year", "remedy_cost",
    "unmet_tb_months", "cost_by_year", "first_fill_months", "headroom_months",
    "first_order_by_date", "box_loss_probability", "box_loss_probability_at_middle_rate",
    "box_loss_probability_low", "box_loss_probability_high", "gone_for_good_probability",
    "expected_tb_lost", "drive_replacements", "rebuild_h", "streams", "power_w", "noise_dba",
    "purchases",
}  # fmt: skip


def test_compare_prints_the_decision(capsys):
    assert main(["compare", DEMO, "--draws", "100"]) == 0
    text = capsys.readouterr().out
    for words in ("The builds", "Needs", "in today's money", "Take care", "one copy"):
        assert words in text


def test_compare_as_json_has_every_promised_key(capsys):
    assert main(["compare", DEMO, "--json", "--draws", "50"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found) == TOP
    for build in found["builds"]:
        assert set(build) >= BUILD
        assert set(build["headroom_months"]) == {"p10", "p50", "p90"}
        assert {"need", "required", "value", "met"} == set(build["needs"][0])
        assert {"month", "what", "count", "cost"} == set(build["purchases"][0])


def test_json_point_does_not_depend_on_draws(capsys):
    main(["compare", DEMO, "--json", "--draws", "0"])
    point = json.loads(capsys.readouterr().out)["builds"]
    main(["compare", DEMO, "--json", "--draws", "40"])
    drawn = json.loads(capsys.readouterr().out)["builds"]
    for one, other in zip(point, drawn, strict=True):
        for key in ("net_present_cost", "upfront_cost", "box_loss_probability", "purchases"):
            assert one[key] == other[key]
        assert one["net_present_cost_p10"] == one["net_present_cost"] == one["net_present_cost_p90"]


def test_check_tells_all_is_well_and_what_was_assumed(capsys):
    assert main(["check", DEMO]) == 0
    text = capsys.readouterr().out
    assert "nothing wrong" in text
    assert "To find out" in text


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
