"""The page driven by hand: its clock stopped, and answers that come when the test says so."""

import html
import json

import pytest
from browser.invented import SPEC, quick_answer
from browser.pages import document, picture, readout, slider

from storagecalc.views.page.page import page_module, sendable, with_layout

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
    get: (name) => ({ spec: window.spec, answered: window.answered ?? "{}" })[name],
    set: (name, question) => window.asked.push(question), save_changes() {},
    on: (name, hear) => { window.hear = hear; }, off() { window.off = true; },
  },
});
"""


@pytest.fixture(scope="module")
def hand_file(tmp_path_factory):
    module = page_module()
    page_only = module[module.index("// Elements of the page") :]
    path = tmp_path_factory.mktemp("hand") / "hand.html"
    words = {**SPEC["words"], "save": "Keep these"}
    spec = html.escape(json.dumps(with_layout({**SPEC, "words": words})))
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
        answer = {**sendable(quick_answer(values)), "asked": asked, "error": None, **changes}
        text = json.dumps(answer)
        self.page.evaluate("(text) => { window.answered = text; window.hear(); }", text)

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
