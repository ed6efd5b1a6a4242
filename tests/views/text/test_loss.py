"""Loss in words: each chance in the column that is named for it, worst builds, copies."""

from dataclasses import replace

import pytest
from views.figures import with_figures

from storagecalc import Scenario
from storagecalc.study.loss.redundancy_compared import (
    LossOverYears,
    RedundancyCompared,
    RedundancyRow,
)
from storagecalc.views.charts.loss_redundancy import redundancy_chart
from storagecalc.views.text.loss import (
    copies_by_place,
    copies_sentence,
    doubt_table,
    loss_by_year_table,
    loss_denominator,
    planned_loss,
    redundancy_summary,
    redundancy_title,
    spare_table,
)

FIRST, SECOND = "eight_at_once", "eight_in_steps"


def over(one, last, low, high):
    return LossOverYears(
        loss_probability_by_year=(1 / one, 1 / last),
        loss_probability_low=1 / low,
        loss_probability_high=1 / high,
    )


def row(key, redundancy, at_once, in_turn, **keys):
    usual = {"hot_spares": 0, "cold_spares": 0, "as_written": True, "plannable_tb": 70,
             "rebuild_h": 30.0, "read_error_probability": 1 / 12}  # fmt: skip
    return RedundancyRow(
        build_key=key,
        name=key,
        redundancy=redundancy,
        by_repair={"parallel": over(*at_once), "one at a time": over(*in_turn)},
        **{**usual, **keys},
    )


def of_finest(*counts):
    return [f"{count:,} in 100,000" for count in counts]


@pytest.fixture
def compared(demo: Scenario) -> RedundancyCompared:
    rows = (
        row(FIRST, "single parity", (900, 800, 1600, 400), (700, 600, 1200, 300)),
        row(SECOND, "single parity", (90, 80, 160, 40), (70, 60, 120, 30), as_written=False),
        row(SECOND, "none", (9, 8, 16, 4), (9, 7, 16, 4)),
    )
    return RedundancyCompared(scenario=demo, years=(1, 7), rows=rows, spares=rows[:1])


def test_the_years_are_of_drives_rebuilt_at_once_and_the_last_column_in_turn(compared):
    table = loss_by_year_table(compared)
    assert table.head[3:] == ("1 year", "7 years", "7 years, rebuilt in turn")
    assert table.rows[0][2:] == ("70 TB", *of_finest(110, 130, 170))


def test_low_average_and_high_stand_under_their_heads(compared):
    table = doubt_table(compared)
    assert dict(zip(table.head, table.rows[0], strict=True)) == {
        "build": FIRST,
        "redundancy": "single parity (5), as planned",
        "rebuild, wait included": "30 h",
        "at a low failure rate": "63 in 100,000",
        "averaged": "130 in 100,000",
        "at a high failure rate": "250 in 100,000",
        "an unreadable file in a rebuild": "8,300 in 100,000",
    }
    assert table.rows[2][2] == table.rows[2][-1] == "no rebuild"
    assert spare_table(compared).rows[0][-1] == "130 in 100,000"


def test_headings_have_the_worst_build_of_each_redundancy(compared):
    worst = "single parity 1,300 in 100,000 and no redundancy 13,000 in 100,000"
    assert redundancy_title(compared).endswith(f"the worst build: {worst}")
    in_turn = "single parity 1,700 in 100,000 and no redundancy 14,000 in 100,000."
    assert redundancy_summary(compared).endswith(in_turn)


def test_what_is_planned_is_told_as_the_scenario_rebuilds(compared):
    in_turn = compared.scenario.varied({"rebuild.repair": "one at a time"})
    assert f"“{FIRST}” with single parity 170 in 100,000" in planned_loss(
        replace(compared, scenario=in_turn)
    )
    at_once = compared.scenario.varied({"rebuild.repair": "parallel"})
    assert f"“{FIRST}” with single parity 130 in 100,000" in planned_loss(
        replace(compared, scenario=at_once)
    )


def test_the_chart_draws_both_repairs_and_the_band_of_the_first(compared):
    at_once, in_turn, band, *others = redundancy_chart(compared)["data"]
    assert at_once["text"] == of_finest(110, 130)
    assert in_turn["text"] == of_finest(140, 170)
    assert band["text"] == of_finest(63, 250)
    assert at_once["x"] == [1, 7]
    assert at_once["xaxis"] == "x"
    assert {trace["xaxis"] for trace in others} == {"x2"}


def test_one_denominator_for_all_chances_of_an_evaluation():
    """One in 500 and 3 in 100,000: nothing coarser tells the second."""
    whole = with_figures({"loss.box_loss_probability": 1 / 500})
    assert loss_denominator(whole) == 10_000
    safe = with_figures({"loss.box_loss_probability": 3e-5}, evaluation=whole, number=1)
    assert loss_denominator(safe) == 100_000
    asked = replace(whole, asked={"loss_probability": 1e-4})
    assert loss_denominator(asked) == 10_000
    assert loss_denominator(replace(whole, asked={"loss_probability": 2e-5})) == 100_000


def test_copies_by_place_are_those_here_and_those_away(demo):
    copies = {"far_off": {"price": 1, "another_building": True},
              "near": {"price": 1, "another_building": False}}  # fmt: skip
    assert copies_by_place(demo.varied({"copies": copies})) == (["“near”"], ["“far off”"])


def test_where_there_is_no_copy_it_says_how_many_should_be(demo):
    assert copies_sentence(demo.varied({"copies": {}})).endswith(
        "Two more copies, one in another building, answer for those. There is none in your file."
    )


@pytest.mark.parametrize(
    ("away", "words"),
    [(True, "“safe” in another building"), (False, "“safe” in the same")],
)
def test_copies_stand_where_the_file_puts_them(demo, away, words):
    copy = {"price": 100, "another_building": away}
    said = copies_sentence(demo.varied({"copies": {"safe": copy}}))
    assert words in said
    assert ("keep one elsewhere" in said) is not away
