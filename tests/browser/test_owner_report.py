"""The owner's report of the demo, made by the command: on a screen, a phone and paper."""

import re

import pytest
from browser.conftest import PHONE, ROOT, WIDE, visiting
from browser.paper import last_line, printed, text_of, words_by_page
from browser.seeing import contrast_faults, crowded_targets, nameless, unreachable_regions
from playwright.sync_api import expect

from storagecalc import evaluate, load_scenario
from storagecalc.study.dates import month_date
from storagecalc.study.decision.needs import standings
from storagecalc.study.decision.order_list import next_order
from storagecalc.study.decision.verdict import verdict
from storagecalc.views.cli import main
from storagecalc.views.text.numbers import count, month, significant

DEMO = ROOT / "data_examples" / "stage_films.toml"
LARGEST_BYTES = 6_000_000
MOST_WORDS = 650
SIZES = ["A4", "Letter"]
# Words in sight, those of the pictures left out.
WORDS = """() => {
  const walk = document.createTreeWalker(document.querySelector(".sc-owner"), NodeFilter.SHOW_TEXT);
  let count = 0;
  while (walk.nextNode()) {
    const { parentElement, data } = walk.currentNode;
    if (parentElement.checkVisibility() && !parentElement.closest("svg, script, .sc-unseen")) {
      count += data.split(/\\s+/).filter(Boolean).length;
    }
  }
  return count;
}"""
FOLD = "document.querySelector('details.appendix').open = false"


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    path = tmp_path_factory.mktemp("owner") / "report.html"
    assert main(["report", str(DEMO), "--to", str(path), "--draws", "0"]) == 0
    return path


@pytest.fixture(scope="module")
def whole():
    return evaluate(load_scenario(DEMO), draws=2000)


@pytest.fixture(scope="module")
def opened(report, browser):
    """One page for all tests of this file; it must have asked and complained of nothing."""
    with visiting(browser, report.as_uri()) as seen:
        seen.page.locator(".sc-first .sc-w1132").wait_for()
        yield seen
        assert seen.complaints == []
        assert seen.asked_for == [report.as_uri()]


@pytest.fixture
def page(opened):
    opened.page.set_viewport_size(WIDE)
    opened.page.locator("[data-act=put_back]").click()
    expect(part(opened.page, "what if")).to_be_hidden()
    opened.page.evaluate(f"scrollTo(0, 0); {FOLD}")
    return opened.page


@pytest.fixture(scope="module", params=SIZES)
def paper(opened, tmp_path_factory, request):
    opened.page.set_viewport_size(WIDE)
    opened.page.evaluate(FOLD)
    return printed(opened.page, tmp_path_factory.mktemp("paper") / "report.pdf", request.param)


def part(page, name):
    return page.locator(f"[data-part='{name}']")


def test_it_is_one_small_file_without_the_chart_library(report):
    assert report.stat().st_size < LARGEST_BYTES
    assert "plotly" not in report.read_text(encoding="utf-8")


def test_the_first_screen_decides(page):
    """With the fonts at hand the line to sign lies on a small laptop's screen, and all above it."""
    sign = page.locator(".sc-sign").bounding_box()
    assert sign["y"] + sign["height"] <= WIDE["height"]
    for name in ("recommendation", "reason", "pay now value", "main risk note", "lanes"):
        box = part(page, name).bounding_box()
        assert 0 <= box["y"] < box["y"] + box["height"] <= WIDE["height"]
    drawings = page.locator(".sc-first .sc-drawing > svg")
    assert [each.is_visible() for each in drawings.all()] == [False, False, True]


def test_a_phone_needs_no_sideways_scroll_and_has_its_own_pictures(page):
    page.set_viewport_size(PHONE)
    page.wait_for_timeout(200)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for holder in page.locator(".sc-drawing").all():
        shown = [each for each in holder.locator("> svg").all() if each.is_visible()]
        assert len(shown) == 1
        assert shown[0].bounding_box()["width"] <= PHONE["width"]
    answer = part(page, "main risk note").bounding_box()
    assert answer["y"] + answer["height"] <= PHONE["height"]


def test_the_appendix_is_folded_and_opens(page):
    appendix = page.locator("details.appendix")
    assert appendix.get_attribute("open") is None
    assert not appendix.locator("table").first.is_visible()
    assert page.evaluate(WORDS) <= MOST_WORDS
    appendix.locator("summary").first.click()
    assert appendix.locator("table").first.is_visible()
    titles = appendix.locator("h2").all_inner_texts()
    assert len(titles) == len(set(titles))
    assert any(title.startswith("Side by side") for title in titles)


@pytest.mark.parametrize("number", [0, 1])
def test_both_ends_of_each_slider_and_every_key(page, number):
    slider = page.locator(".sc-owner input[type=range]").nth(number)
    ends = [float(slider.get_attribute(name)) for name in ("min", "max")]
    today, before = float(slider.input_value()), part(page, "lanes").inner_html()
    seen = []
    slider.focus()
    for key in ("Home", "ArrowRight", "ArrowLeft", "PageUp", "End", "PageDown"):
        page.keyboard.press(key)
        page.wait_for_timeout(60)
        seen.append(float(slider.input_value()))
    assert (seen[0], seen[2], seen[4]) == (ends[0], ends[0], ends[1])
    assert ends[0] < seen[1] < seen[3] < ends[1]
    assert seen[1] < today
    assert ends[0] < seen[5] < ends[1]
    page.keyboard.press("End")
    expect(part(page, "what if")).to_contain_text("What if, not as planned: ")
    assert part(page, "lanes").inner_html() != before
    page.locator("[data-act=put_back]").click()
    expect(part(page, "what if")).to_be_hidden()
    assert float(slider.input_value()) == today
    assert part(page, "lanes").inner_html() == before


def test_beyond_what_would_change_it_the_first_screen_says_so_too(page):
    """At the end of a bar whose sentence tells of a change, the page no longer says the same."""
    first = [part(page, name) for name in ("recommendation", "reason")]
    told = [each.inner_text() for each in first]
    rows = page.locator(".sc-row[data-control]").all()
    changing = [row for row in rows if "No value" not in row.locator(".sc-says").inner_text()]
    assert changing
    for row in changing:
        says = row.locator(".sc-says").inner_text()
        row.locator("input[type=range]").focus()
        page.keyboard.press("Home" if says.startswith("Below") else "End")
        expect(part(page, "what if")).to_be_visible()
        expect(first[1]).not_to_have_text(told[1])
        for name in re.findall(r"we would recommend “([^”]+)”", says):
            expect(first[0]).to_contain_text(name)
        page.locator("[data-act=put_back]").click()
        expect(first[0]).to_have_text(told[0])


def test_a_typed_value_goes_to_the_nearest_position_and_nonsense_is_marked(page):
    row = page.locator(".sc-row[data-control]").first
    field, slider = row.locator("input[inputmode]"), row.locator("input[type=range]")
    today = field.input_value()
    field.fill("1,450")
    field.press("Enter")
    expect(field).to_have_attribute("aria-invalid", "true")
    label = row.locator("label b").inner_text()
    expect(row.locator(".sc-fault")).to_contain_text(f"{label}: write one number")
    assert field.input_value() == "1,450"
    page.locator("[data-act=put_back]").click()
    assert field.input_value() == today
    field.fill(slider.get_attribute("max").replace(".", ","))
    field.press("Enter")
    expect(part(page, "what if")).to_be_visible()
    assert float(slider.input_value()) == float(slider.get_attribute("max"))


def test_everything_can_be_named_reached_touched_and_read(page):
    page.locator("details.appendix > summary").click()
    for size in (WIDE, PHONE):
        page.set_viewport_size(size)
        page.wait_for_timeout(200)
        assert nameless(page, "main") == []
        assert unreachable_regions(page, "main") == []
        assert crowded_targets(page, "main") == []
        assert contrast_faults(page, "main") == []


def test_paper_has_few_full_and_numbered_pages(paper):
    pages = words_by_page(paper)
    assert 1 <= len(pages) <= 3
    for number, (height, words) in enumerate(pages, 1):
        *_, one, two, three = sorted(words)
        assert {one[1], two[1], three[1]} >= {str(number), "of", str(len(pages))} - {""}
        above = [low for low, _ in words if low < 0.93 * height]
        assert max(above) > 0.5 * height, f"page {number} is half empty"


def test_on_paper_nothing_that_heads_something_stands_last_on_a_page(opened, paper):
    shown = "h1, h2, h3:not(.sc-blocks h3), summary, .sc-table thead"
    heads = opened.page.locator(shown).all_text_contents()
    starts = {" ".join(head.split())[:30] for head in heads if head.strip()}
    for number in range(1, len(words_by_page(paper)) + 1):
        line = " ".join(last_line(paper, number).split())
        assert not any(line.startswith(start) for start in starts), line
        assert not any(start.startswith(line) for start in starts), line


def test_the_first_printed_page_answers_five_questions(paper, whole):
    """Buy what, pay what, order when, what risk, and who meets the needs how often."""
    text = " ".join(text_of(paper, 1).split())
    found, start = verdict(whole), whole.scenario.start_date
    chosen = found.recommended.build
    bought = re.search(r"Buy “([^”]+)” now", text)
    assert bought[1] == chosen.name
    paid = re.findall(r"EUR ([\d,]+)", text.partition("To pay now")[2])
    mean_costs = (chosen.money.upfront_cost.mean, chosen.money.net_present_cost.mean)
    assert paid[:2] == [significant(cost) for cost in mean_costs]
    ends = [significant(getattr(chosen.money.net_present_cost, end), 2) for end in ("p10", "p90")]
    assert f"{ends[0]} to {ends[1]}" in text
    due = month(month_date(start, chosen.capacity.first_order_months))
    step = next_order(chosen)
    assert f"order {count(step.count)} more {step.what} by {due}" in text
    assert f"EUR {significant(step.cost, 2)} then" in text
    assert "No second copy" in text
    assert not whole.scenario.copies
    (odds,) = re.findall(r"a pool: ([\d,]+) in ([\d,]+) within", text)
    counted, of = (float(each.replace(",", "")) for each in odds)
    assert counted == pytest.approx(chosen.loss.box_loss_probability * of, abs=0.5)
    told = [int(number) for number in re.findall(r"needs met in (\d+) of 100", text)]
    assert told == [round(100 * each.needs_met_fraction) for each in standings(whole)]
    places = [text.index(each.build.name, text.index("January 2034:")) for each in standings(whole)]
    assert places == sorted(places)
    assert "Agreed:" in text
