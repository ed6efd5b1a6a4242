"""Names from a scenario stay names: in the terminal, in tables, in charts."""

import json

from storagecalc.views.cli import as_json, comparison_text
from storagecalc.views.page.answer import CHARTS, TABLES, answer


def test_terminal_output_has_no_control_or_direction_marks(hostile):
    text = comparison_text(hostile)
    assert all(char.isprintable() or char == "\n" for char in text)
    assert max(len(line) for line in text.splitlines()) < 2000


def test_charts_have_no_markup_from_names(hostile):
    shown = answer(hostile, charts=list(CHARTS), tables=list(TABLES))
    in_charts = json.dumps([figure["data"] for figure in shown["figures"].values()])
    assert "<script" not in in_charts
    assert "<img" not in in_charts


def test_json_keeps_the_name_as_it_is(hostile):
    names = [build["name"] for build in json.loads(as_json(hostile))["builds"]]
    assert names[0] == "<img src=x onerror=alert(1)>"
