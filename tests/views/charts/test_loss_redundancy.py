"""The chart of loss by redundancy: its scale, its frames and its legend."""

from storagecalc import redundancy_compared
from storagecalc.views.charts.loss_redundancy import redundancy_chart
from storagecalc.views.text.numbers import RARE_WORDS


def test_the_redundancy_chart_ends_at_the_rare_line(demo):
    figure = redundancy_chart(redundancy_compared(demo))
    axis = figure["layout"]["yaxis"]
    assert axis["type"] == "log"
    assert axis["ticktext"][:3] == ["certain", "10,000 in 100,000", "1,000 in 100,000"]
    assert axis["ticktext"][-2:] == ["1 in 100,000", RARE_WORDS.replace("than ", "than<br>")]
    lowest = min(value for trace in figure["data"] for value in trace["y"])
    assert 10 ** axis["range"][0] < lowest < 1e-5
    named = [trace["name"] for trace in figure["data"] if trace["showlegend"]]
    assert len(named) == len(set(named)) == 5 + 2
    assert {trace["xaxis"] for trace in figure["data"]} == {"x", "x2", "x3"}
