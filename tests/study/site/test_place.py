"""What a place bears when further boxes come: noise, circuit and depth have a date, by hand."""

import math

import numpy as np
import pytest
from study.small import SMALL, further, with_tables

from storagecalc import evaluate

NEVER = math.inf
# 16 A at 230 V carry 0.8 of it for long: 2944 W.
STEADY_W = 2944.0


def site_of(scenario, draws=0):
    return evaluate(scenario, draws=draws).builds[0].site


@pytest.mark.parametrize(("allowed", "month"), [(33, 7), (36, 14), (38, 21), (39, NEVER)])
def test_further_boxes_are_too_loud_from_a_month_on(small, allowed, month):
    """42 dB(A) at 1 m are 32.5 at 3 m; two, three and four alike are 3.0, 4.8 and 6.0 dB more.

    They come in months 7, 14 and 21; the need itself is judged on the first box alone.
    """
    site = site_of(further(small, {"needs.noise_dba": allowed}))
    assert site.noise_dba.point == pytest.approx(42 - 20 * math.log10(3))
    assert site.too_loud_months == month


def test_what_is_too_loud_from_the_start_is_no_fault_of_further_boxes(small):
    assert site_of(further(small, {"needs.noise_dba": 30})).too_loud_months == NEVER


def test_a_circuit_gives_out_with_a_further_box(small):
    """140 W of the full box; with the next one 240 W in months 7 to 9, 250 in 10, 260 in 11."""
    for left_w, month in ((255, 11), (245, 10), (235, 7), (10_000, 0)):
        other = max(STEADY_W - left_w, 0)
        site = site_of(further(small, {"place.other_load_w": other}))
        if month:
            assert site.circuit_over_months == month
        else:
            assert site.circuit_over_months == NEVER
        assert site.circuit_left_w == pytest.approx(STEADY_W - other - 140)
        assert site.full_power_w == pytest.approx(140)


def test_a_further_box_that_is_too_deep_has_a_date(small):
    raw = small.as_written()
    raw["builds"]["deep"] = {**raw["builds"]["box"], "depth_mm": 700}
    raw["remedy"] = {"kind": "next box", "next_build": "deep"}
    asked = with_tables(small, raw | {"needs": {"depth_mm": 600}})
    flat, deep = (build.site for build in evaluate(asked).builds)
    assert (flat.depth_mm.point, flat.too_deep_months) == (500, 7)
    assert deep.depth_mm.point == 700
    assert site_of(further(small, {"needs.depth_mm": 600})).too_deep_months == NEVER


def test_without_further_boxes_nothing_becomes_too_much(small):
    site = site_of(small.varied({"needs.noise_dba": 33, "place.other_load_w": 2900}))
    assert (site.too_loud_months, site.circuit_over_months) == (NEVER, NEVER)


def test_its_own_further_pools_are_no_shelves(small):
    """A second pool in the box draws its drives, a shelf 30 W of its own beside them."""
    pools = small.varied({"builds.box.grows_by": "whole pools"})
    assert site_of(pools).full_power_w == pytest.approx(60 + 8 * 10)
    assert site_of(pools).noise_dba.point == site_of(small).noise_dba.point
    shelved = with_tables(
        pools, {"builds.box.shelf": {"bays": 4, "price": 300, "drives_at_first": 4}}
    )
    assert site_of(shelved).full_power_w == pytest.approx(60 + 8 * 10 + 30 + 4 * 10)


def test_power_is_that_of_all_that_stands(small):
    """In the last month 70, 70 and 70 TB in three boxes and four drives in the fourth."""
    site = site_of(further(small, {}))
    assert site.peak_power_w == pytest.approx(4 * 60 + (8 + 8 + 8 + 4) * 10)
    months = [60 * (1 + sum(at <= month for at in (7, 14, 21))) for month in range(24)]
    drives = (3 * 4 + 5 + 6 + 7 + 18 * 8) + (118 + 62 + 12)
    assert site.power_w == pytest.approx((sum(months) + 10 * drives) / 24)


def test_the_date_is_early_enough_for_the_confidence(small):
    """Where work is in doubt, the month that one in five futures undercuts."""
    doubt = {"low": 4, "middle": 10, "high": 20}
    loud = further(small, {"needs.noise_dba": 33, "work.shoots.shoot_days_per_month": doubt})
    at_the_middle = site_of(loud).too_loud_months
    assert at_the_middle == 7
    assert site_of(loud, draws=200).too_loud_months < at_the_middle


@pytest.mark.parametrize("confidence", [0.8, 0.9])
def test_every_date_of_the_place_is_that_of_the_further_box_at_the_confidence(small, confidence):
    """The first further box is too deep, and too much for a circuit that bears 145 W."""
    doubt = {"low": 4, "middle": 10, "high": 20}
    raw = small.as_written()
    raw["builds"]["deep"] = {**raw["builds"]["box"], "depth_mm": 700}
    raw["remedy"] = {"kind": "next box", "next_build": "deep"}
    raw["needs"] = {"depth_mm": 600, "confidence_fraction": confidence}
    crowded = with_tables(small, raw).varied(
        {"work.shoots.shoot_days_per_month": doubt, "place.other_load_w": STEADY_W - 145}
    )
    build = evaluate(crowded, draws=50).builds[0]
    (first, *_) = (each for each in build.money.orders if each.what == "further box")
    month = np.sort(first.month[:, 0])[math.ceil(50 * (1 - confidence) - 1e-9) - 1]
    assert build.site.too_deep_months == build.site.circuit_over_months == month


def test_heat_and_air_are_those_of_all_bays_filled(small):
    """Half of the drives stand at first; 1 W is 3.412 BTU/h."""
    site = site_of(small.varied({"work.shoots.shoot_days_per_month": 0.01}))
    assert site.peak_power_w == pytest.approx(100)
    assert site.heat_btu_h == pytest.approx(140 * 3.412, rel=1e-3)


def test_every_shelf_is_heard_at_the_desk(small):
    """A box and two shelves alike are 4.8 dB more than one; 6 m are 6 dB less than 3."""
    shelf = {"bays": 4, "price": 300, "drives_at_first": 4, "noise_dba": 42, "shelves_at_most": 2}
    shelved = with_tables(small, {"builds.box.shelf": shelf})
    near, far = (site_of(shelved.varied({"place.desk_m": metres})) for metres in (3, 6))
    assert near.noise_dba.point == pytest.approx(42 + 10 * math.log10(3) - 20 * math.log10(3))
    assert near.noise_dba.point - far.noise_dba.point == pytest.approx(20 * math.log10(2))


def test_after_a_swap_the_hungrier_class_counts_for_all_bays(small):
    raw = small.as_written()
    raw["drives"]["twenty"] = {**raw["drives"]["ten"], "size_tb": 20, "power_w": 12}
    raw["builds"]["box"] |= {"grows_by": "swapping", "swap_to": "twenty"}
    assert site_of(with_tables(small, raw)).full_power_w == pytest.approx(60 + 4 * 12)


def test_a_shelf_draws_its_power_once_it_stands(small):
    shelf = {"bays": 4, "price": 300, "drives_at_first": 4, "power_w": 25}
    site = site_of(with_tables(small, {"builds.box.shelf": shelf}))
    assert site.peak_power_w == pytest.approx(60 + 25 + 12 * 10)


def test_depth_is_judged_on_depth(small):
    site = site_of(small.varied({"builds.box.depth_mm": {"low": 400, "middle": 500, "high": 600}}),
                   draws=30)  # fmt: skip
    assert site.depth_mm.p90 == np.sort(site.depth_mm_by_draw)[26]
    assert site.depth_mm.p10 == np.sort(site.depth_mm_by_draw)[2]
    assert 400 < site.depth_mm_by_draw.mean() < 600


def test_all_bays_full_take_what_the_hungrier_drives_take(small):
    """60 W of the box and eight drives of 10 W, or of 25 W once they can be swapped."""
    assert site_of(small).full_power_w == 60 + 8 * 10
    twenty = {**SMALL["drives"]["ten"], "size_tb": 20, "power_w": 25}
    swapped = with_tables(small, {"drives.twenty": twenty, "builds.box.swap_to": "twenty"})
    assert site_of(swapped).full_power_w == 60 + 8 * 25
