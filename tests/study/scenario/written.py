"""Scenario files by hand, for the tests of what is told of them."""

from pathlib import Path

import pytest

from storagecalc import ScenarioError, load_scenario

RIGHT = """\
title = "by hand"
currency = "EUR"
start_date = 2027-03-01
horizon_months = 84

[needs]
streams = 3
upfront_cost = 9000

[work.films]
keep = "films"
shoot_days_per_month = { low = 3, middle = 5, high = 8 }
cameras = 2
hours_per_camera_day = 1.5
rate_mbit_s = 100
stills_per_shoot_day = 200

[[work.films.changes]]
from_date = 2028-01-01
cameras = 3

[keep.films]
steps = [
    { after_months = 24, keep_fraction = 0.3 },
    { after_months = 48, keep_fraction = 0.2, rest_goes_to = "tapes" },
]

[elsewhere.tapes]
price_per_tb_month = 0.15

[drives.large]
size_tb = 12
price = 300

[builds.small]
drives = "large"
bays = 8
drives_at_first = 5
redundancy = "double parity"
box_price = 1200
depth_mm = 400

[prices]
drive_change_per_year = -0.05

[network]
mtu_bytes = 9000

[running]
electricity_price_per_kwh = 0.285
labour_price_per_h = 45

[remedy]
next_build = "small"
"""


def changed(*swaps: tuple[str, str]) -> str:
    """The right file with pieces of its text put in for others, each of which it has once."""
    text = RIGHT
    for old, new in swaps:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def line_of(text: str, piece: str) -> int:
    """The line, from 1, in which a piece of a text stands first."""
    return text[: text.index(piece)].count("\n") + 1


def told(folder: Path, text: str) -> list[str]:
    """What is said of a file that cannot be used, fault by fault."""
    path = folder / "written.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load_scenario(path)
    return [str(fault) for fault in caught.value.faults]


def taken(folder: Path, text: str) -> bool:
    """Whether a file is used as it stands."""
    path = folder / "written.toml"
    path.write_text(text, encoding="utf-8")
    load_scenario(path)
    return True
