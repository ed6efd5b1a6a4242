"""The owner's report: run from a notebook, one file, nothing fetched, nothing but our script."""

import json
import os
import re
import threading
import time

import pytest
from browser.conftest import PHONE, ROOT, TESTS, notebook_of

from storagecalc.views.page.passage import Passage
from storagecalc.views.page.report import ReportError, write_report
from storagecalc.views.page.report_place import prepared_place
from storagecalc.views.text.table import text_table

HOSTILE = "<img src=x onerror=window.hacked=1></script><script>window.hacked=2</script>"
CELLS = [
    "import os\nopen('left.txt', 'w').close()\n"
    "from browser.invented import AXES, SPEC, quick_answer\n"
    "from storagecalc.views.page.grid import grid_of, grid_values\n"
    "from storagecalc.views.page.passage import Passage, ReportPage\n"
    "from storagecalc.views.text.table import text_table",
    'Passage(title="What we would buy", paragraphs=[os.environ["STORAGECALC_SCENARIO"]],\n'
    f"    bullets=[{HOSTILE!r}],\n"
    '    table=text_table("By year", ["Year", "Cost"], [("2027", "9,000"),\n'
    f'    ({HOSTILE!r}, "none *")], [("", "short"), ("", "guess")]))',
    "grid = grid_of(AXES, [quick_answer(values) for values in grid_values(AXES)])\n"
    "ReportPage(spec=SPEC, grid=grid)",
    "still = quick_answer({'growth': 0.4, 'shoot_days': 8, 'lead_time': 2})\n"
    "ReportPage(spec={**SPEC, 'tables': []}, grid=grid_of([], [still]))",
]
PROSE = "# What storage we would buy\n\nWritten for whoever signs. <em>Nothing</em> here is real."


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("report")


def notebook_file(folder, name, cells, prose=PROSE):
    notebook = notebook_of(cells)
    said = {"cell_type": "markdown", "id": "prose", "metadata": {}, "source": prose}
    notebook["cells"].insert(0, said)
    path = folder / name
    path.write_text(json.dumps(notebook), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def _kernel_finds_the_tests():
    with pytest.MonkeyPatch.context() as patch:
        for folder in (TESTS, ROOT, os.environ.get("PYTHONPATH", "")):
            patch.setenv("PYTHONPATH", str(folder), prepend=os.pathsep)
        yield


@pytest.fixture(scope="module")
def report(folder, _kernel_finds_the_tests):
    began = time.perf_counter()
    path = write_report(
        notebook_path=notebook_file(folder, "owner.ipynb", CELLS),
        scenario_path=folder / "studio.toml",
        report_path=folder / "new" / "report.html",
        title="Storage for <our> studio",
    )
    print(f"report written in {time.perf_counter() - began:.1f} s")
    return path


def test_one_file_without_code_or_addresses(report, folder):
    text = report.read_text(encoding="utf-8")
    assert [path.name for path in report.parent.iterdir()] == ["report.html"]
    assert not list(folder.rglob("left.txt"))  # what a cell writes goes when the report is done
    assert "quick_answer" not in text
    assert "<title>Storage for &lt;our&gt; studio</title>" in text
    assert str((folder / "studio.toml").resolve()) in text
    assert text.count("plotly.js v") == 1
    again = prepared_place(report, folder / "studio.toml")
    assert again == "It replaces the report of this scenario that was there."
    head = text[: text.index("<body>")]
    assert "default-src 'none'" in head
    assert "unsafe-inline'; img-src" in head
    assert "script-src 'sha256-" in head
    assert not re.search(r"<(script|link|img|iframe)[^>]*\s(src|href)=", text)


def test_it_opens_offline_and_its_controls_work(report, visit):
    seen = visit(report.as_uri())
    page = seen.page
    page.locator("[data-figure=cost] .main-svg").last.wait_for()
    assert page.locator(".js-plotly-plot").count() == 4  # two pages of two charts
    assert page.locator(".sc-settings").count() == 1
    live, still = page.locator("h2[data-part=headline]").all()
    before = [live.text_content(), still.text_content()]
    page.locator("[data-control=growth] input[type=range]").focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "(old) => document.querySelector('h2[data-part=headline]').textContent !== old",
        arg=before[0],
    )
    assert [live.text_content(), still.text_content()] == [before[1], before[1]]
    assert (
        page.locator(".passage td", has_text="none *").get_attribute("class") == "sc-left sc-guess"
    )
    assert page.locator(".passage li").text_content() == HOSTILE
    assert page.evaluate("window.hacked") is None
    page.set_viewport_size(PHONE)
    page.wait_for_timeout(300)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    assert seen.complaints == []
    assert seen.asked_for == [report.as_uri()]


def test_the_policy_stops_what_did_not_come_from_us(report, visit, tmp_path):
    text = report.read_text(encoding="utf-8")
    tampered = tmp_path / "tampered.html"
    added = '<script>window.hacked = 1</script><img src="http://192.0.2.1/x.png"></main>'
    tampered.write_text(text.replace("</main>", added, 1), encoding="utf-8")
    seen = visit(tampered.as_uri())
    seen.page.locator(".main-svg").first.wait_for()
    assert seen.page.evaluate("window.hacked") is None
    assert len(seen.complaints) == 2
    assert all("Content Security Policy" in complaint for complaint in seen.complaints)


@pytest.mark.usefixtures("_kernel_finds_the_tests")
def test_a_failing_cell_is_named_and_leaves_the_old_report(folder):
    old = folder / "old.html"
    old.write_text("the old report", encoding="utf-8")
    broken = notebook_file(folder, "broken.ipynb", ["raise ValueError('no such build')"])
    with pytest.raises(ReportError, match=r"broken\.ipynb: ValueError: no such build"):
        write_report(
            notebook_path=broken, scenario_path=folder / "a.toml", report_path=old, title="t"
        )
    assert old.read_text(encoding="utf-8") == "the old report"
    assert not [path for path in folder.iterdir() if path.suffix == ".part"]


def test_a_kernel_that_dies_is_told(folder):
    dies = notebook_file(folder, "dies.ipynb", ["import os\nos._exit(9)"])
    with pytest.raises(ReportError, match=r"dies\.ipynb: its kernel died, as it does where memory"):
        write_report(
            notebook_path=dies,
            scenario_path=folder / "a.toml",
            report_path=folder / "dies.html",
            title="t",
        )
    assert not (folder / "dies.html").exists()


def test_what_is_no_notebook_is_refused(folder):
    junk = folder / "junk.ipynb"
    for content in ("", "[1, 2", "{}", "\x00" * 50):
        junk.write_text(content, encoding="utf-8")
        with pytest.raises(ReportError, match="not a notebook"):
            write_report(
                notebook_path=junk,
                scenario_path=folder / "a.toml",
                report_path=folder / "junk.html",
                title="t",
            )


@pytest.mark.slow
def test_two_reports_at_once_each_get_their_own_scenario(folder):
    cells = ["import os\nprint(os.environ['STORAGECALC_SCENARIO'])"]
    notebook = notebook_file(folder, "which.ipynb", cells)
    names = ["one", "two"]
    threads = [
        threading.Thread(
            target=write_report,
            kwargs={
                "notebook_path": notebook,
                "scenario_path": folder / f"{name}.toml",
                "report_path": folder / f"{name}.html",
                "title": name,
            },
        )
        for name in names
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for name in names:
        text = (folder / f"{name}.html").read_text(encoding="utf-8")
        assert f"{name}.toml" in text
        assert "plotly" not in text  # no page, no chart library
        assert len(text) < 30_000


def test_a_passage_reads_the_same_without_a_browser():
    passage = Passage(
        title="Money",
        paragraphs=["It costs 9,000."],
        bullets=["a < b"],
        table=text_table("By build", ["", "A"], [("cost", "9,000")]),
    )
    assert repr(passage) == "Money\nIt costs 9,000.\n- a < b\n          A\ncost  9,000"
    assert "<li>a &lt; b</li>" in passage._repr_html_()
