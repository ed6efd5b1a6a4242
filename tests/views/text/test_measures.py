"""Measures in words: which of its five figures a row tells, and in what unit."""

import math

import pytest
from views.figures import five, with_figures

from storagecalc.study.measures import MEASURES
from storagecalc.views.text.measures import (
    comparison_table,
    date_words,
    fills,
    measure_label,
    measure_words,
    not_before,
    place_table,
)

ALL = five(1000, 2000, 300, 4000, 5000)
MONTHS = five(1, 2, 3, 4, 5)


def told(key, **figures):
    measure = next(each for each in MEASURES if each.key == key)
    evaluation = with_figures({measure.at: figures["value"]})
    return measure_words(measure, evaluation, evaluation.builds[0])


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("upfront_cost", "EUR 2,000 (300 to 5,000)"),
        ("drive_failures", "2,000 (300 to 5,000)"),
        ("streams", "4,000 (300 to 5,000; limit: the desk link)"),
    ],
)
def test_means_are_told_with_their_ends_and_streams_as_the_median(key, words):
    evaluation = with_figures({"speed.limited_by": "the desk link"})
    measure = next(each for each in MEASURES if each.key == key)
    evaluation = with_figures({measure.at: ALL}, evaluation=evaluation)
    assert measure_words(measure, evaluation, evaluation.builds[0]) == words


def test_months_are_told_as_the_median_month():
    assert told("headroom_months", value=MONTHS) == "May 2027 (April 2027 to June 2027)"
    late = five(math.inf, math.inf, 3, math.inf, math.inf)
    words = "not before January 2029 (April 2027 to January 2029 or later)"
    assert told("headroom_months", value=late) == words


def test_the_horizon_ends_with_the_month_after_the_last():
    evaluation = with_figures({})
    assert not_before(evaluation.scenario) == "not before January 2029"
    assert date_words(evaluation, -1) == "before the start"
    assert date_words(evaluation, 0) == "January 2027"
    assert fills(evaluation, five(9, 9, 9, 9, 9)).startswith("October 2027")


def test_every_alternative_has_its_own_column():
    evaluation = with_figures({"money.upfront_cost": ALL}, number=1)
    table = comparison_table(evaluation)
    measure = next(each for each in MEASURES if each.key == "upfront_cost")
    label = measure_label(measure, evaluation.scenario)
    (row,) = (row for row in table.rows if row[0] == label)
    assert table.head == ("", "a", "b")
    assert row[2] == "EUR 2,000 (300 to 5,000)"
    assert row[1] != row[2]


def test_whatever_is_asked_of_the_place_and_the_desks_is_shown():
    figures = {
        "site.full_power_w": 410.0, "site.peak_power_w": 520.0, "site.circuit_left_w": 1700.0,
        "site.heat_btu_h": 1400.0, "site.airflow_m3_h": 150.0, "site.weight_kg": 31.0,
        "speed.pool_mb_s": 440.0, "speed.box_link_mb_s": 1200.0, "speed.desk_link_mb_s": 117.0,
        "speed.stream_mb_s": 50.0, "speed.desk_share_mb_s": 63.0,
    }  # fmt: skip
    table = place_table(with_figures(figures, number=1))
    assert {row[0]: row[2] for row in table.rows if "depth" not in row[0]} == {
        "what the drives read together": "440 MB/s",
        "what the link of the box carries": "1,200 MB/s",
        "what the link of a desk carries": "120 MB/s",
        "what one stream takes": "50 MB/s",
        "what each desk gets when all pull at once": "63 MB/s",
        "power without further boxes, all bays full": "410 W",
        "power in the month with most, further boxes included": "520 W",
        "left on the circuit, all bays full": "1,700 W",
        "heat to carry away, all bays full": "1,400 BTU/h",
        "air that carries it away": "150 m3/h",
        "weight with its drives": "31 kg",
    }
    assert table.align == "lrr"
