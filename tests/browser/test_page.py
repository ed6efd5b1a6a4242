"""The page in a real browser, from a file on disk: what it shows, and what it does when asked."""

import json
import re

import pytest
from browser.conftest import PHONE, WIDE, visiting
from browser.invented import AXES, SPEC, quick_answer
from browser.pages import grid_document, picture, readout, slider, typed
from playwright.sync_api import expect

from storagecalc.views.page.grid import grid_values

HOSTILE = [
    "<img src=x onerror=\"window.hacked='img'\">",
    "</script><script>window.hacked='script'</script>",
    "<!--<script>window.hacked='comment'</script>",
    '"><svg onload="window.hacked=1">',
    '<a href="javascript:window.hacked=2">press</a>',
    "${window.hacked=3} {{7*7}} &lt;b&gt; &#60;i&#62;",
    "\u202egnol eht\u202c \u2028\u2029 \x00 \ud7ff \U0001f4be",
    "$\\href{javascript:window.hacked=4}{x}$",
    "W" * 10_000,
]


@pytest.fixture(scope="module")
def page_file(tmp_path_factory):
    answers = [quick_answer(values) for values in grid_values(AXES)]
    path = tmp_path_factory.mktemp("page") / "page.html"
    path.write_text(grid_document(SPEC, AXES, answers), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def opened(page_file, browser):
    """One page for all tests of this file; it must have asked and complained of nothing."""
    with visiting(browser, page_file.as_uri()) as seen:
        seen.page.locator("figure .main-svg").first.wait_for()
        yield seen
        assert seen.complaints == []
        assert seen.asked_for == [page_file.as_uri()]


@pytest.fixture
def page(opened):
    """The page as it opened: same size, same theme, every control put back, nothing to undo."""
    opened.page.set_viewport_size(WIDE)
    opened.page.emulate_media(color_scheme="light")
    opened.page.locator("[data-act=put_back]").click()
    for key, text in {"growth": "20 %", "shoot_days": "8 days", "lead_time": "2 months"}.items():
        says(opened.page, key, text)
    return opened.page


def says(page, key, text):
    """Wait until the text beside a control begins like this."""
    begins = "([selector, text]) => document.querySelector(selector).textContent.startsWith(text)"
    page.wait_for_function(begins, arg=[f"[data-readout={key}]", text])


def test_it_opens_with_the_answer_for_the_values_it_starts_from(page):
    expected = quick_answer({"growth": 0.2, "shoot_days": 8, "lead_time": 2})
    assert page.locator("h2").text_content() == expected["texts"]["headline"]
    assert readout(page, "growth") == "20 % a year"
    rows = page.locator("[data-part=builds] tbody tr")
    assert (
        rows.nth(0).locator("th, td").all_text_contents()
        == (expected["tables"]["builds"]["rows"][0])
    )
    drawn = page.evaluate("document.querySelector('[data-figure=held] .sc-plot').data[2].y.at(-1)")
    assert drawn == pytest.approx(expected["figures"]["held"]["data"][2]["y"][-1], rel=1e-3)


def test_the_keyboard_moves_words_charts_and_tables(page):
    before = picture(page)
    slider(page, "growth").focus()
    page.keyboard.press("ArrowRight")
    says(page, "growth", "40 % a year")
    after = picture(page)
    assert after[0] != before[0]
    assert all(old != new for old, new in zip(before[-2:], after[-2:], strict=True))
    assert typed(page, "growth").input_value() == "0.4"
    assert slider(page, "growth").get_attribute("aria-valuetext") == "40 % a year"


CHANGES = """() => {
  window.touched = new Set();
  const cell = (node) => node.parentElement.closest("th, td");
  new MutationObserver((seen) => seen.forEach(({ target }) => touched.add(cell(target))))
    .observe(document.querySelector("[data-part=builds]"),
      { subtree: true, childList: true, characterData: true, attributes: true });
}"""
CELLS = "[...document.querySelectorAll('[data-part=builds] :is(th, td)')]"


def test_a_table_keeps_the_cells_that_say_the_same(page):
    page.evaluate(CHANGES)
    before = page.evaluate(f"{CELLS}.map((cell) => cell.textContent)")
    slider(page, "growth").focus()
    page.keyboard.press("ArrowRight")
    says(page, "growth", "40 % a year")
    after = page.evaluate(f"{CELLS}.map((cell) => cell.textContent)")
    touched = page.evaluate(f"{CELLS}.map((cell) => touched.has(cell))")
    assert touched == [old != new for old, new in zip(before, after, strict=True)]
    assert 6 <= touched.count(True) < len(touched)


def test_a_table_of_another_shape_is_laid_out_anew(visit, tmp_path):
    answers = [quick_answer(values) for values in grid_values(AXES)]
    for answer, values in zip(answers, grid_values(AXES), strict=True):
        if values["growth"] == 0.4:
            needs = answer["tables"]["needs"]
            needs["rows"], needs["marks"] = [["Desks", "2", "3", "3"]], [["", "short", "", "good"]]
    path = tmp_path / "shapes.html"
    path.write_text(grid_document(SPEC, AXES, answers), encoding="utf-8")
    seen = visit(path.as_uri())
    rows = seen.page.locator("[data-part=needs] tbody tr")
    slider(seen.page, "growth").focus()
    for key, count, short in [("ArrowRight", 1, "2"), ("ArrowLeft", 2, "falls short by 12 TB")]:
        seen.page.keyboard.press(key)
        expect(rows).to_have_count(count)
        expect(seen.page.locator("[data-part=needs] .sc-short")).to_have_text([short])
    assert seen.complaints == []


def test_a_typed_value_goes_to_the_nearest_the_report_knows(page):
    typed(page, "shoot_days").fill("12.7")
    typed(page, "shoot_days").press("Enter")
    says(page, "shoot_days", "14 days")
    assert typed(page, "shoot_days").input_value() == "14"
    typed(page, "shoot_days").fill("")
    typed(page, "shoot_days").press("Enter")
    assert typed(page, "shoot_days").input_value() == "14"


def test_undo_takes_back_one_change_and_put_back_all(page):
    first = picture(page)
    undo, put_back = page.locator("[data-act=undo]"), page.locator("[data-act=put_back]")
    for key in ("growth", "lead_time"):
        slider(page, key).focus()
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(400)
    assert undo.get_attribute("aria-disabled") == "false"
    undo.click()
    says(page, "lead_time", "2 months")
    assert readout(page, "growth") == "40 % a year"
    put_back.click()
    says(page, "growth", "20 % a year")
    page.wait_for_timeout(100)
    assert picture(page) == first
    assert not page.locator("[data-act=save]").is_visible()


def test_every_control_has_a_name_and_shows_where_the_keyboard_is(page):
    for control in SPEC["controls"]:
        name = re.compile(rf"^{control['label']} {control['unit']}$")
        assert page.get_by_role("slider", name=name).count() == 1
        assert page.get_by_role("textbox", name=name).count() == 1
    for plot in page.locator(".sc-plot[role=img]").all():
        summary = plot.get_attribute("aria-labelledby")
        assert page.locator(f"#{summary}").text_content().startswith("After seven years")
    page.locator("[data-act=undo]").focus()
    page.keyboard.press("Tab")
    seen = []
    for _ in range(10):
        seen.append(page.evaluate("getComputedStyle(document.activeElement).outlineStyle"))
        page.keyboard.press("Tab")
    assert set(seen) == {"solid"}


@pytest.mark.parametrize("kind", ["good", "short"])
def test_marked_words_are_readable_on_white(page, kind):
    colour = page.evaluate(f"getComputedStyle(document.querySelector('.sc-{kind}')).color")
    channels = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    luminance = sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    assert 1.05 / (luminance + 0.05) > 4.5


def test_a_laptop_shows_sliders_builds_and_a_chart_at_once(page):
    box = {
        name: page.locator(selector).first.bounding_box()
        for name, selector in {
            "slider": "[data-control=lead_time]",
            "builds": "[data-part=builds]",
            "chart": "[data-figure=held] .sc-plot",
        }.items()
    }
    assert all(part["y"] + part["height"] < WIDE["height"] for part in box.values())
    assert box["slider"]["x"] + box["slider"]["width"] < box["builds"]["x"]


def test_a_phone_needs_no_sideways_scroll(page):
    page.set_viewport_size(PHONE)
    page.wait_for_timeout(300)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    for plot in page.locator("figure .main-svg").all():
        assert plot.bounding_box()["width"] <= PHONE["width"]


def test_a_dark_theme_leaves_the_page_white(page):
    page.emulate_media(color_scheme="dark")
    style = "(({ backgroundColor, color }) => [backgroundColor, color])(getComputedStyle("
    assert page.evaluate(f"{style}document.querySelector('.sc-page')))") == [
        "rgb(255, 255, 255)",
        "rgb(29, 37, 44)",
    ]


def test_paper_gets_charts_of_its_own_width_and_the_screen_its_own_back(page):
    page.evaluate(
        "addEventListener('beforeprint', () => { window.widths ="
        " [...document.querySelectorAll('.sc-plot')].map((plot) => plot._fullLayout.width); })"
    )
    on_screen = page.locator("figure .main-svg").first.bounding_box()["width"]
    paper = page.pdf(format="A4", margin=dict.fromkeys(("top", "right", "bottom", "left"), "15mm"))
    assert paper.startswith(b"%PDF")
    assert page.evaluate("window.widths") == [660, 660]
    page.wait_for_timeout(300)
    assert page.locator("figure .main-svg").first.bounding_box()["width"] == on_screen


def test_hostile_strings_are_only_text(tmp_path, visit):
    def poisoned(value, text):
        if isinstance(value, str):
            return value if re.fullmatch(r"[\w#.,%{}:<>/ -]{0,12}", value) else text
        if isinstance(value, dict):
            return {name: poisoned(part, text) for name, part in value.items()}
        return [poisoned(part, text) for part in value] if isinstance(value, list) else value

    answer = json.loads(json.dumps(quick_answer(grid_values(AXES)[0]), default=list))
    answers = [poisoned(answer, text) for text in HOSTILE]
    for each, text in zip(answers, HOSTILE, strict=True):
        for figure in each["figures"].values():
            figure["data"][2]["name"] = figure["layout"]["xaxis"]["title"]["text"] = text
    axes = [{"key": "lead_time", "values": list(range(len(HOSTILE)))}]
    path = tmp_path / "hostile.html"
    spec = poisoned(SPEC, "".join(HOSTILE[:-1]))
    spec["controls"][2]["value"] = 0
    path.write_text(grid_document(spec, axes, answers), encoding="utf-8")
    seen = visit(path.as_uri())
    slider(seen.page, "lead_time").focus()
    for text in HOSTILE:
        wanted = "(text) => document.querySelector('h2').textContent === text"
        seen.page.wait_for_function(wanted, arg=text.replace("\x00", "\x00"))
        made = "img, .sc-page a, script[src], .sc-page svg [onload], .sc-page script"
        assert seen.page.locator(f"{made}:not([type='application/json'])").count() == 0
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= WIDE["width"]
        seen.page.keyboard.press("ArrowRight")
    assert seen.page.evaluate("window.hacked") is None
    assert seen.complaints == []
    assert seen.asked_for == [path.as_uri()]
