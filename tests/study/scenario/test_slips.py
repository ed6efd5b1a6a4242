"""What TOML does not read is told with line, key and the right way, and the rest is checked too."""

import pytest
from study.scenario.written import RIGHT, changed, line_of, taken, told

from storagecalc.study.scenario.slips import put_right

BOX = "box_price = 1200"
SLIPS = [
    (BOX, "box_price = 460,50", "builds.small.box_price = 460,50: write 460.50"),
    (BOX, "box_price = 1.460,50", "= 1.460,50: write 1460.50"),
    (BOX, "box_price = 1,460.50", "= 1,460.50: write 1460.50"),
    (BOX, "box_price = 1'460", "write 1460"),
    (BOX, "box_price = 1 460", "write 1460"),
    (BOX, "box_price = 1\u202f460", "write 1460"),
    (BOX, "box_price = 1460 EUR", "= 1460 EUR: write 1460: the key says the unit"),
    (BOX, "box_price = €1460", "= €1460: write 1460"),
    (BOX, "box_price = EUR 1460", "= EUR 1460: write 1460"),
    (
        BOX,
        "box_price = { low = 900,5, middle = 1200, high = 1500 }",
        "price.low = 900,5: write",
    ),
    ("= -0.05", "= −0.05", "prices.drive_change_per_year = −0.05: write -0.05 with the minus of"),
    ("= -0.05", "= −0,05", "= −0,05: write -0.05"),
    ("= -0.05", "= –0.05", "write -0.05 with the minus"),
    ("= -0.05", "= -5 %", "= -5 %: write -0.05: a share is written from 0 to 1"),
    ('"by hand"', "“by hand”", 'title = “by hand”: write "by hand" with the straight quotes'),
    ('"by hand"', "„by hand“", 'write "by hand" with the straight quotes'),
    ('"by hand"', "‘by hand’", 'write "by hand" with the straight quotes'),
    ('"by hand"', '"by hand”', 'write "by hand" with the straight quotes'),
    ('"by hand"', "by hand", 'title = by hand: write "by hand" in quotes'),
    ('keep = "films"', "keep = films", 'work.films.keep = films: write "films" in quotes'),
    ("2027-03-01", "1.3.2027", "start_date = 1.3.2027: write 2027-03-01"),
    ("2027-03-01", "2027/3/1", "write 2027-03-01"),
    ("2027-03-01", "2027-03", "write 2027-03-01"),
    ("2027-03-01", "3/1/2027", "write 2027-01-03 or 2027-03-01"),
    ("2027-03-01", "3/31/2027", "write 2027-03-31"),
    ("2027-03-01", "2027-13-01", "is no day"),
    ("2027-03-01", "2027-02-30", "there is no such day"),
    ("mtu_bytes = 9000", "mtu_bytes = 09000", "write 9000"),
]


@pytest.mark.parametrize(("right", "wrong", "said"), SLIPS)
def test_a_slip_is_one_fault_with_line_key_and_the_right_way(tmp_path, right, wrong, said):
    text = changed((right, wrong))
    (only,) = told(tmp_path, text)
    shown = only.replace("write 2027-03-01 or 2027-01-03", "write 2027-01-03 or 2027-03-01")
    assert said in shown
    assert only.startswith(f"line {line_of(text, wrong)}, ")


UNREAD = [
    (
        BOX,
        "box_price 1200",
        "builds.small.box_price: is not valid TOML: a line is written key =",
    ),
    (BOX, "box_price: 1200", "a line is written key = value"),
    (BOX, "box_price = ", "the value is no number, date, text in quotes"),
    (BOX, f"{BOX}\n{BOX}", "builds.small.box_price: is not valid TOML: it stands in line"),
    (BOX, "box_price = 1200 (a quote)", "something stands behind the value"),
    ('"by hand"', '"by hand', "title: is not valid TOML: a text has to end on its line"),
    ('"by hand"', '"by \\hand"', "write two backslashes for one"),
    ("[prices]", "[running]", "it stands"),
    ("[prices]", "[prices", "a heading ends with as many brackets"),
    ("]\n\n[elsewhere", "\n\n[elsewhere", "keep.films"),
]


@pytest.mark.parametrize(("right", "wrong", "said"), UNREAD)
def test_a_line_that_cannot_be_read_is_told_in_plain_words(tmp_path, right, wrong, said):
    faults = told(tmp_path, changed((right, wrong)))
    assert any(said in fault for fault in faults)
    assert all(fault.startswith("line ") for fault in faults)


def test_slips_hide_no_other_fault(tmp_path):
    faults = told(
        tmp_path,
        changed(
            ('"by hand"', "“by hand”"),
            ("streams = 3", "streams = 3,5"),
            ("cameras = 2\n", "cameras = 200\n"),
            ("horizon_months = 84", "horizon_months 84"),
            (BOX, "box_price = 300000"),
            ('next_build = "small"', "next_build = big"),
        ),
    )
    assert len(faults) == 6
    numbers = [int(fault.split(",")[0].removeprefix("line ")) for fault in faults]
    assert numbers == sorted(numbers)


def test_nothing_is_missed_because_a_line_was_left_out(tmp_path):
    """The line is there, so that its key is not called missing, nor asked for by a rule."""
    (only,) = told(tmp_path, changed(("rate_mbit_s = 100", "rate_mbit_s 100")))
    assert "work.films.rate_mbit_s" in only
    (only,) = told(tmp_path, changed(("size_tb = 12", "size_tb = = 12")))
    assert "drives.large.size_tb" in only


@pytest.mark.parametrize(
    "right",
    [
        'note = "a – b, “c” 1,5 − 2"',
        "note = 'it is 5,5 = “x”'",
        '"a“b" = 1',
        'a = """\nb = 1,5\n“c”\n"""',
        "a = 1 # = 5,5 “x”",
        "a = [1,2, 3]",
        "a = { b = 1, c = 2 }",
        "a = 2027-01-01T10:00:00Z",
        "a = 2027-01-01 10:00:00",
        "a = 1e-15\nb = 0x1F\nc = inf\nd = -nan\ne = 1_000.5\nf = +3\ng = 07:30:00",
        "a = true\nb = false",
        "[a.b]\n[[c]]\nd=1",
    ],
)
def test_what_is_right_stays_as_it_is(right):
    assert put_right(right) == (right, [])
    assert put_right(f"{right}\r\n") == (f"{right}\r\n", [])


def test_the_right_file_is_taken(tmp_path):
    assert taken(tmp_path, RIGHT)
    assert taken(tmp_path, RIGHT.replace("\n", "\r\n"))
