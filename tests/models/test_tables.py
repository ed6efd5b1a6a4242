"""Tables: every row has its unit, date, kind and source, and nothing stands in them twice."""

import csv
import re
from datetime import date
from importlib.resources import files

import pytest

from storagecalc.models.tables import table

NAMES = ("recording_formats", "card_classes", "interfaces", "drive_prices")
KINDS = {"published", "recomputed", "measured"}
PUBLICATION = re.compile(r"[^']{3,}, '[^']{3,}', [^',]{3,}")


@pytest.mark.parametrize("name", NAMES)
def test_every_row_says_unit_date_kind_and_source(name):
    for row in table(name):
        assert row["unit"], row
        assert date.fromisoformat(row["date"]), row
        assert row["kind"] in KINDS, row
        assert row["source"].strip(), row
        assert all(cell == cell.strip() for cell in row.values()), row


@pytest.mark.parametrize("name", NAMES)
def test_what_is_published_says_who_wrote_and_who_published_it(name):
    published = [row for row in table(name) if row["kind"] == "published"]
    assert published
    assert not [row["key"] for row in published if not PUBLICATION.match(row["source"])]


@pytest.mark.parametrize("name", NAMES)
def test_keys_and_labels_are_used_once(name):
    for column in ("key", "label"):
        cells = [row[column] for row in table(name)]
        assert len(set(cells)) == len(cells)
        assert all(cells)


@pytest.mark.parametrize("name", NAMES)
def test_no_row_is_short_or_long(name):
    text = (files("storagecalc.tables") / f"{name}.csv").read_text(encoding="utf-8")
    lengths = {len(row) for row in csv.reader(text.splitlines())}
    assert len(lengths) == 1


def test_rows_cannot_be_changed_by_whoever_reads_them():
    with pytest.raises(TypeError):
        table("card_classes")[0]["label"] = "other"
    assert table("card_classes") is table("card_classes")


def test_an_unknown_table_is_refused_with_those_there_are():
    with pytest.raises(ValueError, match=r"card_classes, .*recording_formats.*got 'prices'"):
        table("prices")


def test_a_card_class_is_named_for_what_it_writes():
    """U1 and U3 aside, the number in the name of a class is MB/s."""
    for row in table("card_classes"):
        number = float(row["key"][1:])
        assert float(row["minimum_write_mb_s"]) in (number, 10 * number)


def test_lanes_of_the_expansion_bus_second_route():
    """GT/s per lane times 128/130 coding over eight bits, rounded to the printed digit."""
    ceilings = {row["key"]: float(row["ceiling_mb_s"]) for row in table("interfaces")}
    lane = 8000 * 128 / 130 / 8
    assert ceilings["pcie3_x1"] == pytest.approx(lane, abs=0.06)
    assert ceilings["pcie4_x2"] == pytest.approx(4 * lane, abs=0.06)
    assert ceilings["sd_express_gen3x1"] == pytest.approx(lane, abs=0.5)
    assert ceilings["sd_express_gen4x2"] == pytest.approx(4 * lane, abs=0.6)
    assert ceilings["usb32_gen1"] == 5000 * 8 / 10 / 8


def test_a_bus_is_never_slower_than_the_class_that_needs_it():
    ceilings = {row["key"]: float(row["ceiling_mb_s"]) for row in table("interfaces")}
    needs = {"High Speed or faster": "sd_high_speed", "UHS-II or faster": "uhs2_full_duplex"}
    for row in table("card_classes"):
        if row["needs_bus"] in needs:
            assert float(row["minimum_write_mb_s"]) <= ceilings[needs[row["needs_bus"]]]
