"""The charts of footage and money: which figure of each alternative every line draws."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from views.figures import rows, with_figures

from storagecalc import formats_compared
from storagecalc.study.alternatives import Alternative
from storagecalc.views.charts.footage_formats import format_chart
from storagecalc.views.charts.footage_held import held_chart, month_days
from storagecalc.views.charts.money_paid import cost_chart
from storagecalc.views.text.money import cost_summary, cost_title

PAID = rows((1, 2), (3, 4), (5, 6), (7, 8), (9, 10))
OTHER = rows((11, 12), (13, 14), (15, 16), (17, 18), (19, 20))


def ends(trace):
    return trace["y"][0], trace["y"][-1]


def band_ends(trace):
    """The low line from first to last, then the high one back."""
    half = len(trace["y"]) // 2
    return trace["y"][0], trace["y"][half - 1], trace["y"][half], trace["y"][-1]


def test_the_months_of_a_chart_are_those_of_the_scenario():
    first, second, *_ = month_days(with_figures({}))
    told = [datetime.fromtimestamp(ms / 1000, tz=UTC).date().isoformat() for ms in (first, second)]
    assert told == ["2027-01-01", "2027-02-01"]


def test_footage_is_the_median_in_its_band_and_space_stands_beside_it():
    space = {"capacity.plannable_tb_by_month": np.linspace(30, 60, 24)}
    evaluation = with_figures(space, evaluation=with_figures(
        {"capacity.plannable_tb_by_month": np.linspace(40, 80, 24)}), number=1)  # fmt: skip
    figure = held_chart(replace(evaluation, held_tb_by_month=PAID))
    band, held, first, second = figure["data"]
    assert band_ends(band) == (5, 6, 10, 9)
    assert ends(held) == (7, 8)
    assert (ends(first), ends(second)) == ((40, 80), (30, 60))
    assert first["name"].endswith("a")
    assert second["name"].endswith("b")


def test_an_option_draws_the_footage_that_it_holds_itself():
    whole = with_figures({"capacity.held_tb_by_month": OTHER}, number=1)
    option = Alternative(key="b", name="b", build_key="box", habit="option")
    builds = (whole.builds[0], replace(whole.builds[1], alternative=option))
    figure = held_chart(replace(whole, builds=builds, held_tb_by_month=PAID))
    own = next(trace for trace in figure["data"] if trace["name"] == "footage held: b")
    assert ends(own) == (17, 18)


def test_money_is_the_mean_with_the_range_at_its_end_beside_it():
    evaluation = with_figures({"money.total_cost_by_month": PAID})
    evaluation = with_figures({"money.total_cost_by_month": OTHER}, evaluation=evaluation, number=1)
    figure = cost_chart(evaluation)
    traces = figure["data"]
    assert [ends(trace) for trace in traces[::2]] == [(6, 10), (16, 20)]
    days = month_days(evaluation)
    assert days[-1] < traces[0]["x"][0] < traces[2]["x"][0]
    assert [ends(trace) for trace in traces[1::2]] == [(3, 4), (13, 14)]
    assert "“a” EUR 4 and “b” EUR 14" in cost_summary(evaluation)
    assert cost_title(evaluation) == (
        "“a” has cost EUR 4 by the end, “b” EUR 14, in money of each year"
    )


def test_formats_are_drawn_at_the_middle_against_all_bays_full(demo):
    compared = formats_compared(demo)
    figure = format_chart(compared)
    for trace, row in zip(figure["data"], compared.rows, strict=False):
        held = row.evaluation.held_tb_by_month.point
        assert ends(trace) == pytest.approx((held[0], held[-1]), rel=1e-3)
    sizes = {float(build.capacity.full_ladder.plannable_tb) for build in
             compared.rows[0].evaluation.builds}  # fmt: skip
    drawn = [trace["y"][0] for trace in figure["data"][len(compared.rows) :]]
    assert sorted(drawn) == pytest.approx(sorted(sizes), rel=1e-3)
