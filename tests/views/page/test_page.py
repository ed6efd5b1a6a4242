"""What leaves Python for the page: answers made plain, and scripts that may stand in a document."""

import json
import math
import re

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from views.page.walk import words_in

from storagecalc.views.page.page import (
    json_island,
    page_module,
    page_script,
    plain,
    plotly_source,
    sendable,
)

TEXT = st.text(st.characters(codec="utf-8"), max_size=8)
SCALAR = st.none() | st.booleans() | st.integers(-9, 9) | TEXT
ANYTHING = st.recursive(
    SCALAR, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3)
)


@given(ANYTHING)
def test_an_island_reads_back_and_cannot_be_left(value):
    island = json_island(value)
    assert json.loads(island) == value
    assert not re.search(r"[<>&\u2028\u2029]", island)


@given(TEXT.map(lambda text: f"<{text}"))
def test_a_chart_gets_no_markup_but_line_breaks_and_weight(text):
    sent = sendable({"figures": {"a": {"data": [{"name": text}]}}})["figures"]["a"]["data"][0]
    tags = re.findall(r"<[^>]*>?", sent["name"])
    assert all(re.fullmatch(r"</?(br|b|i|extra) ?/?>", tag, re.IGNORECASE) for tag in tags)


def test_words_outside_charts_are_left_alone():
    table = {"title": "<u>", "head": ["<i>"], "rows": [["<s>"]]}
    sent = sendable({"texts": {"headline": "<b>2 < 3"}, "tables": {"t": table}})["parts"]
    assert sent["headline"] == ["<b>2 < 3"]
    assert words_in(sent["t"][0]) == "<u> <i> <s>"


def test_a_chart_text_is_cut_where_no_one_would_read_on():
    drawn = {"data": [{"name": "w" * 10_000}]}
    name = sendable({"figures": {"a": drawn}})["figures"]["a"]["data"][0]["name"]
    assert len(name) == 300
    assert name.endswith("…")


def test_a_figure_is_told_in_words_that_stay_whole():
    figure = {"title": "<b>" + "w" * 400, "summary": "2 < 3 " * 100}
    assert sendable({"figures": {"a": figure}})["figures"]["a"] == figure


def test_numbers_leave_as_numbers_json_knows():
    value = {"a": np.array([1.0, np.inf]), "b": np.float64(2), "c": (3, math.nan), "d": np.int64(4)}
    assert plain(value) == {"a": [1.0, None], "b": 2.0, "c": [3, None], "d": 4}
    assert json.dumps(plain(value), allow_nan=False)


def test_scripts_can_stand_in_a_document_and_carry_the_library_once():
    script = page_script(charts=True)
    assert "</script" not in script.lower()
    assert "<!--" not in script
    assert script.count(plotly_source()) == 1
    assert "\r" not in script  # a browser would change it, and its checksum with it
    assert "export " not in script.removeprefix("(() => {\n" + plotly_source())[:20_000]


def test_a_report_without_charts_does_not_carry_the_library():
    script = page_script(charts=False)
    assert len(script) < 60_000
    assert "const Plotly = null;" in script
    assert "mountGrids(Plotly)" in script
    assert "export " not in script


def test_the_widget_module_has_one_export():
    own = page_module(charts=True).removeprefix(plotly_source())
    assert re.findall(r"^export .*$", own, re.MULTILINE) == ["export default {"]
