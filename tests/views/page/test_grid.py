"""A whole grid of answers packed small, and each of them given back."""

import json
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.views.page.grid import grid_answer, grid_of, grid_values
from storagecalc.views.page.page import json_island, page_fragment, plain

TEXT = st.text(st.characters(codec="utf-8"), max_size=8)
SCALAR = st.none() | st.booleans() | st.integers(-9, 9) | TEXT
ANYTHING = st.recursive(
    SCALAR, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3)
)
SERIES = st.lists(st.none() | st.floats(-1e9, 1e9), min_size=4, max_size=4)
AXES = [{"key": "a", "values": [1, 2]}, {"key": "b", "values": [0.0, 0.5, 1.0]}]


def answers_of(drawn):
    return st.lists(st.fixed_dictionaries(drawn), min_size=6, max_size=6)


@given(answers_of({"words": ANYTHING, "rest": ANYTHING}))
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
    assert found["parts"]["headline"] == ["{'a': 2, 'b': 0.5}"]


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
        ([{"key": "a", "values": [1, 1]}], [{}] * 2, "axis a must rise"),
        ([{"key": "a", "values": [2, 1]}], [{}] * 2, "axis a must rise"),
        ([{"key": "a", "values": [1]}], [{}], "axis a must rise"),
    ],
)
def test_a_grid_that_does_not_fit_is_refused(axes, answers, rule):
    with pytest.raises(ValueError, match=rule):
        grid_of(axes, answers)


def test_controls_of_a_report_keep_to_the_grid():
    controls = [
        {"key": "a", "label": "A", "unit": "", "value": 1.4, "min": 0, "max": 9, "step": 0.1},
        {"key": "z", "label": "Z", "unit": "", "value": 3},
    ]
    fragment = page_fragment({"controls": controls}, grid_of(AXES[:1], [{}, {}]), {})
    island = json.loads(re.search(r">(\{.*\})</script>", fragment).group(1))
    (control,) = island["spec"]["controls"]
    told = {name: control[name] for name in ("value", "min", "max", "places")}
    assert told == {"value": 1, "min": 1, "max": 2, "places": [1, 2]}
