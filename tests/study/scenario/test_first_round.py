"""Everything that can be found is told in the first round, with its line and the nearest word."""

import re

import pytest
from study.scenario.written import RIGHT, changed, line_of, told

from storagecalc.study.scenario.nearest import nearest_word

BOX = "box_price = 1200"


def test_rules_of_a_table_are_told_beside_its_wrong_keys(tmp_path):
    """Each of these hid another until it was mended."""
    faults = told(
        tmp_path,
        changed(
            ("depth_mm = 400", 'depth_mm = 4\ngrows_by = "swapping"'),
            ("drives_at_first = 5", "drives_at_first = 9"),
            ("cameras = 2\n", "cameras = -2\n"),
            ("rate_mbit_s = 100\n", ""),
            ("after_months = 48, keep_fraction = 0.2", "after_months = 12, keep_fraction = 0.5"),
            ("[elsewhere.tapes]\nprice_per_tb_month = 0.15", "[elsewhere.tapes]"),
            ('"tapes" }', '"tape" }'),
            ("horizon_months = 84", "horizon_months = 6"),
            ("from_date = 2028-01-01", "from_date = 2026-01-01"),
        ),
    )
    for words in (
        "builds.small.depth_mm = 4: must be from",
        "builds.small: the box has 8 bays, too few for its drives_at_first, which is 9",
        'builds.small: grows_by = "swapping" needs swap_to',
        "work.films.cameras = -2: must be from",
        "work.films: hours_per_camera_day is above 0, so it needs a format",
        "keep.films: steps must stand in order",
        "keep.films: keep_fraction can only fall",
        "elsewhere.tapes.price_per_tb_month: is missing",
        'did you mean "tapes"?',
        "horizon_months = 6: must be from 12 to 240 months",
    ):
        assert sum(words in fault for fault in faults) == 1, words
    assert len(faults) == 10  # a horizon that is wrong leaves open which dates lie within it
    assert all(re.match(r"line \d+, ", fault) for fault in faults)


def test_no_rule_is_asked_that_needs_a_wrong_key(tmp_path):
    (only,) = told(tmp_path, changed(("bays = 8", "bays = 0")))
    assert "builds.small.bays = 0" in only
    (only,) = told(tmp_path, changed(('redundancy = "double parity"', 'redundancy = "tape"')))
    assert 'builds.small.redundancy = "tape": must be one of "none", "mirror", "single' in only


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("cameras = 2\n", "camera = 2\n"),
        ("shoot_days_per_month", "shoot_day_per_month"),
        ("[drives.large]", "[drive.large]"),
        ("[running]", "[runing]"),
        ("box_price", "Box-Price"),
        ("next_build", "next_bild"),
    ],
)
def test_a_misspelt_key_is_one_fault(tmp_path, right, wrong):
    """Not a second one because the key it stands for is then missing."""
    text = changed((right, f"{wrong}")) if wrong != "Box-Price" else changed((right, '"Box-Price"'))
    (only,) = told(tmp_path, text)
    assert "is not a known key here; did you mean" in only
    assert only.startswith(f"line {line_of(text, wrong)}, ")


def test_what_stands_under_a_misspelt_key_is_checked_at_once(tmp_path):
    faults = told(tmp_path, changed(("cameras = 2\n", "camera = 200\n"), ("[builds.", "[build.")))
    assert len(faults) == 3
    assert "work.films.cameras = 200: must be from 0 to 60" in "\n".join(faults)


def test_a_second_table_under_a_misspelt_heading_joins_the_first(tmp_path):
    other = RIGHT[RIGHT.index("[builds.small]") : RIGHT.index("[prices]")]
    other = other.replace("builds.small", "build.big").replace("= 8", "= 4")
    (unknown, rule) = told(tmp_path, RIGHT.replace("[prices]", f"{other}[prices]"))
    assert 'build = { big = { drives = "large", bays = 4' in unknown
    assert "builds.big: the box has 4 bays, too few for its drives_at_first, which is 5" in rule


@pytest.mark.parametrize("word", ["rack_price", "tripods", "colour", "x", "price_of_the_rack"])
def test_what_is_far_from_any_key_gets_no_wild_guess(tmp_path, word):
    (only,) = told(tmp_path, changed((BOX, f"{BOX}\n{word} = 3")))
    assert f"{word} = 3: is not a known key here; storagecalc keys lists them all" in only


def test_a_name_of_which_there_is_no_table_says_to_write_one(tmp_path):
    (only,) = told(tmp_path, changed(("[elsewhere.tapes]\nprice_per_tb_month = 0.15\n", "")))
    assert "none is there; write a table [elsewhere.NAME]" in only


def test_a_key_of_another_table_is_sent_there(tmp_path):
    (only,) = told(tmp_path, changed((BOX, f"{BOX}\nstreams = 3")))
    assert "is not a known key here; it belongs in [needs]" in only


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("RAID6", "double parity"),
        ("raid 6", "double parity"),
        ("RAID-5", "single parity"),
        ("raid 10", "striped mirrors"),
        ("RAID 1+0", "striped mirrors"),
        ("Raid1", "mirror"),
        ("level 0", "none"),
        ("Double Parity", "double parity"),
        ("double_parity", "double parity"),
        ("doubel parity", "double parity"),
        ("triple", "triple parity"),
        ("MIRROR", "mirror"),
    ],
)
def test_a_wrong_word_for_redundancy_gets_the_right_one(tmp_path, word, meant):
    faults = told(tmp_path, changed(('"double parity"', f'"{word}"')))
    (fault,) = (each for each in faults if "builds.small.redundancy" in each)
    assert f'did you mean "{meant}"?' in fault
    assert f'"{word}"' in fault


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ('"double parity"', "6", 'did you mean "double parity"?'),
        ('"tapes" }', '"Deleted" }', 'did you mean "deleted"?'),
        ('keep = "films"', 'keep = "Films"', 'did you mean "films"?'),
        ('next_build = "small"', 'kind = "Early Cull"', 'did you mean "early cull"?'),
        (BOX, f'{BOX}\ngrows_by = "Whole pool"', 'did you mean "whole pools"?'),
        ("currency", 'prices_are = "Quoted"\ncurrency', 'did you mean "quoted"?'),
    ],
)
def test_a_wrong_choice_gets_the_nearest_one(tmp_path, right, wrong, said):
    (only,) = told(tmp_path, changed((right, wrong)))
    assert said in only


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("4k", '"storagecalc formats 4k" lists those that may be meant'),
        ("UHD", '"storagecalc formats uhd" lists'),
        ("full hd", '"storagecalc formats fullhd" lists'),
        ("10 bit", '"storagecalc formats 10bit" lists'),
        ("h264_uhd_100_averag", 'did you mean "h264_uhd_100_average"?'),
        ("H264-UHD-100-average", 'did you mean "h264_uhd_100_average"?'),
        ("papyrus", "must be a key from storagecalc formats"),
    ],
)
def test_an_unknown_format_points_to_the_list(tmp_path, word, said):
    (only,) = told(tmp_path, changed(("rate_mbit_s = 100", f'format = "{word}"')))
    assert said in only
    assert "must be a key from storagecalc formats" in only


def test_entries_of_lists_are_counted_as_people_count(tmp_path):
    text = changed(("keep_fraction = 0.3", "keep_fraction = 3"), ("cameras = 3", "cameras = -3"))
    change, step = told(tmp_path, text)
    assert change.startswith(
        f"line {line_of(text, 'cameras = -3')}, change 1 of work.films,"
        " work.films.changes.0.cameras = -3: must be from"
    )
    assert step.startswith(
        f"line {line_of(text, 'keep_fraction = 3')}, step 1 of keep.films,"
        " keep.films.steps.0.keep_fraction = 3: must be from"
    )


def test_a_missing_key_has_the_line_of_its_table(tmp_path):
    text = changed(("size_tb = 12\n", ""))
    (only,) = told(tmp_path, text)
    assert only.startswith(f"line {line_of(text, '[drives.large]')}, drives.large.size_tb: is miss")


def test_what_is_not_in_the_file_at_all_comes_last_without_a_line(tmp_path):
    text = changed(('title = "by hand"\n', ""), ("cameras = 2\n", "cameras = 99\n"))
    first, last = told(tmp_path, text)
    assert first.startswith("line ")
    assert last.startswith("title: is missing")


def test_both_ends_of_a_range_are_told(tmp_path):
    (only,) = told(
        tmp_path, changed(("low = 3, middle = 5, high = 8", "low = -3, middle = 5, high = 80"))
    )
    assert "low must be from 0 to 31 days; high must be from 0 to 31 days" in only


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("2027-03-01", "= 2027-03-01:"),
        ("2027-03-01T10:00:00", "= 2027-03-01 10:00:00:"),
        ("07:30:00", "= 07:30:00:"),
        ("true", "= true:"),
        ("[1, true, [2027-03-01]]", "= [1, true, [2027-03-01]]:"),
        ("{ a = false }", "= { a = false }:"),
    ],
)
def test_values_are_shown_as_a_file_has_them(tmp_path, value, shown):
    for key in ("currency", "depth_mm", "box_price"):
        text = re.sub(rf"^{key} = .*$", f"{key} = {value}", RIGHT, flags=re.MULTILINE)
        assert any(shown in fault for fault in told(tmp_path, text)) or value.startswith("{")


@pytest.mark.parametrize(
    ("word", "known", "near"),
    [
        ("rack_price", ["box_price"], None),
        ("box_prise", ["box_price"], "box_price"),
        ("price", ["box_price"], "box_price"),
        ("boxprice", ["box_price"], "box_price"),
        ("size_gb", ["size_tb"], "size_tb"),
        ("lead_time", ["lead_time_months"], "lead_time_months"),
        ("noise_db", ["noise_dba", "depth_mm"], "noise_dba"),
        ("k0_price", ["prices"], None),
        ("build", ["builds", "rebuild"], "builds"),
        ("", ["a"], None),
        ("a", [], None),
    ],
)
def test_a_near_word_is_near_in_all_its_parts(word, known, near):
    assert nearest_word(word, known) == near
