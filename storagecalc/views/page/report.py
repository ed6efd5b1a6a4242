"""The report for whoever signs: a notebook run once and written as one file that needs nothing."""

import asyncio
import base64
import hashlib
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib import resources
from pathlib import Path
from typing import Any

from storagecalc.views.files import write_whole
from storagecalc.views.lab import SCENARIO_VARIABLE
from storagecalc.views.page.page import CHART_MARK, PAGE_MARK, page_script, page_style
from storagecalc.views.page.passage import REPORT_VARIABLE
from storagecalc.views.page.report_place import report_mark

# The tag of the cell from which on a report is folded away.
FOLD = "appendix"


class ReportError(RuntimeError):
    """The report could not be made; the message says which cell of which notebook stopped it."""


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
    FileError
        Where the report cannot be written.
    """
    report_path = Path(report_path).resolve()
    with _quick_imports():
        import nbclient  # noqa: F401
        import nbconvert  # noqa: F401
    notebook = _executed(Path(notebook_path), Path(scenario_path), longest_cell_s)
    report_path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(report_path, _exported(notebook, title, report_mark(scenario_path)))
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
    from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

    try:
        notebook = nbformat.read(notebook_path, as_version=4)  # type: ignore[no-untyped-call]
    except (OSError, ValueError, nbformat.ValidationError) as fault:
        raise ReportError(f"{notebook_path} is not a notebook that can be read: {fault}") from fault
    environment = {
        **os.environ,
        SCENARIO_VARIABLE: str(scenario_path.resolve()),
        REPORT_VARIABLE: "1",
    }
    client = _client(notebook, longest_cell_s)
    try:
        # An empty folder to work in: what a cell writes goes with it, and nothing that lies about
        # is taken for a module.
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            client.resources = {"metadata": {"path": folder}}
            client.execute(env=environment, stderr=subprocess.DEVNULL)
    except CellExecutionError as fault:
        raise ReportError(f"{notebook_path.name}: {fault.ename}: {fault.evalue}") from fault
    except (CellTimeoutError, DeadKernelError, asyncio.CancelledError) as fault:
        if client.stopped:
            raise KeyboardInterrupt from None
        died = isinstance(fault, DeadKernelError)
        words = "its kernel died, as it does where memory runs out" if died else str(fault)
        raise ReportError(f"{notebook_path.name}: {words}") from fault
    return notebook


def _client(notebook: Any, longest_cell_s: int) -> Any:
    """Who runs the notebook, with the Python that runs this, until Ctrl+C stops both."""
    from nbclient import NotebookClient

    class OwnClient(NotebookClient):
        stopped = False

        def create_kernel_manager(self) -> Any:
            # Looking in no folder leaves the kernel of the Python that runs this.
            manager = super().create_kernel_manager()
            manager.kernel_spec_manager.kernel_dirs = []
            return manager

        async def async_start_new_kernel(self, **kwargs: Any) -> None:
            # Its own way to be stopped stumbles over the kernel that it has just ended.
            task: Any = asyncio.current_task()

            def stop() -> None:
                self.stopped = True
                task.cancel()

            with suppress(RuntimeError):  # another system, or not the main thread
                for number in (signal.SIGINT, signal.SIGTERM):
                    asyncio.get_running_loop().add_signal_handler(number, stop)
            await super().async_start_new_kernel(**kwargs)

    return OwnClient(
        notebook,
        kernel_name="python3",
        extra_arguments=["--IPKernelApp.log_level=ERROR"],
        timeout=longest_cell_s,
    )


def _exported(notebook: Any, title: str, mark: str) -> str:
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
        pages = _with(notebook, PAGE_MARK)
        script = page_script(charts=_with(notebook, CHART_MARK)) if pages else ""
        given = {
            "title": title,
            "mark": mark,
            "style": report_style + page_style(),
            "script": script,
            "policy": _policy(script),
            "folded": any(FOLD in cell.metadata.get("tags", ()) for cell in notebook.cells),
        }
        text, _ = exporter.from_notebook_node(notebook, resources=given)
    return str(text)


def _with(notebook: Any, mark: str) -> bool:
    """Whether any output has this in its markup."""
    return any(
        mark in output.get("data", {}).get("text/html", "")
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
