"""The report for whoever signs: a notebook run once and written as one file that needs nothing."""

import base64
import hashlib
import html
import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from importlib import resources
from pathlib import Path
from typing import Any

from storagecalc.views.files import write_whole
from storagecalc.views.lab import SCENARIO_VARIABLE
from storagecalc.views.page.page import grid_answer, page_fragment, page_script, page_style

REPORT_VARIABLE = "STORAGECALC_REPORT"
MARKS = ("good", "short", "guess")


class ReportError(RuntimeError):
    """The report could not be made; the message says which cell of which notebook stopped it."""


class ReportPage:
    """A page of figures, tables and controls as the last line of a notebook cell.

    In a report it becomes a fragment that the report's script draws; in a live notebook the same
    answers show in a panel.

    Parameters
    ----------
    spec
        What the page consists of; a still page has no controls.
    grid
        Its answers, as ``page.grid_of`` packs them.
    """

    def __init__(self, *, spec: Mapping[str, Any], grid: Mapping[str, Any]) -> None:
        self.spec = spec
        self.grid = grid

    def _repr_mimebundle_(self, **_: Any) -> Any:
        if os.environ.get(REPORT_VARIABLE):
            return {"text/html": page_fragment(self.spec, self.grid), "text/plain": repr(self)}
        from storagecalc.views.page.panel import Panel

        return Panel(
            spec=self.spec, answer_for=lambda values, _: grid_answer(self.grid, values)
        )._repr_mimebundle_()

    def __repr__(self) -> str:
        """Short and always the same, so that a stored notebook does not change by itself."""
        return "ReportPage()"


class Passage:
    """Finished sentences, and perhaps a table, as the last line of a notebook cell.

    Every string is shown as it is written: markup in it becomes visible text.

    Parameters
    ----------
    title
        A heading, or nothing.
    paragraphs, bullets
        Sentences, in order; bullets follow the paragraphs.
    table
        ``head``, ``rows`` and perhaps ``title``, ``align`` ("l" or "r" a column) and ``marks``,
        as in a page's answer.
    """

    def __init__(
        self,
        *,
        title: str = "",
        paragraphs: Sequence[str] = (),
        bullets: Sequence[str] = (),
        table: Mapping[str, Any] | None = None,
    ) -> None:
        self.title = title
        self.paragraphs = tuple(paragraphs)
        self.bullets = tuple(bullets)
        self.table = table

    def _repr_html_(self) -> str:
        title = _element("h2", self.title) if self.title else ""
        paragraphs = "".join(_element("p", text) for text in self.paragraphs)
        bullets = "".join(_element("li", text) for text in self.bullets)
        listed = f"<ul>{bullets}</ul>" if bullets else ""
        table = _html_table(self.table) if self.table else ""
        return f'<div class="passage">{title}{paragraphs}{listed}{table}</div>'

    def __repr__(self) -> str:
        """The same words as plain text, one line each."""
        lines = [*filter(None, [self.title]), *self.paragraphs, *(f"- {b}" for b in self.bullets)]
        if self.table:
            rows = [self.table["head"], *self.table["rows"]]
            widths = [max(len(str(cell)) for cell in column) for column in zip(*rows, strict=True)]
            lines += [
                "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True))
                for row in rows
            ]
        return "\n".join(line.rstrip() for line in lines)


def write_report(
    *,
    notebook_path: Path,
    scenario_path: Path,
    report_path: Path,
    title: str,
    longest_cell_s: int = 300,
) -> Path:
    """Run the notebook on the scenario and write what it shows as one HTML file.

    The notebook learns the scenario from the environment variable STORAGECALC_SCENARIO of its own
    kernel, so several reports may be written at once. The kernel is the Python that runs this. The
    file asks nothing of any network, its policy forbids it to, and no script but its own may run.
    It is written under a temporary name and renamed, so a report that fails leaves no half file
    and the previous one untouched.

    Parameters
    ----------
    notebook_path
        The notebook; it is only read.
    scenario_path
        The scenario file.
    report_path
        Where the report goes; its folder is made where there is none.
    title
        What the browser's tab and a print's margin say.
    longest_cell_s
        Seconds after which a cell counts as stuck.

    Returns
    -------
    pathlib.Path
        The report, absolute.

    Raises
    ------
    ReportError
        Where the notebook cannot be read or one of its cells fails.
    """
    report_path = Path(report_path).resolve()
    with _quick_imports():
        import nbclient  # noqa: F401
        import nbconvert  # noqa: F401
    notebook = _executed(Path(notebook_path), Path(scenario_path), longest_cell_s)
    report_path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(report_path, _exported(notebook, title))
    return report_path


@contextmanager
def _quick_imports() -> Iterator[None]:
    """Leave out an optional check of web addresses that takes three seconds to import.

    The notebook format's validator loads a grammar of international addresses where it finds
    one, and does without where it does not. A notebook has no such addresses to check.
    """
    grammar = "rfc3987_syntax"
    absent = grammar not in sys.modules
    if absent:
        sys.modules[grammar] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        if absent:
            sys.modules.pop(grammar, None)


def _executed(notebook_path: Path, scenario_path: Path, longest_cell_s: int) -> Any:
    import nbformat
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

    try:
        notebook = nbformat.read(notebook_path, as_version=4)  # type: ignore[no-untyped-call]
    except (OSError, ValueError, nbformat.ValidationError) as fault:
        raise ReportError(f"{notebook_path} is not a notebook that can be read: {fault}") from fault

    class OwnClient(NotebookClient):
        def create_kernel_manager(self) -> Any:
            # Looking in no folder leaves the kernel of the Python that runs this.
            manager = super().create_kernel_manager()
            manager.kernel_spec_manager.kernel_dirs = []
            return manager

    client = OwnClient(
        notebook,
        kernel_name="python3",
        extra_arguments=["--IPKernelApp.log_level=ERROR"],
        timeout=longest_cell_s,
        resources={"metadata": {"path": str(notebook_path.resolve().parent)}},
    )
    environment = {
        **os.environ,
        SCENARIO_VARIABLE: str(scenario_path.resolve()),
        REPORT_VARIABLE: "1",
    }
    try:
        client.execute(env=environment)
    except CellExecutionError as fault:
        raise ReportError(f"{notebook_path.name}: {fault.ename}: {fault.evalue}") from fault
    except (CellTimeoutError, DeadKernelError) as fault:
        raise ReportError(f"{notebook_path.name}: {fault}") from fault
    return notebook


def _exported(notebook: Any, title: str) -> str:
    from nbconvert.exporters.html import HTMLExporter

    notebook.metadata.pop("widgets", None)
    own = resources.files("storagecalc.views.page").joinpath("report_template")
    with resources.as_file(own) as template_folder:
        exporter = HTMLExporter(  # type: ignore[no-untyped-call]
            template_name="owner",
            extra_template_basedirs=[str(template_folder)],
            exclude_input=True,
            exclude_input_prompt=True,
            exclude_output_prompt=True,
            exclude_anchor_links=True,
        )
        report_style = (template_folder / "owner" / "report.css").read_text(encoding="utf-8")
        script = page_script() if _has_page(notebook) else ""
        given = {
            "title": title,
            "style": report_style + page_style(),
            "script": script,
            "policy": _policy(script),
        }
        text, _ = exporter.from_notebook_node(notebook, resources=given)
    return str(text)


def _has_page(notebook: Any) -> bool:
    return any(
        "data-storagecalc-page" in output.get("data", {}).get("text/html", "")
        for cell in notebook.cells
        for output in cell.get("outputs", ())
    )


def _policy(script: str) -> str:
    """What the browser may do with the report: draw it, and run the one script we wrote."""
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    scripts = f"script-src 'sha256-{digest}'; " if script else ""
    return (
        f"default-src 'none'; {scripts}style-src 'unsafe-inline'; img-src data: blob:; "
        "font-src data:; connect-src 'none'; base-uri 'none'; form-action 'none'"
    )


def _element(tag: str, text: Any, kind: str = "") -> str:
    attribute = f' class="{kind}"' if kind else ""
    return f"<{tag}{attribute}>{html.escape(str(text))}</{tag}>"


def _html_table(table: Mapping[str, Any]) -> str:
    align = table.get("align") or "l" * len(table["head"])
    sides = ["right" if side == "r" else "" for side in align]
    marks = table.get("marks") or [[""] * len(row) for row in table["rows"]]
    head = "".join(
        _element("th", cell, side) for cell, side in zip(table["head"], sides, strict=True)
    )
    body = ""
    for row, row_marks in zip(table["rows"], marks, strict=True):
        kinds = [
            f"{side} {mark if mark in MARKS else ''}".strip()
            for side, mark in zip(sides, row_marks, strict=True)
        ]
        tags = ["th", *["td"] * (len(row) - 1)]
        cells = zip(tags, row, kinds, strict=True)
        body += f"<tr>{''.join(_element(tag, cell, kind) for tag, cell, kind in cells)}</tr>"
    caption = _element("caption", table["title"]) if table.get("title") else ""
    return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
