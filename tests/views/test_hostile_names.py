"""Names from a scenario stay names: in the terminal, in tables, in charts."""

import json

import pytest

from storagecalc import formats_compared, redundancy_compared, show
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.views.charts.footage_formats import format_chart
from storagecalc.views.cli import as_json, comparison_text
from storagecalc.views.page.answer import TABLES, redundancy_answer
from storagecalc.views.page.page import page_module


@pytest.fixture(scope="module")
def named_like_formulas(demo) -> Evaluation:
    names = {f"builds.{key}.name": f"$x^2$ https://a.invalid/{key} <img>" for key in demo.builds}
    return evaluate(demo.varied({"title": r"\(y\) $$z$$", **names}), draws=20)


def test_terminal_output_has_no_control_or_direction_marks(hostile):
    text = comparison_text(hostile)
    assert all(char.isprintable() or char == "\n" for char in text)
    assert max(len(line) for line in text.splitlines()) < 2000


def test_charts_have_no_markup_from_names(hostile):
    shown = redundancy_answer(redundancy_compared(hostile.scenario))
    charts = [format_chart(formats_compared(hostile.scenario)), *shown["figures"].values()]
    in_charts = json.dumps([figure["data"] for figure in charts])
    assert "<script" not in in_charts
    assert "<img" not in in_charts
    assert "<b>bold" not in in_charts
    assert "<i>" not in in_charts


@pytest.mark.parametrize("part", ["opening", "reasons", "care", "orders", *TABLES])
def test_notebooks_set_no_formula_and_no_markup(named_like_formulas, part):
    """JupyterLab sets as formulas what stands between dollars, but not inside these classes."""
    shown = show(named_like_formulas, part)._repr_html_()
    assert shown.startswith('<div class="passage mathjax_ignore tex2jax_ignore"')
    assert "<img" not in shown
    assert "href" not in shown


def test_charts_set_no_formula():
    assert "typesetMath: false" in page_module(charts=True)


def test_json_keeps_the_name_as_it_is(hostile):
    names = [build["name"] for build in json.loads(as_json(hostile))["builds"]]
    assert names[0] == "<img src=x onerror=alert(1)>"
