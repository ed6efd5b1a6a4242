"""The page driven by hand: its clock stopped, and answers that come when the test says so."""

import html
import json

import pytest
from browser.invented import SPEC, quick_answer
from browser.pages import document, picture, readout, slider, typed

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
    module = page_module(charts=True)
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


def fill(hand, key, text):
    """What someone types and confirms."""
    typed(hand.page, key).fill(text)
    typed(hand.page, key).press("Enter")


def fault(hand, key):
    return hand.page.locator(f"[data-control={key}] .sc-fault").text_content()


READ = [
    ("4,5", 4.5), (" 12 ", 12), ("4.5", 4.5), ("1 450", 1450), (",5", 0.5), ("0,125", 0.125),
    ("-3", -3), ("1450.25", 1450.25), ("\u22123", -3),
]  # fmt: skip


def test_a_number_is_read_as_it_is_written_with_point_or_comma(hand):
    for number, (text, value) in enumerate(READ, start=2):
        fill(hand, "shoot_days", text)
        question = hand.asked()[-1]
        told = question["id"], question["values"]["shoot_days"], question["settled"]
        assert told == (number, value, True), text
        assert fault(hand, "shoot_days") == ""
        hand.tell(number)


def test_whatever_is_no_number_is_marked_and_asks_nothing(hand):
    field = typed(hand.page, "shoot_days")
    for text in ("1.450", "4,5x", "1,450.5", "--3", "4,", "1e3"):
        fill(hand, "shoot_days", text)
        assert len(hand.asked()) == 1, text
        assert field.get_attribute("aria-invalid") == "true", text
        assert fault(hand, "shoot_days") == SPEC["controls"][1]["wrong"], text


@pytest.mark.parametrize("text", ["1,450", "x"])
def test_what_may_mean_two_numbers_or_none_is_marked_and_asks_nothing(hand, text):
    fill(hand, "shoot_days", text)
    assert len(hand.asked()) == 1
    field = typed(hand.page, "shoot_days")
    assert field.get_attribute("aria-invalid") == "true"
    assert fault(hand, "shoot_days") == SPEC["controls"][1]["wrong"]
    # Another field is used, and what was typed here still stands.
    fill(hand, "lead_time", "3")
    hand.asked()
    hand.tell(2, values={"growth": 0.2, "shoot_days": 8, "lead_time": 3})
    assert field.input_value() == text
    assert field.get_attribute("aria-invalid") == "true"
    fill(hand, "shoot_days", "9")
    assert hand.asked()[-1]["values"] == {"growth": 0.2, "shoot_days": 9, "lead_time": 3}
    assert field.get_attribute("aria-invalid") == "false"
    assert fault(hand, "shoot_days") == ""


def test_an_emptied_field_is_filled_again(hand):
    fill(hand, "shoot_days", "")
    assert typed(hand.page, "shoot_days").input_value() == "8"


def test_an_answer_that_comes_while_someone_types_leaves_the_text_alone(hand):
    hand.press("growth")
    hand.asked()
    typed(hand.page, "shoot_days").press_sequentially("1")
    text = typed(hand.page, "shoot_days").input_value()
    hand.tell(2, 0.25, values={"growth": 0.25, "shoot_days": 8, "lead_time": 2})
    assert typed(hand.page, "shoot_days").input_value() == text != "8"
    typed(hand.page, "shoot_days").press("Enter")
    assert str(hand.asked()[-1]["values"]["shoot_days"]) == text


def test_what_the_kernel_refuses_is_told_at_its_field_and_undo_goes_to_the_last_good(hand):
    fill(hand, "shoot_days", "9")
    hand.asked()
    hand.tell(2, values={"growth": 0.2, "shoot_days": 9, "lead_time": 2})
    fill(hand, "shoot_days", "900")
    asked = hand.asked()[-1]
    told = "Shoot days must be from 0 to 31, got 900."
    refusal = {"asked": asked["id"], "error": told, "faults": {"shoot_days": told}}
    hand.page.evaluate("(text) => { window.answered = text; window.hear(); }", json.dumps(refusal))
    assert fault(hand, "shoot_days") == told
    assert typed(hand.page, "shoot_days").get_attribute("aria-invalid") == "true"
    assert hand.status.text_content() == ""
    undo = hand.page.locator("[data-act=undo]")
    undo.click()
    question = hand.asked()[-1]
    assert question["values"] == {"growth": 0.2, "shoot_days": 9, "lead_time": 2}
    assert fault(hand, "shoot_days") == ""
    hand.tell(question["id"], values=question["values"])
    undo.click()
    assert hand.asked()[-1]["values"]["shoot_days"] == 8


def test_keys_go_to_the_ends_and_in_larger_steps(hand):
    days = slider(hand.page, "shoot_days")
    days.focus()
    seen = []
    for key in ("Home", "PageUp", "ArrowUp", "End", "PageDown", "ArrowDown"):
        hand.page.keyboard.press(key)
        hand.wait()
        seen.append(days.input_value())
    assert seen == ["2", "7", "8", "20", "15", "14"]


def test_put_back_takes_back_all_that_was_typed_too(hand):
    fill(hand, "shoot_days", "x")
    fill(hand, "growth", "0,5")
    hand.page.locator("[data-act=put_back]").click()
    assert typed(hand.page, "shoot_days").input_value() == "8"
    assert typed(hand.page, "growth").input_value() == "0.2"
    assert fault(hand, "shoot_days") == ""
