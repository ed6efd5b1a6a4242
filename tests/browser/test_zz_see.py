import json
import time

from browser.conftest import ROOT, run_in_lab


def test_see(browser, lab):
    nb = json.loads((ROOT / "notebooks" / "decide.ipynb").read_text())
    for c in nb["cells"]:
        if c["cell_type"] == "code":
            c["metadata"] = {"jupyter": {"source_hidden": True}}
            c["outputs"] = []
    t = time.time()
    with run_in_lab(browser, lab, "decide.ipynb", nb) as v:
        v.page.locator(".sc-page").wait_for()
        v.page.locator(".sc-page svg").first.wait_for(state="attached")
        print("first picture", time.time() - t)
        v.page.locator(".sc-page").scroll_into_view_if_needed()
        v.page.wait_for_timeout(1500)
        v.page.locator(".sc-page").evaluate("e=>e.scrollIntoView()")
        v.page.wait_for_timeout(800)
        v.page.screenshot(path="/tmp/see/lab.png")
        print(
            v.page.evaluate(
                "(()=>{const p=document.querySelector('.sc-page');return [p.clientWidth,p.clientHeight,[...p.querySelectorAll('.sc-drawing')].map(e=>e.clientHeight),document.querySelector('.sc-settings').clientHeight,document.querySelectorAll('.sc-still').length]})()"
            )
        )
        s = v.page.locator(".sc-page input[type=range]").first
        s.focus()
        v.page.keyboard.press("End")
        v.page.wait_for_timeout(1500)
        v.page.screenshot(path="/tmp/see/lab2.png")
        f = v.page.locator(".sc-page input[inputmode]").first
        f.fill("4,5x")
        f.press("Enter")
        v.page.wait_for_timeout(300)
        f = v.page.locator(".sc-page input[inputmode]").nth(1)
        f.fill("999999")
        f.press("Enter")
        v.page.wait_for_timeout(1200)
        v.page.screenshot(path="/tmp/see/lab3.png")
        print(v.complaints)
