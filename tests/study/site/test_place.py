"""What a place bears when further boxes come: noise, circuit and depth have a date, by hand."""

import math

import pytest
from study.small import further, with_tables

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
        assert site.circuit_w == STEADY_W
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
