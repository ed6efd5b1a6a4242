"""The chart of footage in several formats: what it draws, and what its heading says."""

from datetime import UTC, datetime

import pytest

from storagecalc import formats_compared, show
from storagecalc.views.charts.footage_formats import format_chart, month_days
from storagecalc.views.text.footage import formats_title


def test_the_format_chart_has_a_line_a_format_and_a_level_a_size(demo):
    found = formats_compared(demo)
    figure = format_chart(found)
    levels = [trace for trace in figure["data"] if len(trace["x"]) == 2]
    assert len(figure["data"]) - len(levels) == len(found.rows)
    assert len(levels) == 2, "two builds have the same space once full"
    assert figure["title"] == formats_title(found)
    assert "four of five" in figure["title"]
    assert show(found, "format chart").spec["figures"][0]["id"] == "formats"


def test_the_months_of_a_chart_are_those_of_the_scenario(demo):
    first, second, *_ = month_days(demo)
    told = [datetime.fromtimestamp(ms / 1000, tz=UTC).date().isoformat() for ms in (first, second)]
    assert told == ["2027-01-01", "2027-02-01"]


def test_formats_are_drawn_at_the_middle_against_all_bays_full(demo):
    compared = formats_compared(demo)
    figure = format_chart(compared)
    for trace, row in zip(figure["data"], compared.rows, strict=False):
        held = row.evaluation.held_tb_by_month.point
        assert (trace["y"][0], trace["y"][-1]) == pytest.approx((held[0], held[-1]), rel=1e-3)
    sizes = {float(build.capacity.full_ladder.plannable_tb) for build in
             compared.rows[0].evaluation.builds}  # fmt: skip
    drawn = [trace["y"][0] for trace in figure["data"][len(compared.rows) :]]
    assert sorted(drawn) == pytest.approx(sorted(sizes), rel=1e-3)
