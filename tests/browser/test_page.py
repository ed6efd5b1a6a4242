"""The page in a real browser, from a file on disk: what it shows, and what it does when asked."""

import html
import json
import re

import pytest
from browser.conftest import PHONE, WIDE, visiting
from browser.invented import AXES, SPEC, invented_answer

from storagecalc.views.page import (
    grid_of,
    grid_values,
    page_fragment,
    page_module,
    page_script,
    page_style,
)

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

# A host that answers only when told to, and a stand-in for the chart library that notes its calls.
HAND_HOST = """
window.Plotly = {
  react: (el, data, layout) => { [el.data, el.layout] = [data, layout]; },
  relayout() {}, purge() {},
};
window.asked = [];
window.unmount = page.default.render({
  el: document.body,
  model: {
    get: (name) => ({ spec: window.spec, answered: window.answered ?? {} })[name],
    set: (name, question) => window.asked.push(question), save_changes() {},
    on: (name, hear) => { window.hear = hear; }, off() { window.off = true; },
  },
});
"""


def document(body: str, scripts: str) -> str:
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Page</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        "<meta http-equiv='Content-Security-Policy' content=\"default-src 'none'; "
        "script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:\">"
        f"<style>body{{margin:0}}{page_style()}</style></head><body>{body}{scripts}</body></html>"
    )


def grid_document(spec, axes, answers) -> str:
    fragment = page_fragment(spec, grid_of(axes, answers))
    return document(fragment, f"<script>{page_script()}</script>")


@pytest.fixture(scope="module")
def page_file(tmp_path_factory):
    answers = [invented_answer(values, False) for values in grid_values(AXES)]
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


def slider(page, key):
    return page.locator(f"[data-control={key}] input[type=range]")


def typed(page, key):
    return page.locator(f"[data-control={key}] input[type=number]")


def readout(page, key):
    return page.locator(f"[data-readout={key}]").text_content()


def picture(page):
    """What the page shows: its words, its table cells, and the last point of each chart."""
    return page.evaluate(
        """() => [
          ...[...document.querySelectorAll("[data-text], td, figcaption")]
            .map((part) => part.textContent),
          ...[...document.querySelectorAll(".sc-plot")].map((plot) => plot.data[2].y.at(-1)),
        ]"""
    )


def test_it_opens_with_the_answer_for_the_values_it_starts_from(page):
    expected = invented_answer({"growth": 0.2, "shoot_days": 8, "lead_time": 2}, False)
    assert page.locator("h2").text_content() == expected["texts"]["headline"]
    assert readout(page, "growth") == "20 % a year"
    rows = page.locator("[data-table=builds] tbody tr")
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
        assert page.get_by_role("spinbutton", name=name).count() == 1
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
            "builds": "[data-table=builds]",
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

    answer = json.loads(json.dumps(invented_answer(grid_values(AXES)[0], False), default=list))
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


# What follows drives the page by hand, question by question.


@pytest.fixture(scope="module")
def hand_file(tmp_path_factory):
    module = page_module()
    page_only = module[module.index("// The page people see") :]
    path = tmp_path_factory.mktemp("hand") / "hand.html"
    spec = html.escape(json.dumps({**SPEC, "words": {**SPEC["words"], "save": "Keep these"}}))
    script = page_only.replace("export default", "const page = {default:", 1).rstrip().rstrip(";")
    path.write_text(
        document(
            f'<div id="spec" hidden data-spec="{spec}"></div>',
            "<script type='module'>window.spec = JSON.parse(document.querySelector('#spec')"
            f".dataset.spec);\n{script}}};\n{HAND_HOST}</script>",
        ),
        encoding="utf-8",
    )
    return path


class Hand:
    """The page with its clock stopped, and someone at the other end who answers when told to."""

    def __init__(self, page):
        self.page = page
        self.status = page.locator("[role=status]")

    def wait(self, ms=20):
        self.page.clock.run_for(ms)

    def asked(self):
        """Every question so far, once what was set off has happened; keys need longer to settle."""
        self.wait()
        return self.page.evaluate("window.asked")

    def tell(self, asked, growth=0.2, **changes):
        values = {"growth": growth, "shoot_days": 8, "lead_time": 2}
        answer = {**invented_answer(values, False), "asked": asked, "error": None, **changes}
        text = json.dumps(answer, default=lambda array: array.tolist())
        self.page.evaluate("(text) => { window.answered = JSON.parse(text); window.hear(); }", text)

    def press(self, key="growth", times=1):
        slider(self.page, key).focus()
        for _ in range(times):
            self.page.keyboard.press("ArrowRight")


@pytest.fixture
def hand(hand_file, visit):
    seen = visit("about:blank")
    seen.page.clock.install(time=0)
    seen.page.goto(hand_file.as_uri())
    seen.page.clock.pause_at(600_000)
    driven = Hand(seen.page)
    assert [question["id"] for question in driven.asked()] == [1]
    driven.tell(1)
    yield driven
    assert seen.complaints == []


def test_only_the_newest_question_waits_while_one_is_open(hand):
    hand.press()
    assert len(hand.asked()) == 2
    hand.press(times=4)
    assert len(hand.asked()) == 2
    hand.tell(2)
    asked = hand.asked()
    assert len(asked) == 3
    assert asked[2]["values"] == {"growth": 0.45, "shoot_days": 8, "lead_time": 2}
    assert asked[2]["settled"] is False
    hand.tell(3)
    hand.wait(300)
    assert hand.asked()[3] == {**asked[2], "id": 4, "settled": True}


def test_stale_answers_are_dropped(hand):
    hand.press()
    hand.asked()
    hand.tell(2, 0.25)
    newest = picture(hand.page)
    hand.tell(1, 0.7)
    assert picture(hand.page) == newest
    assert readout(hand.page, "growth") == "25 % a year"


def test_an_error_leaves_the_last_good_picture(hand):
    good = picture(hand.page)
    hand.press()
    hand.asked()
    hand.tell(2, 0.6, error="growth <b>must</b> be smaller")
    assert hand.status.text_content() == "growth <b>must</b> be smaller"
    assert hand.status.get_attribute("class") == "sc-wrong"
    assert picture(hand.page) == good
    hand.page.locator("[data-act=undo]").click()
    assert hand.asked()[-1]["values"]["growth"] == 0.2
    hand.tell(3)
    assert hand.status.text_content() == ""


def test_dragging_asks_unsettled_questions_and_release_a_settled_one(hand):
    box = slider(hand.page, "shoot_days").bounding_box()
    middle = box["y"] + box["height"] / 2
    hand.page.mouse.move(box["x"] + box["width"] * 0.5, middle)
    hand.page.mouse.down()
    assert hand.asked()[-1]["settled"] is False
    hand.tell(2)
    hand.page.mouse.move(box["x"] + box["width"] * 0.8, middle)
    moving = hand.asked()[-1]
    assert moving["settled"] is False
    hand.tell(3, values={"growth": 0.2, "shoot_days": 3, "lead_time": 2}, moving=True)
    assert float(slider(hand.page, "shoot_days").input_value()) > 10  # stays under the finger
    hand.page.mouse.up()
    assert hand.asked()[-1] == {**moving, "id": 4, "settled": True}


def test_keys_pressed_one_after_the_other_are_one_change(hand):
    for number in range(2, 6):
        hand.press("shoot_days")
        hand.wait(200)
        hand.tell(number)
    hand.wait(300)
    assert [question["settled"] for question in hand.asked()[1:]] == [*[False] * 4, True]
    hand.page.locator("[data-act=undo]").click()
    assert slider(hand.page, "shoot_days").input_value() == "8"


def test_undo_also_takes_back_what_has_not_settled(hand):
    undo = hand.page.locator("[data-act=undo]")
    assert undo.get_attribute("aria-disabled") == "true"
    hand.press("shoot_days")
    assert undo.get_attribute("aria-disabled") == "false"
    undo.click()
    assert slider(hand.page, "shoot_days").input_value() == "8"
    assert undo.get_attribute("aria-disabled") == "true"
    hand.wait(1000)
    hand.tell(2)
    assert [question["values"]["shoot_days"] for question in hand.asked()] == [8, 9, 8]


def test_a_silent_kernel_is_named_and_does_not_lock_the_page(hand):
    hand.press()
    hand.wait(500)
    assert hand.status.text_content() == SPEC["words"]["working"]
    hand.wait(9_000)
    hand.press()
    assert len(hand.asked()) == 2
    hand.wait(2_000)
    assert hand.status.text_content() == SPEC["words"]["no_answer"]
    hand.press()
    assert len(hand.asked()) == 3


def test_save_sends_the_values_and_says_what_came_of_it(hand):
    hand.press()
    hand.asked()
    hand.tell(2)
    hand.page.locator("[data-act=save]").click()
    saved = hand.asked()[-1]
    assert saved["save"] is True
    assert saved["values"]["growth"] == 0.25
    hand.tell(saved["id"], status="kept")
    assert hand.status.text_content() == "kept"


def test_taking_the_page_away_leaves_nothing_behind(hand):
    hand.press()
    hand.page.evaluate("() => window.unmount()")
    hand.wait(1000)
    assert len(hand.page.evaluate("window.asked")) == 2
    assert hand.page.evaluate("window.off") is True
    assert hand.page.locator(".sc-page").count() == 0
