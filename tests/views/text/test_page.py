"""What a slider is called, shows and refuses: shares in a hundred, units, names cut short."""

from dataclasses import replace

import pytest

from storagecalc.study.scenario.sliders import sliders
from storagecalc.views.text.page import (
    amount,
    control_words,
    group_titles,
    label_of,
    out_of_reach,
    shown_unit,
    shown_value,
    true_value,
)

SHARE, PRICE = "filling.free_fraction", "drives.tb16.price"


def slider(demo, key):
    (found,) = sliders(demo, [key])
    return found


def test_a_share_is_shown_in_a_hundred_and_read_back(demo):
    share = slider(demo, SHARE).quantity
    assert shown_unit(share, demo) == "%"
    assert shown_value(share, 0.07 * 3) == 21
    assert true_value(share, 21) == 0.21
    assert amount(share, 0.155, demo) == "15.5 %"


def test_what_is_no_share_is_shown_as_it_is(demo):
    price = slider(demo, PRICE).quantity
    assert shown_unit(price, demo.varied({"currency": "CHF"})) == "CHF"
    assert shown_value(price, 460.0) == true_value(price, 460.0) == 460
    assert amount(price, 1460.0, demo) == "1,460 EUR"


def test_a_chance_per_bit_is_written_as_the_data_sheet_does(demo):
    errors = slider(demo, "drives.tb16.errors_per_bit").quantity
    assert amount(errors, 1e-15, demo).startswith("1e-15")


def test_a_label_says_whose_it_is(demo):
    assert label_of(PRICE, slider(demo, PRICE).quantity, demo).endswith(" (tb16)")
    key = "builds.eight_in_steps.box_price"
    label = label_of(key, slider(demo, key).quantity, demo)
    assert label == "Price of the empty box (8 bays, grown in steps)"
    long = demo.varied({"builds.eight_in_steps.name": "word " * 40})
    assert len(label_of(key, slider(long, key).quantity, long).partition(" (")[2]) <= 31


def test_a_control_has_its_words_in_the_unit_that_is_shown(demo):
    found = slider(demo, SHARE)
    words = control_words(found, demo)
    assert words["unit"] == "%"
    assert words["value"] == 15
    assert words["min"] == pytest.approx(100 * found.lowest)
    assert words["max"] == pytest.approx(100 * found.highest)
    assert words["step"] == pytest.approx(100 * found.step)
    assert [float(end) for end in words["ends"]] == pytest.approx([words["min"], words["max"]])
    assert words["help"].endswith(".")
    assert words["wrong"].startswith(f"{words['label']}: write one number")
    assert words["wrong"].endswith(": 15")


def test_whether_a_value_is_the_files_or_ours(demo):
    found = slider(demo, PRICE)
    assert control_words(replace(found, written=True), demo)["status"] == "from your file:"
    ours = control_words(replace(found, written=False), demo)["status"]
    assert ours == f"{found.quantity.status}:"


def test_what_is_out_of_reach_says_what_would_be_plausible(demo):
    found = slider(demo, SHARE)
    assert out_of_reach(found, 1.4, demo) == (
        "Share kept free so that the box stays fast must be from 0 % to 50 %, got 140 %."
    )


def test_sliders_stand_under_the_title_of_their_section():
    told = group_titles([PRICE, "work.stage.cameras", "drives.tb16.size_tb", "horizon_months"])
    assert told == [
        {"title": "Drives", "keys": [PRICE, "drives.tb16.size_tb"]},
        {"title": "Work", "keys": ["work.stage.cameras"]},
        {"title": "The whole", "keys": ["horizon_months"]},
    ]
