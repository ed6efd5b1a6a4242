"""What the loader refuses, and what it says: the thing, the rule, the value, and what to do."""

import math
import os
from datetime import date
from pathlib import Path

import pytest
from study.conftest import DEMO
from study.small import SMALL, with_tables

from storagecalc import ScenarioError, load_scenario
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.quantity import Range

FLOOD = {"from_date": date(2028, 1, 1), "months": 9, "price_factor": 1.5}
# Dotted key, wrong value, and words that the message must hold.
WRONG = [
    ("work.stage.cameras", math.nan, ["work.stage.cameras", "finite", "nan"]),
    ("work.stage.cameras", math.inf, ["finite", "inf"]),
    ("work.stage.cameras", -2, ["from 0 to 60 cameras", "-2"]),
    ("work.stage.cameras", "3", ['work.stage.cameras = "3": must be', "without quotes"]),
    ("work.stage.cameras", True, ["must be a number"]),
    ("work.stage.camera", 3, ["work.stage.camera", 'did you mean "cameras"']),
    ("title", "", ["title", "must not be empty"]),
    ("title", 7, ["title", "text in quotes"]),
    ("discount_rate_per_year", 6, ["did you mean 0.06"]),
    ("work.stage.growth_per_year", -50, ["-50 % is written -0.5"]),
    ("filling.free_fraction", 15, ["15 % is written 0.15"]),
    ("drives.tb16.size_tb", 16_000, ["did you write GB", "16 TB"]),
    ("builds.eight_at_once.depth_mm", 38, ["did you write cm", "380 mm"]),
    ("work.stage.rate_mbit_s", 100, ["a format or a rate_mbit_s, not both"]),
    ("work.stage.format", "h264_uhd_100_averag", ["did you mean", "h264_uhd_100_average"]),
    ("work.stage.keep", "commisions", ["[keep]", 'did you mean "commissions"']),
    ("work.stage.end_date", date(2026, 1, 1), ["after the scenario's start_date"]),
    (
        "work.documentary.changes.0.from_date",
        date(2026, 9, 1),
        ["after the scenario's start_date", "the work itself"],
    ),
    ("work.documentary.changes.0.from_date", date(2040, 9, 1), ["would change nothing"]),
    ("builds.eight_at_once.drives", "tb18", ["[drives]", 'did you mean "tb16"']),
    ("builds.eight_at_once.drives_at_first", 9, ["has 8 bays, too few", "which is 9"]),
    ("builds.eight_at_once.drives_at_first", 2, ["cannot be laid out", "double parity"]),
    ("builds.eight_at_once.drives_at_first", 7.5, ["whole number"]),
    ("builds.eight_at_once.drives_at_first", {"low": 4, "middle": 5, "high": 6}, ["counts"]),
    ("builds.eight_at_once.redundancy", "double", ["redundancy", "double parity"]),
    ("builds.eight_in_steps.name", "8 BAYS, filled at once", ["already the name"]),
    ("builds.eight_in_steps.name", " ", ["must not be empty"]),
    ("needs.confidence_fraction", 80, ["did you mean 0.8"]),
    ("needs.streams", {"low": 4, "middle": 5, "high": 6}, ["a choice of yours"]),
    (
        "needs.headroom_months",
        96,
        [
            "needs.headroom_months = 96: must be at most horizon_months, which is 84",
            "raise",
            "less",
        ],
    ),
    ("horizon_months", 24, ["needs.headroom_months = 28", "which is 24"]),
    ("horizon_months", 24.0, ["needs.headroom_months = 28", "which is 24"]),
    ("costs.rack.builds", ["twelve_and_shelf", "twelve"], ["costs.rack.builds.1", "[builds]"]),
    ("costs.rack.builds", ["eight_in_step"], ['did you mean "eight_in_steps"']),
    ("costs.rack.builds", "twelve_and_shelf", ["costs.rack.builds", "a list in square brackets"]),
    ("costs.switch.every_months", 12, ["costs.switch", "every_months", "life_years", "not both"]),
    ("costs.switch.every_months", 0, ["from 1 to 240 months"]),
    ("costs.switch.every_months", {"low": 6, "middle": 12, "high": 18}, ["counts"]),
    ("costs.switch.life_years", 0, ["from 1 to 30 years"]),
    ("costs.switch.price", -1, ["costs.switch.price = -1: must be from 0"]),
    ("costs.switch.price", ..., ["costs.switch.price: is missing: price of it", "a quote"]),
    ("costs.switch.prise", 3, ['did you mean "price"']),
    (
        "costs.switch.from_date",
        date(2026, 12, 31),
        ["costs.switch.from_date = 2026-12-31", "not be before the scenario's start_date"],
    ),
    ("costs.switch.from_date", date(2034, 1, 1), ["would change nothing"]),
    ("costs.switch.from_date", "later", ["must be a date"]),
    ("costs", {" ": {"price": 3}}, ["costs: has a table without a name"]),
    ("shortages", {"f": {"months": 9}}, ["f.from_date: is missing: month", "f.price_factor: is"]),
    (
        "shortages",
        {"f": FLOOD | {"from_date": date(2027, 1, 20)}},
        [
            "f.from_date = 2027-01-20: must be after the scenario's start_date, 2027-01-01",
            "today's",
        ],
    ),
    ("shortages", {"f": FLOOD | {"from_date": date(2034, 1, 1)}}, ["would change nothing"]),
    ("shortages", {"f": FLOOD | {"price_factor": 0}}, ["f.price_factor", "from 0.1 to 10 times"]),
    ("shortages", {"f": FLOOD | {"months": 0}}, ["shortages.f.months = 0: must be from 1 to 120"]),
    ("shortages", {"f": FLOOD | {"recovery_months": -1}}, ["f.recovery_months", "from 0 to 120"]),
    ("shortages", {"f": FLOOD | {"probability_fraction": 30}}, ["30 % is written 0.3"]),
    ("shortages", {"f": FLOOD | {"drives": ["tb61"]}}, ["f.drives.0", 'did you mean "tb16"']),
    ("shortages", {" ": FLOOD}, ["shortages: has a table without a name"]),
    ("prices.drive_shock_per_year", -0.1, ["drive_shock_per_year = -0.1: must be from 0 to 0.6"]),
    (
        "drives.tb16.price_holds_until_date",
        date(2026, 12, 31),
        [
            "tb16.price_holds_until_date = 2026-12-31: is before the scenario's start_date",
            "run out",
        ],
    ),
    (
        "builds.eight_at_once.box_price_holds_until_date",
        date(2026, 11, 1),
        ["builds.eight_at_once.box_price_holds_until_date", "the quote has run out"],
    ),
    ("remedy.kind", "nothing", ["next box", "held elsewhere", "early cull"]),
    ("remedy.next_build", "eight", ["[builds]"]),
    ("remedy.next_build", ..., ["must name the build", "unless remedy.kind is another"]),
    ("keep.commissions.steps.0.rest_goes_to", "vaults", ["[elsewhere]", '"vault"']),
    ("keep.commissions.steps.1.after_months", 9, ["in order"]),
    ("keep.commissions.steps.1.keep_fraction", 0.9, ["can only fall"]),
    ("horizon_months", 600, ["from 12 to 240"]),
    ("start_date", "soon", ["must be a date"]),
    ("start_date", date(1970, 1, 1), ["2000"]),
    (
        "running",
        ...,
        [
            "missing table [running]: it needs electricity_price_per_kwh and labour_price_per_h",
        ],
    ),
    ("work", ..., ["missing table [work.NAME]: it needs keep and shoot_days_per_month"]),
    ("keep", ..., ["missing table [keep.NAME]: it may stay empty"]),
    (
        "running.labour_price_per_h",
        ...,
        ["is missing: price of an hour of work, from 0 to 500 per h (to find out: the wage"],
    ),
    ("work.stage.keep", ..., ["is missing: keep rule it falls under", "[keep.NAME]"]),
    (
        "builds.eight_at_once.redundancy",
        ...,
        ["is missing: what stands in for a broken drive, one of none, mirror, single parity"],
    ),
    ("work.keep", {"camera": 2}, ["work.keep.camera", 'did you mean "cameras"']),
    ("work.stage.tripods", 2, ["storagecalc keys lists them all"]),
    ("builds", {}, ["at least one"]),
    ("work.stage.cameras", {"low": 1, "high": 3}, ["low = ..., middle = ..., high"]),
    ("drives.tb16.size_tb", 10**400, ["must be a finite number from 0.25 to 100 TB"]),
    ("horizon_months", -(10**4000), ["…", "must be a finite number"]),
    ("work.stage.cameras", {"low": 5e-324, "middle": 2, "high": 3}, ["low must lie above"]),
    (
        "prices.drive_change_per_year",
        {"low": -1e-20, "middle": 0, "high": 1e-20},
        ["too close to tell apart"],
    ),
]


@pytest.mark.parametrize(("key", "value", "words"), WRONG)
def test_refuses_with_key_value_and_rule(damaged, key, value, words):
    with pytest.raises(ScenarioError) as caught:
        damaged({key: value})
    for word in words:
        assert word in str(caught.value)


def test_an_impossible_triple_says_which_to_move(damaged):
    with pytest.raises(ScenarioError, match="middle"):
        damaged({"work.stage.cameras": {"low": 1, "middle": 1.01, "high": 9}})


@pytest.mark.parametrize(
    ("key", "value", "shown"),
    [
        ("title", date(2027, 1, 31), "title = 2027-01-31: must be text in quotes"),
        ("currency", True, "currency = true: must be text in quotes"),
        ("work.stage.cameras", {"low": 1, "high": [True, 3]}, "= { low = 1, high = [true, 3] }:"),
        ("work.stage.cameras", Range(1, 2, 2), "= { low = 1, middle = 2, high = 2 }:"),
        ("builds.eight_at_once.box_price", [], "= []: must be a number from 0 to 200,000, written"),
    ],
)
def test_values_are_shown_as_the_file_has_them(damaged, key, value, shown):
    with pytest.raises(ScenarioError) as caught:
        damaged({key: value})
    assert shown in str(caught.value)


def test_tells_every_fault_at_once(damaged):
    with pytest.raises(ScenarioError) as caught:
        damaged(
            {
                "work.stage.cameras": -1,
                "builds.eight_at_once.drives": "tb18",
                "builds.twelve_and_shelf.drives_at_first": 13,
                "running.labour_price_per_h": ...,
            }
        )
    assert len(caught.value.faults) == 4
    assert "4 faults" in str(caught.value)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("missing.toml", None, "does not exist"),
        ("broken.toml", b"title = ", "not valid TOML"),
        ("twice.toml", b"a = 1\na = 2\n", "not valid TOML"),
        ("binary.toml", bytes(range(256)), "not UTF-8"),
        ("empty.toml", b"", "missing"),
        ("junk.toml", b"x" * 10_000_000, "larger than"),
        ("deep.toml", b"a = " + b"[" * 5000 + b"]" * 5000, "nested too deeply"),
        ("dotted.toml", b"a." * 3000 + b"a = 1", "more than can be shown: is not a known key"),
        ("digits.toml", b"title = " + b"9" * 5000, "thousands of digits"),
        ("hex.toml", b"title = 0x" + b"f" * 5000, "more than can be shown: must be text"),
    ],
)
def test_unusable_files_are_named(tmp_path: Path, name, content, words):
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(ScenarioError, match=words):
        load_scenario(path)


def test_a_file_may_begin_with_the_mark_of_its_encoding(tmp_path: Path, demo):
    path = tmp_path / "marked.toml"
    path.write_bytes(DEMO.read_text(encoding="utf-8").encode("utf-8-sig"))
    assert load_scenario(path) == demo


def test_pipes_and_devices_are_no_scenarios(tmp_path: Path):
    """Told at once: nobody waits for the end of what has none."""
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero"), Path("/dev/null")):
        with pytest.raises(ScenarioError, match="is a device or a pipe; name a file"):
            load_scenario(path)


def test_a_huge_file_is_not_read_to_its_end(tmp_path: Path):
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as file:
        file.truncate(10**9)
    with pytest.raises(ScenarioError, match="larger than 300,000 bytes"):
        load_scenario(huge)


def test_a_name_that_no_file_can_have_is_told():
    with pytest.raises(ScenarioError, match="name that no file can have"):
        load_scenario("a\0b.toml")


def test_a_directory_is_no_scenario(tmp_path: Path):
    with pytest.raises(ScenarioError, match="is a directory"):
        load_scenario(tmp_path)


def test_hostile_names_are_kept_but_shortened_in_messages(damaged):
    name = "<script>alert(1)</script>\u202e" + "x" * 10_000
    scenario = damaged({"builds.eight_at_once.name": name})
    assert scenario.build_name("eight_at_once") == name
    with pytest.raises(ScenarioError) as caught:
        damaged({"builds.eight_at_once.drives": name})
    assert len(str(caught.value)) < 1000
    assert "\u202e" not in str(caught.value)


def test_hostile_names_of_costs_are_kept_but_shortened_in_messages(damaged):
    name = "<img src=x>{0}\u202e" + "y" * 10_000
    assert name in damaged({"costs": {name: {"price": 5, "every_months": 12}}}).costs
    with pytest.raises(ScenarioError) as caught:
        damaged({"costs": {name: {"price": -5, "builds": [name]}}})
    assert len(caught.value.faults) == 2
    assert len(str(caught.value)) < 1000
    assert "\u202e" not in str(caught.value)


@pytest.mark.parametrize(
    "cost",
    [
        {"from_date": date(2027, 1, 1)},
        {"from_date": date(2033, 12, 31)},
        {"every_months": 240},
        {"life_years": {"low": 5, "middle": 7, "high": 10}},
        {"builds": []},
        {"builds": ["twelve_and_shelf", "eight_at_once"]},
    ],
)
def test_costs_up_to_their_limits_are_taken(damaged, cost):
    assert damaged({"costs": {"one": {"price": 1, **cost}}}).costs["one"].price == 1


def test_a_cost_in_the_month_of_the_start_is_not_before_it(damaged):
    changes = {"start_date": date(2027, 1, 20), "costs.switch.from_date": date(2027, 1, 3)}
    assert damaged(changes).costs["switch"].from_date == date(2027, 1, 3)


def test_headroom_up_to_the_horizon_may_be_asked(damaged):
    assert damaged({"needs.headroom_months": 84}).needs.headroom_months == 84


def test_headroom_beyond_a_horizon_left_out_is_refused(damaged):
    with pytest.raises(ScenarioError, match="at most horizon_months, which is 84"):
        damaged({"horizon_months": ..., "needs.headroom_months": 85})
    with pytest.raises(ScenarioError, match=r"2 faults(?s:.*)at most horizon_months"):
        damaged({"needs.headroom_months": 85, "start_date": "soon"})


def test_varied_changes_one_value_and_checks_it(demo):
    assert demo.varied({"builds.eight_in_steps.lead_time_months": 4}) != demo
    changed = demo.varied({"work.documentary.changes.0.cameras": 2})
    assert changed.work["documentary"].changes[0].cameras == 2
    for key in ("builds.eight_in_steps.lead_time", "build.eight_in_steps.bays", "work.stage"):
        with pytest.raises(ScenarioError):
            demo.varied({key: 4})


def test_varied_reaches_tables_that_the_file_leaves_out(demo):
    assert demo.varied({"filling.free_fraction": 0.2}).filling.free_fraction == 0.2


def test_written_and_loaded_again_is_the_same(demo):
    assert scenario_from(demo.as_written(), source="again") == demo


def test_a_cost_may_begin_in_the_last_month_and_not_after(small):
    """24 months from January 2027: the last one is December 2028."""
    with_tables(small, {"costs.check": {"price": 5, "from_date": date(2028, 12, 1)}})
    with pytest.raises(ScenarioError, match=r"costs\.check\.from_date"):
        with_tables(small, {"costs.check": {"price": 5, "from_date": date(2029, 1, 1)}})


def test_half_an_hour_of_footage_needs_a_rate_too():
    shoots = {**SMALL["work"]["shoots"], "hours_per_camera_day": 0.5}
    del shoots["rate_mbit_s"]
    with pytest.raises(ScenarioError, match="needs a format"):
        scenario_from({**SMALL, "work": {"shoots": shoots}}, source="by hand")


def test_as_much_may_stay_from_one_step_to_the_next(small):
    steps = [{"after_months": age, "keep_fraction": 0.5} for age in (6, 12)]
    kept = with_tables(small, {"keep.all": {"steps": steps}})
    assert len(kept.keep["all"].steps) == 2


ONE, TWO = {"title": ""}, {"title": "", "currency": 7}


@pytest.mark.parametrize(("faults", "words"), [(ONE, "1 fault,"), (TWO, "2 faults,")])
def test_faults_are_counted_in_plain_words(faults, words):
    with pytest.raises(ScenarioError, match=words):
        scenario_from(SMALL | faults, source="by hand")
