"""What leaves Python for the page: answers made plain, and a whole grid of them packed small."""

import json
import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.views.page.grid import grid_answer, grid_of, grid_values
from storagecalc.views.page.page import (
    json_island,
    page_fragment,
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
SERIES = st.lists(st.none() | st.floats(-1e9, 1e9), min_size=4, max_size=4)
AXES = [{"key": "a", "values": [1, 2]}, {"key": "b", "values": [0.0, 0.5, 1.0]}]


def answers_of(drawn):
    return st.lists(st.fixed_dictionaries(drawn), min_size=6, max_size=6)


@given(answers_of({"texts": ANYTHING, "tables": ANYTHING}))
def test_a_packed_grid_gives_back_every_answer(answers):
    grid = json.loads(json.dumps(grid_of(AXES, answers)))
    for values, answer in zip(grid_values(AXES), answers, strict=True):
        assert grid_answer(grid, values) == {**plain(answer), "values": values}


@given(answers_of({"y": SERIES}))
def test_series_come_back_within_half_a_step_and_keep_their_gaps(answers):
    known = [y for answer in answers for y in answer["y"] if y is not None]
    step = (max(known) - min(known)) / 65534 if known else 0
    grid = json.loads(json.dumps(grid_of(AXES, answers)))
    for values, answer in zip(grid_values(AXES), answers, strict=True):
        for before, after in zip(answer["y"], grid_answer(grid, values)["y"], strict=True):
            assert (before is None) == (after is None)
            if before is not None:
                assert abs(before - after) <= step * 0.5000001 + 1e-15 * abs(before)


def test_a_value_between_positions_gets_the_nearest():
    answers = [{"texts": {"headline": f"{at}"}} for at in grid_values(AXES)]
    found = grid_answer(grid_of(AXES, answers), {"a": 1.9, "b": 0.3, "c": 7})
    assert found["values"] == {"a": 2, "b": 0.5}
    assert found["texts"]["headline"] == "{'a': 2, 'b': 0.5}"


def test_a_grid_of_three_builds_and_84_months_stays_small():
    axes = [{"key": key, "values": list(range(9))} for key in "abc"]
    months = np.arange(84)
    answers = [
        {
            "texts": {"headline": f"{at['a']} and {at['b']}"},
            "figures": {
                "held": {"data": [{"x": months, "y": months * at["a"] + i} for i in range(9)]},
                "cost": {"data": [{"y": months**1.1 * at["b"] + at["c"]} for _ in range(3)]},
            },
        }
        for at in grid_values(axes)
    ]
    size = len(json_island(grid_of(axes, answers)))
    assert size < 500_000  # held needs 9 positions only, cost 81


@pytest.mark.parametrize(
    ("axes", "answers", "rule"),
    [
        (AXES, [{}] * 5, "each of the 6 positions"),
        ([], [], "each of the 1 positions"),
        ([{"key": "a", "values": [1, 2, 4]}], [{}] * 3, "axis a must rise in equal steps"),
        ([{"key": "a", "values": [2, 1]}], [{}] * 2, "axis a must rise in equal steps"),
        ([{"key": "a", "values": [1]}], [{}], "axis a must rise in equal steps"),
    ],
)
def test_a_grid_that_does_not_fit_is_refused(axes, answers, rule):
    with pytest.raises(ValueError, match=rule):
        grid_of(axes, answers)


def test_controls_of_a_report_keep_to_the_grid():
    controls = [
        {"key": "a", "value": 1.4, "min": 0, "max": 9, "step": 0.1},
        {"key": "z", "value": 3},
    ]
    fragment = page_fragment({"controls": controls}, grid_of(AXES[:1], [{}, {}]))
    island = json.loads(re.search(r">(\{.*\})</script>", fragment).group(1))
    assert island["spec"]["controls"] == [{"key": "a", "value": 1, "min": 1, "max": 2, "step": 1}]


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
    answer = {"texts": {"headline": "<b>2 < 3"}, "tables": {"t": {"head": ["<i>"]}}}
    assert sendable(answer) == answer


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
    script = page_script()
    assert "</script" not in script.lower()
    assert "<!--" not in script
    assert script.count(plotly_source()) == 1
    assert "\r" not in script  # a browser would change it, and its checksum with it
    assert "export " not in script.removeprefix("(() => {\n" + plotly_source())[:20_000]


def test_the_widget_module_has_one_export():
    own = page_module().removeprefix(plotly_source())
    assert re.findall(r"^export .*$", own, re.MULTILINE) == ["export default {"]
