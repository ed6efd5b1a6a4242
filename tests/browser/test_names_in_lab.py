"""Names like formulas and addresses, in JupyterLab: they show as they are written."""

import pytest
from browser.conftest import notebook_of, run_in_lab

NAME = "$x^2$ $$y$$ \\(z\\) https://a.invalid/b"
CELLS = [
    "from IPython.display import HTML\nHTML('<p id=typeset>$x^2$</p>')",
    "from browser.invented import SPEC, invented_answer\n"
    "from storagecalc.views.page.panel import Panel\n"
    "from storagecalc.views.page.passage import Passage\n"
    "from storagecalc.views.text.table import text_table\n"
    f"name = {NAME!r}\n"
    "Passage(title=name, paragraphs=[name], bullets=[name],\n"
    "    table=text_table(name, [name, name], [(name, name)]))",
    "def answer(values, settled, width_px):\n"
    "    found = invented_answer(values, settled)\n"
    "    for figure in found['figures'].values():\n"
    "        figure['title'] = name\n"
    "        figure['data'] = [{**each, 'name': name} for each in figure['data']]\n"
    "    return {**found, 'texts': {each: name for each in found['texts']}}\n"
    "Panel(spec=SPEC, answer_for=answer)",
]
DRAWN = "document.querySelectorAll('.sc-page .js-plotly-plot .main-svg').length >= 4"


@pytest.mark.slow
def test_no_name_becomes_a_formula_or_a_link(browser, lab):
    with run_in_lab(browser, lab, "names.ipynb", notebook_of(CELLS)) as opened:
        page = opened.page
        page.wait_for_function(DRAWN)
        # JupyterLab does set formulas: the one that nobody protected is set.
        page.locator(".jp-RenderedHTML p mjx-container").wait_for()
        shown = page.locator(".passage, .sc-page")
        assert shown.count() == 2
        assert shown.locator("mjx-container").count() == 0
        assert shown.locator("a").count() == 0
        told = [NAME] * page.locator(".passage :is(h2, p, li, th, td)").count()
        assert page.locator(".passage :is(h2, p, li, th, td)").all_text_contents() == told
        assert page.locator(".sc-page .legendtext", has_text=NAME).count() >= 1
        assert page.locator(".sc-page h2").first.text_content() == NAME
