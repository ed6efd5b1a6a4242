"""The owner's report of a scenario with hostile names, made by the command and opened from disk."""

import json
import subprocess

import pytest
from browser.conftest import PHONE, ROOT, path_of

from storagecalc.views.cli import main

HOSTILE = "</script><script>window.hacked=1</script><img src=x onerror=window.hacked=2>\u202e=1+1"
DEMO = ROOT / "data_examples" / "stage_films.toml"


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    folder = tmp_path_factory.mktemp("owner")
    text = DEMO.read_text(encoding="utf-8")
    for plain in ("Stage and documentary films (an invented studio)", "12 bays, room for a shelf"):
        text = text.replace(f'"{plain}"', json.dumps(HOSTILE + plain + "x" * 10_000))
    scenario = folder / "hostile.toml"
    scenario.write_text(text, encoding="utf-8")
    path = folder / "report.html"
    assert main(["report", str(scenario), "--to", str(path), "--draws", "50"]) == 0
    return path


@pytest.fixture
def opened(visit, report):
    found = visit(report.as_uri())
    found.page.wait_for_function("document.querySelectorAll('.js-plotly-plot .main-svg').length")
    return found


def test_hostile_names_stay_text_and_nothing_is_fetched(opened):
    assert opened.page.evaluate("window.hacked") is None
    assert opened.page.locator("img[src=x]").count() == 0
    assert not opened.asked_elsewhere()
    assert not opened.complaints


def test_the_first_screen_answers_in_plain_words(opened):
    text = opened.page.locator("body").inner_text()
    for words in (
        "We recommend",
        "first order",
        "drive failures alone",
        "in today's money",
        "Order the",
        "invented",
    ):
        assert words in text[:4000]


def test_its_sliders_work_without_a_kernel(opened):
    page = opened.page
    before = page.locator(".sc-page [data-part=builds]").text_content()
    page.locator(".sc-page input[type=range]").first.focus()
    page.keyboard.press("End")
    page.wait_for_function(
        "(text) => document.querySelector('.sc-page [data-part=builds]').textContent !== text",
        arg=before,
    )


def test_a_table_has_its_own_title_on_the_page_as_everywhere(opened):
    titles = opened.page.locator(".sc-page caption").all_text_contents()
    assert [title.partition(":")[0] for title in titles] == ["Side by side", "The budget"]


def test_a_phone_needs_no_sideways_scroll(visit, report):
    page = visit(report.as_uri(), size=PHONE).page
    page.wait_for_function("document.querySelectorAll('.js-plotly-plot .main-svg').length")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_on_paper_nothing_that_heads_something_stands_last_on_a_page(opened, tmp_path):
    reader = path_of("pdftotext", "paper cannot be read")
    heads = opened.page.locator("h2, h3, caption, legend, thead th").all_inner_texts()
    paper = tmp_path / "report.pdf"
    opened.page.pdf(path=paper, format="A4", prefer_css_page_size=True)
    read = [reader, "-enc", "UTF-8", "-layout", str(paper), "-"]
    pages = subprocess.run(read, capture_output=True, check=True, text=True).stdout.split("\f")
    last_lines = [page.split("\n")[-1].strip() for page in map(str.rstrip, pages) if page]
    assert 5 <= len(last_lines) <= 14
    words = [" ".join(head.split()) for head in heads]
    assert [line for line in last_lines if any(head.startswith(line) for head in words)] == []
