"""What is told of a file that says of owned boxes what cannot be, or says it as older files did."""

import pytest
from study.scenario.written import RIGHT, changed, line_of, taken, told

BOX = "box_price = 1200"
OLD = """
[owned.old]
drives = "large"
bays = 4
redundancy = "single parity"
box_age_years = 3
box_price = 900
lots = [{ count = 3, age_years = 2 }]
"""


def with_old(build: str, *swaps: tuple[str, str]) -> str:
    """The right file with an owned box, further lines in its build, and pieces swapped."""
    text = changed((BOX, f"{BOX}\n{build}")) + OLD
    for old, new in swaps:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def test_a_box_that_nothing_names_may_stand_there(tmp_path):
    assert taken(tmp_path, RIGHT + OLD)
    assert taken(tmp_path, with_old('keeps = ["old"]\nkeeps_months = 12'))
    assert taken(tmp_path, with_old('drives_from = "old"'))


def test_former_keys_are_one_fault_each_with_their_line(tmp_path):
    lines = ['old_drives = "large"', "old_drive_count = 3", "old_drive_age_years = 4.5",
             "box_age_years = { low = 1, middle = 2, high = 3 }"]  # fmt: skip
    text = changed((BOX, "\n".join([BOX, *lines])))
    new = ["drives_from", "owned.old.lots", "owned.old.lots", "starts_in"]
    faults = told(tmp_path, text)
    assert len(faults) == len(lines)
    for fault, line, key in zip(faults, lines, new, strict=True):
        assert fault.startswith(f"line {line_of(text, line)}, builds.small.{line}: is now ")
        assert f"{key}: write " in fault
        assert fault.count(line.partition(" = ")[2]) == 2  # as it stands, and in the new line


@pytest.mark.parametrize(
    ("written", "right"),
    [
        ("old_drive_age_years = 4,5", "age_years = 4.5 }]"),
        ("old_drive_age_years = 4 years", "age_years = 4 }]"),
        ("old_drives = large", 'with drives = "large"'),
        ("old_drives = “large”", 'with drives = "large"'),
    ],
)
def test_a_slip_in_a_former_key_is_no_fault_of_its_own(tmp_path, written, right):
    (only,) = told(tmp_path, changed((BOX, f"{BOX}\n{written}")))
    assert f"builds.small.{written}: is now " in only
    assert right in only


def test_all_that_cannot_be_is_told_at_once(tmp_path):
    build = 'keeps = ["old", "old"]\nstarts_in = "old"\ndrives_from = "old"'
    text = with_old(build)
    faults = "\n".join(told(tmp_path, text))
    assert faults.count("\n") == 3
    assert (
        f"line {line_of(text, '[builds.small]')}, builds.small: keeps names a box twice" in faults
    )
    assert 'keeps and starts_in both name "old"' in faults
    assert 'keeps and drives_from both name "old"' in faults
    assert f"line {line_of(text, 'bays = 8')}, builds.small.bays = 8: must be 4, as in" in faults


def test_rules_between_keys_hold_beside_a_wrong_key(tmp_path):
    faults = told(tmp_path, with_old("keeps_months = 12", ("bays = 8", "bays = 0")))
    assert ["keeps_months needs keeps" in fault for fault in faults] == [True, False]
    assert "builds.small.bays = 0: must be from 1 to 60" in faults[1]


def test_what_names_no_box_is_told_where_it_stands(tmp_path):
    text = with_old('keeps = ["odl"]')
    (only,) = told(tmp_path, text)
    line = f"line {line_of(text, 'keeps')}, keep 1 of builds.small, builds.small.keeps.0"
    assert only == f'{line} = "odl": must be one of [owned]: old; did you mean "old"?'


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("count = 3", "count = 9", "the box has 4 bays, too few for the 9 drives of its lots"),
        ("count = 3", "cuont = 3", 'cuont = 3: is not a known key here; did you mean "count"?'),
        ("box_price = 900", "box_price = 9", "box_price = 9: is very little for this"),
        ("lots = [{ count = 3, age_years = 2 }]", "lots = []", "must have at least one entry"),
        ("lots = [{ count = 3, age_years = 2 }]", "", "[[owned.old.lots]]: it needs count and age"),
    ],
)
def test_a_table_of_an_owned_box_is_checked_like_any_other(tmp_path, right, wrong, said):
    (only,) = told(tmp_path, with_old("", (right, wrong)))
    assert said in only
