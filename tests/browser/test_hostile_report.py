"""The owner's notebook with hostile names, as a report: names stay text, nothing is fetched."""

import json

import pytest
from browser.conftest import PHONE, ROOT

from storagecalc.views.page.report import write_report

HOSTILE = "</script><script>window.hacked=1</script><img src=x onerror=window.hacked=2>\u202e=1+1"
DEMO = ROOT / "data_examples" / "stage_films.toml"
NOTEBOOK = ROOT / "notebooks" / "owners_report.ipynb"
# Few futures and positions: what is looked for here hangs on neither.
QUICKLY = {
    "draws=2000": "draws=50",
    "owners_page(evaluation)": "owners_page(evaluation, places=3, draws=20)",
}


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hostile")
    text, cells = DEMO.read_text(encoding="utf-8"), NOTEBOOK.read_text(encoding="utf-8")
    for name in ("Stage and documentary films (an invented studio)", "12 bays, room for a shelf"):
        assert f'"{name}"' in text
        text = text.replace(f'"{name}"', json.dumps(HOSTILE + name + "x" * 10_000))
    for slow, quick in QUICKLY.items():
        assert slow in cells
        cells = cells.replace(slow, quick)
    scenario, notebook = folder / "hostile.toml", folder / "quick.ipynb"
    scenario.write_text(text, encoding="utf-8")
    notebook.write_text(cells, encoding="utf-8")
    return write_report(
        notebook_path=notebook,
        scenario_path=scenario,
        report_path=folder / "report.html",
        title=HOSTILE,
    )


@pytest.fixture
def opened(visit, report):
    found = visit(report.as_uri())
    found.page.locator(".sc-owner svg").first.wait_for(state="attached")
    return found


def test_hostile_names_stay_text_and_nothing_is_fetched(opened, report):
    page = opened.page
    page.locator(".sc-owner input[type=range]").first.focus()
    for key in ("End", "Home"):
        page.keyboard.press(key)
        page.wait_for_timeout(100)
    page.locator("details.appendix > summary").click()
    assert page.evaluate("window.hacked") is None
    assert page.locator("img[src=x]").count() == 0
    assert "\u202e" not in page.locator("body").inner_text()
    assert opened.asked_for == [report.as_uri()]
    assert not opened.complaints


def test_a_long_name_makes_no_phone_scroll_sideways(visit, report):
    page = visit(report.as_uri(), size=PHONE).page
    page.locator(".sc-owner svg").first.wait_for(state="attached")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
