"""What moves while a slider moves, drawn by the real chart library: lines, and axes if need be."""

import json

import pytest
from browser.invented import SPEC, quick_answer
from browser.pages import document

from storagecalc.views.page.page import json_island, page_module, sendable, with_layout

pytestmark = pytest.mark.slow

HOST = """
window.charts = Plotly;
let said = "{}";
const spec = JSON.parse(document.querySelector("#spec").textContent);
const model = { get: (name) => ({ spec, answered: said })[name], set() {}, save_changes() {},
  off() {}, on: (name, hear) => { window.tell = (text) => { said = text; hear(); }; } };
page.render({ el: document.body, model });
"""
LINES = """() => [...document.querySelectorAll(".scatterlayer path")]
  .map((path) => path.getAttribute("d"))"""
DRAWN_ANEW_IN_THE_SAME_AXES = """async () => {
  for (const plot of document.querySelectorAll(".sc-plot")) {
    const yaxis = { ...plot.layout.yaxis, autorange: false };
    await window.charts.react(plot, plot.data, { ...plot.layout, yaxis });
  }
}"""
TOPS = """() => [...document.querySelectorAll(".sc-plot")]
  .map((plot) => [plot.layout.yaxis.range[1], Math.max(...plot.data.flatMap(({ y }) => y))])"""


@pytest.fixture
def moving(tmp_path, visit):
    """A page that has been told one settled answer, and a function that tells it more."""
    script = "const page =".join(page_module(charts=True).rsplit("export default", 1))
    path = tmp_path / "moving.html"
    island = f'<script id="spec" type="application/json">{json_island(with_layout(SPEC))}</script>'
    body = document(island, f"<script type='module'>{script}{HOST}</script>")
    path.write_text(body, encoding="utf-8")
    seen = visit(path.as_uri())
    seen.page.wait_for_function("() => window.tell")
    asked = 0

    def tell(growth, **more):
        nonlocal asked
        asked += 1
        values = {"growth": growth, "shoot_days": 8, "lead_time": 2}
        answer = {**sendable(quick_answer(values)), "asked": asked, "error": None, **more}
        text = json.dumps(answer)
        seen.page.evaluate("(text) => window.tell(text)", text)
        seen.page.wait_for_timeout(100)

    tell(0.2, values={"growth": 0.2, "shoot_days": 8, "lead_time": 2})
    yield seen.page, tell
    assert seen.complaints == []


def test_lines_that_glide_end_where_they_would_be_drawn(moving):
    page, tell = moving
    before, tops = page.evaluate(LINES), page.evaluate(TOPS)
    tell(0.15, moving=True)
    glided = page.evaluate(LINES)
    assert len(glided) == len(before) > 10
    assert all(old != new for old, new in zip(before, glided, strict=True))
    assert [top for top, _ in page.evaluate(TOPS)] == [top for top, _ in tops], "the axes moved"
    page.evaluate(DRAWN_ANEW_IN_THE_SAME_AXES)
    assert page.evaluate(LINES) == glided


def test_a_line_that_would_leave_the_picture_moves_its_axis(moving):
    page, tell = moving
    tell(0.8, moving=True)
    for top, highest in page.evaluate(TOPS):
        assert highest <= top


def test_two_answers_at_once_leave_the_later_one(moving):
    page, tell = moving
    for growth in (0.1, 0.15, 0.05):
        tell(growth, moving=True)
    glided = page.evaluate(LINES)
    page.evaluate(DRAWN_ANEW_IN_THE_SAME_AXES)
    assert page.evaluate(LINES) == glided
