"""The chart of footage in several formats: what it draws, and what its heading says."""

from storagecalc import formats_compared, show
from storagecalc.views.charts.footage_formats import format_chart
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
