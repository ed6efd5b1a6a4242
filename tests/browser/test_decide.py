"""The notebook that decides, as a user opens it: JupyterLab, a real kernel, the demo's numbers."""

import json
import re

import pytest
from browser.conftest import ROOT, run_in_lab
from browser.seeing import contrast_faults, crowded_targets, nameless, unreachable_regions
from browser.test_lab import printed_p95_ms
from playwright.sync_api import expect

SLIDERS = ".sc-page input[type=range]"
# From the key going down to the end of the frame in which the picture changed.
STOPWATCH = """() => {
  const page = document.querySelector(".sc-page");
  let began = 0, done = null;
  const seen = () => {
    const tell = done;
    done = null;
    requestAnimationFrame(() => setTimeout(() => tell?.(performance.now() - began)));
  };
  new MutationObserver(seen).observe(page.querySelector("[data-part=gap]"),
    { childList: true, characterData: true, attributes: true, subtree: true });
  page.addEventListener("keydown", (event) => { began = event.timeStamp; }, true);
  window.startMove = () => {
    window.move = new Promise((tell, fail) => {
      done = tell;
      setTimeout(() => fail(new Error("no repaint within five seconds")), 5000);
    });
  };
}"""


@pytest.fixture(scope="module")
def decide(browser, lab):
    notebook = json.loads((ROOT / "notebooks" / "decide.ipynb").read_text(encoding="utf-8"))
    with run_in_lab(browser, lab, "decide.ipynb", notebook) as visit:
        visit.page.locator(".sc-page svg").first.wait_for()
        visit.page.locator(".sc-page").scroll_into_view_if_needed()
        yield visit
        assert not visit.asked_elsewhere()


@pytest.fixture
def page(decide):
    """The page with every control where the notebook put it."""
    decide.page.locator("[data-act=put_back]").click()
    expect(decide.page.locator(".sc-fault:not(:empty)")).to_have_count(0)
    expect(part(decide.page, "recommendation")).to_contain_text("12 bays, room for a shelf")
    return decide.page


def part(page, name):
    return page.locator(f".sc-page [data-part='{name}']")


def test_it_opens_with_a_verdict_and_two_pictures(page):
    assert re.match(
        r"Buy “12 bays, room for a shelf” now; order", part(page, "recommendation").inner_text()
    )
    assert re.fullmatch(r"\d of \d needs met, all at once in .+ futures \(80 asked\)",
                        part(page, "needs line").inner_text())  # fmt: skip
    for name in ("lanes", "gap"):
        assert part(page, f"{name} title").inner_text()
        (drawing,) = part(page, name).locator("> svg").all()
        assert drawing.get_attribute("role") == "img"
    # What stood in for it while it was not run is gone.
    assert page.locator(".jp-OutputArea .sc-still:visible").count() == 0


def test_verdict_sliders_and_both_pictures_fit_one_view(page):
    boxes = [
        page.locator(f".sc-page {each}").bounding_box()
        for each in (".sc-head", ".sc-settings", "[data-part=lanes]", "[data-part=gap]")
    ]
    top = min(box["y"] for box in boxes)
    assert max(box["y"] + box["height"] for box in boxes) - top <= 640
    assert boxes[1]["x"] + boxes[1]["width"] <= boxes[2]["x"]


def test_both_ends_move_pictures_sentences_and_tables(page):
    first = page.locator(SLIDERS).first
    page.locator(".sc-numbers summary").click()
    before = {name: part(page, name).inner_text() for name in ("builds", "reason")}
    for key, end in (("End", "max"), ("Home", "min")):
        first.focus()
        page.keyboard.press(key)
        expect(part(page, "builds")).not_to_have_text(before["builds"], use_inner_text=True)
        assert float(first.input_value()) == float(first.get_attribute(end))
        page.locator("[data-act=put_back]").click()
        page.wait_for_timeout(100)
    expect(part(page, "builds")).to_have_text(before["builds"], use_inner_text=True)
    assert part(page, "reason").inner_text() == before["reason"]


def test_what_is_wrong_is_marked_at_its_field_and_not_lost(page):
    boxes = page.locator(".sc-page [data-control]")
    fields = [boxes.nth(number).locator("input[inputmode]") for number in (0, 1)]
    labels = [
        boxes.nth(number).locator("label").evaluate("e => e.firstChild.data") for number in (0, 1)
    ]
    fields[0].fill("999999999")
    fields[0].press("Enter")
    expect(fields[0]).to_have_attribute("aria-invalid", "true")
    expect(boxes.nth(0).locator(".sc-fault")).to_contain_text(f"{labels[0]} must be from")
    fields[1].fill("x")
    fields[1].press("Enter")
    expect(fields[1]).to_have_attribute("aria-invalid", "true")
    expect(boxes.nth(1).locator(".sc-fault")).to_contain_text(f"{labels[1]}: write one number")
    assert [field.input_value() for field in fields] == ["999999999", "x"]
    page.locator("[data-act=undo]").click()
    expect(fields[0]).to_have_attribute("aria-invalid", "false")


def test_everything_can_be_named_reached_touched_and_read(page):
    page.locator(".sc-needs summary").click()
    assert nameless(page, ".sc-page") == []
    assert unreachable_regions(page, ".sc-page") == []
    assert crowded_targets(page, ".sc-page") == []
    assert contrast_faults(page, ".sc-page") == []


@pytest.mark.slow
def test_time_from_key_to_repaint_of_the_real_panel(page, capsys):
    """Asked for: 95 of 100 moves under 120 ms on a machine with nothing else to do."""
    page.evaluate(STOPWATCH)
    page.locator(SLIDERS).first.focus()
    page.keyboard.press("Home")  # so that ten steps to the right and back are there
    page.wait_for_timeout(1500)
    with capsys.disabled():
        p95_ms = printed_p95_ms(page, "the notebook that decides")
    assert p95_ms < 2000, "the page hangs"
