"""What the notebooks call: passages, still charts and live panels, without a browser."""

import json
import re
from pathlib import Path

import pytest
from study.small import SMALL

from storagecalc import (
    evaluate,
    formats_compared,
    load_scenario,
    panel,
    redundancy_compared,
    redundancy_panel,
    show,
)
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.charts.footage_formats import format_chart
from storagecalc.views.charts.loss_redundancy import redundancy_chart
from storagecalc.views.notebook import PARTS
from storagecalc.views.page.answer import redundancy_answer
from storagecalc.views.text.footage import NO_CAMERAS
from storagecalc.views.text.loss import COPIES, planned_loss, redundancy_title
from storagecalc.views.text.numbers import RARE_WORDS
from storagecalc.views.text.plan import NO_PLAN

EXAMPLES = Path(__file__).parents[2] / "data_examples"
QUANTITIES = [
    *("rebuild.*", "drives.*.failures_per_drive_year", "drives.*.size_tb"),
    *("builds.*.hot_spares", "builds.*.cold_spares"),
]
# Wide enough to read on the page; a cell that is longer names the build or the format.
LONGEST_CELL = 90


@pytest.fixture(scope="module")
def compared(demo):
    return redundancy_compared(demo)


@pytest.fixture(scope="module")
def one_desk():
    """A studio that has a further copy, so that every table has rows."""
    return evaluate(load_scenario(EXAMPLES / "one_desk.toml"), draws=20)


@pytest.fixture(scope="module")
def mid_life():
    """A studio with a best plan."""
    return evaluate(load_scenario(EXAMPLES / "mid_life.toml"), draws=20)


@pytest.fixture(scope="module", params=["stage_films", "one_desk", "twelve_people", "mid_life"])
def example(request):
    return load_scenario(EXAMPLES / f"{request.param}.toml")


def asked(live, identity, **values):
    start = {control["key"]: control["value"] for control in live.spec["controls"]}
    return live.answer({"id": identity, "values": {**start, **values}, "settled": True})


def test_formats_stand_in_columns_with_the_plan_first(demo):
    shown = show(formats_compared(demo, formats=["vc3_hq_uhd_25"]), "format growth")
    head, rows = shown.table.head, {row[0]: row[1:] for row in shown.table.rows}
    assert head[1].startswith("as planned: H.264")
    assert head[2] == "VC-3 HQ, UHD 25 fps"
    assert rows["nominal rate"] == ("100 Mbit/s", "728 Mbit/s")
    assert rows["an hour takes"] == ("45 GB", "328 GB")
    assert rows["a TB holds"] == ("22.2 h", "3.05 h")
    assert len([name for name in rows if "as bought" in name]) == len(demo.builds)
    assert "the heaviest here" in shown.paragraphs[0]


def test_doubt_is_told_with_draws_and_only_then(demo):
    still = repr(show(formats_compared(demo, formats=["vc3_hq_uhd_25"]), "format growth"))
    drawn = repr(show(formats_compared(demo, formats=["vc3_hq_uhd_25"], draws=60), "format growth"))
    ends = re.compile(r"\(\w+ 20\d\d to \w+ 20\d\d\)")
    assert not ends.search(still)
    assert ends.search(drawn)


def test_files_of_another_size_than_nominal_are_mentioned(demo):
    text = repr(show(formats_compared(demo, work="documentary"), "format growth"))
    assert "93 % of the nominal rate" in text


def test_a_scenario_without_cameras_gets_a_sentence():
    work = {"keep": "all", "shoot_days_per_month": 3, "stills_per_shoot_day": 400}
    found = formats_compared(scenario_from({**SMALL, "work": {"stills": work}}, source="stills"))
    assert show(found, "format growth").paragraphs == (NO_CAMERAS,)
    assert show(found, "format chart").paragraphs == (NO_CAMERAS,)


@pytest.mark.parametrize("part", ["loss by year", "loss doubts", "spares"])
def test_no_chance_of_loss_stands_without_what_copies_answer_for(compared, part):
    assert show(compared, part).paragraphs[0] == COPIES


def test_the_live_page_has_the_copies_too(compared):
    assert redundancy_answer(compared)["texts"]["loss"].startswith(COPIES)


def test_rare_chances_leave_the_word_to_other_causes(compared):
    rows = [row for row in show(compared, "loss by year").table.rows if row[1] == "triple parity"]
    assert rows
    assert all(cell == RARE_WORDS for row in rows for cell in row[3:])
    assert redundancy_title(compared).endswith(f"triple parity: {RARE_WORDS}")


def test_what_is_planned_is_marked(compared, demo):
    planned = [row for row in show(compared, "loss by year").table.rows if "as planned" in row[1]]
    assert [row[0] for row in planned] == [build.name for build in demo.builds.values()]
    assert planned_loss(compared).count("double parity") == 3


def test_every_example_fits_every_table(example):
    found = redundancy_compared(example)
    shown = [show(found, "loss by year"), show(found, "loss doubts"), show(found, "spares")]
    for passage in (*shown, show(formats_compared(example), "format growth")):
        table = passage.table
        assert all(len(row) == len(table.head) for row in table.rows)
        assert max(len(cell) for row in table.rows for cell in row) <= LONGEST_CELL
        assert passage._repr_html_()
    json.dumps(redundancy_answer(found), allow_nan=False)


def test_names_stay_names(hostile):
    raw = hostile.scenario.as_written()
    raw["work"] = {f"<img src=x>{key}\u202e": table for key, table in raw["work"].items()}
    scenario = scenario_from(raw, source="hostile")
    found, kinds = formats_compared(scenario), redundancy_compared(scenario)
    drawn = json.dumps([format_chart(found), redundancy_chart(kinds)])
    assert "<script" not in drawn
    assert "<img" not in drawn
    losses = [show(kinds, part) for part in ("loss by year", "loss doubts", "spares")]
    for passage in (show(found, "format growth"), *losses):
        shown = passage._repr_html_()
        assert "<script" not in shown
        assert "<img" not in shown
        assert "\u202e" not in shown


def test_spares_are_sliders_of_whole_drives(demo):
    live = redundancy_panel(demo, quantities=QUANTITIES)
    controls = {control["key"]: control for control in live.spec["controls"]}
    spare = controls["builds.eight_at_once.hot_spares"]
    assert (spare["min"], spare["max"], spare["step"], spare["value"]) == (0, 4, 1, 0)
    before = asked(live, 0)["parts"]["headline"]
    answer = asked(live, 1, **{"builds.eight_at_once.hot_spares": 1})
    assert answer["error"] is None
    assert answer["parts"]["headline"] != before
    assert answer["readouts"]["builds.eight_at_once.hot_spares"] == "1 drive"
    too_many = asked(live, 2, **{"builds.eight_in_steps.hot_spares": 4})
    assert "cannot be laid out" in too_many["error"]


def test_while_a_slider_moves_only_the_chart_follows(demo):
    live = redundancy_panel(demo, quantities=["rebuild.swap_wait_h"])
    values = {"rebuild.swap_wait_h": 24.0}
    moving, settled = (
        live.answer({"id": 1, "values": values, "settled": end}) for end in (False, True)
    )
    counts = [len(each["figures"]["redundancy"]["data"][0]["x"]) for each in (moving, settled)]
    assert counts == [2, 4]
    assert list(moving["parts"]) == ["headline", "loss"]
    assert list(settled["parts"]) == ["headline", "loss", "loss by year", "spares"]
    assert all(moving["parts"][name] == settled["parts"][name] for name in moving["parts"])


@pytest.mark.parametrize("build_panel", [panel, redundancy_panel])
def test_a_panel_saves_where_it_knows_its_file(tmp_path, build_panel):
    file = tmp_path / "plan.toml"
    file.write_bytes((EXAMPLES / "one_desk.toml").read_bytes())
    scenario = load_scenario(file)
    more = {} if build_panel is redundancy_panel else {"tables": [], "draws": 20}
    without = build_panel(scenario, quantities=["rebuild.*"], **more)
    assert "save" not in without.spec["words"]
    live = build_panel(scenario, quantities=["rebuild.*"], file=file, **more)
    assert live.spec["words"]["save"]
    start = {control["key"]: control["value"] for control in live.spec["controls"]}
    moved = {**start, "rebuild.cold_swap_h": 12}
    answer = live.answer({"id": 3, "values": moved, "settled": True, "save": True})
    assert answer["error"] is None
    assert "plan-2.toml" in answer["status"]
    assert load_scenario(tmp_path / "plan-2.toml").rebuild.cold_swap_h == 12


def test_without_a_plan_the_page_says_how_to_have_one_and_checks_none(one_desk):
    assert [*show(one_desk, "plan").paragraphs] == [NO_PLAN]
    assert not show(one_desk, "plan checks").bullets


def test_a_part_that_is_not_there_is_refused_with_those_that_are(compared):
    with pytest.raises(ValueError, match="loss by year, loss doubts, spares, got 'spare'"):
        show(compared, "spare")
    with pytest.raises(ValueError, match="got a dict"):
        show({}, "needs")


@pytest.mark.parametrize("part", PARTS[Evaluation])
def test_every_part_of_an_evaluation_says_something(one_desk, mid_life, part):
    shown = show(mid_life if part.startswith("plan") else one_desk, part)
    assert shown.title
    assert shown.paragraphs or shown.bullets or shown.table.rows
    assert repr(shown)
