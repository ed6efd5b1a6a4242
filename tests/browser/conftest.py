"""A browser and a notebook server for the tests of what people see, both kept to this machine."""

import contextlib
import json
import os
import re
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
TESTS = ROOT / "tests"
NO_SKIP = os.environ.get("STORAGECALC_NO_SKIP") == "1"
ELSEWHERE = re.compile(r"^(https?|wss?)://(?!127\.0\.0\.1[:/])")
WIDE = {"width": 1366, "height": 768}
PHONE = {"width": 390, "height": 844}
PATIENCE_MS = 30_000


@dataclass
class Visit:
    """One open page, with what it asked for and complained about on the way."""

    page: Any
    complaints: list[str] = field(default_factory=list)
    asked_for: list[str] = field(default_factory=list)

    def asked_elsewhere(self) -> list[str]:
        return [address for address in self.asked_for if ELSEWHERE.match(address)]


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab: where it is, how to get in, and the folder it serves."""

    address: str
    token: str
    folder: Path


def path_of(program: str, what_cannot_be: str) -> str:
    """Where a program lies; without it a test is skipped, or fails where none may be."""
    path = shutil.which(program)
    if path is None:
        (pytest.fail if NO_SKIP else pytest.skip)(f"no {program} on the path: {what_cannot_be}")
    return str(path)


@pytest.fixture(scope="package")
def browser() -> Iterator[Any]:
    path = path_of("chromium", "the page cannot be tried in a browser")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        try:
            yield chromium
        finally:
            chromium.close()


@contextlib.contextmanager
def visiting(
    browser: Any, address: str, *, size: dict[str, int] | None = None, **options: Any
) -> Iterator[Visit]:
    """An address open in a fresh profile in which nothing but this machine can be reached."""
    context = browser.new_context(viewport=size or WIDE, **options)
    try:
        context.set_default_timeout(PATIENCE_MS)
        context.route(ELSEWHERE, lambda route: route.abort())
        page = context.new_page()
        visit = Visit(page)
        page.on("request", lambda request: visit.asked_for.append(request.url))
        page.on("pageerror", lambda error: visit.complaints.append(str(error)))
        page.on(
            "console",
            lambda said: visit.complaints.append(said.text) if said.type == "error" else None,
        )
        page.goto(address)
        yield visit
    finally:
        context.close()


@pytest.fixture
def visit(browser: Any) -> Iterator[Callable[..., Visit]]:
    """A function that opens an address for the length of one test."""
    with contextlib.ExitStack() as open_pages:
        yield lambda address, **how: open_pages.enter_context(visiting(browser, address, **how))


@pytest.fixture(scope="package")
def lab(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """One notebook server for all tests, with settings of its own; stopped whatever happens."""
    del browser  # where there is no browser there is no need for a server
    home = tmp_path_factory.mktemp("lab")
    folder = home / "notebooks"
    folder.mkdir()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    running = Lab(f"http://127.0.0.1:{port}", secrets.token_hex(8), folder)
    with (home / "log.txt").open("wb") as log:
        process = subprocess.Popen(
            _lab_command(running, port),
            env=_lab_environment(home),
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        try:
            _wait_until_up(running, process, home / "log.txt")
            yield running
        finally:
            _stop(running, process)


def _lab_command(running: Lab, port: int) -> list[str]:
    return [
        *(sys.executable, "-m", "jupyterlab", str(running.folder), "--no-browser"),
        *("--allow-root", "--expose-app-in-browser", "--ServerApp.ip=127.0.0.1"),
        *(f"--ServerApp.port={port}", "--ServerApp.port_retries=0"),
        f"--IdentityProvider.token={running.token}",
    ]


def _lab_environment(home: Path) -> dict[str, str]:
    """An environment in which the server finds no one's settings, tabs or extensions."""
    places = {
        "JUPYTERLAB_WORKSPACES_DIR": "workspaces",
        "JUPYTERLAB_SETTINGS_DIR": "settings",
        "JUPYTER_CONFIG_DIR": "config",
        "JUPYTER_DATA_DIR": "data",
        "JUPYTER_RUNTIME_DIR": "runtime",
        "IPYTHONDIR": "ipython",
    }
    for place in places.values():
        (home / place).mkdir()
    quiet = home / "settings" / "@jupyterlab" / "apputils-extension"
    quiet.mkdir(parents=True)
    (quiet / "notification.jupyterlab-settings").write_text(
        '{"fetchNews": "false", "checkForUpdates": false}', encoding="utf-8"
    )
    search = [os.environ.get("PYTHONPATH", ""), str(ROOT), str(TESTS)]
    return {
        **os.environ,
        **{name: str(home / place) for name, place in places.items()},
        "JUPYTER_PREFER_ENV_PATH": "1",
        "PYTHONPATH": os.pathsep.join(filter(None, search)),
    }


def _wait_until_up(running: Lab, process: subprocess.Popen[bytes], log: Path) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until and process.poll() is None:
        with contextlib.suppress(OSError):
            urllib.request.urlopen(f"{running.address}/api?token={running.token}", timeout=2)
            return
        time.sleep(0.1)
    raise RuntimeError(f"JupyterLab did not start: {log.read_text(errors='replace')[-2000:]}")


def _stop(running: Lab, process: subprocess.Popen[bytes]) -> None:
    asked = urllib.request.Request(
        f"{running.address}/api/shutdown",
        method="POST",
        headers={"Authorization": f"token {running.token}"},
    )
    with contextlib.suppress(OSError):
        urllib.request.urlopen(asked, timeout=5)
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(timeout=8)
        return
    if hasattr(os, "killpg"):
        os.killpg(process.pid, signal.SIGKILL)
    process.kill()
    process.wait(timeout=5)


RUN_ALL = """async () => {
  const shown = window.jupyterapp.shell.currentWidget;
  await shown.context.ready;
  await shown.sessionContext.ready;
  await shown.sessionContext.session?.kernel?.info;
  window.jupyterapp.commands.execute("notebook:run-all-cells");
}"""


@contextlib.contextmanager
def run_in_lab(browser: Any, lab: Lab, name: str, notebook: dict[str, Any]) -> Iterator[Visit]:
    """A notebook, written where JupyterLab serves it, opened and run from top to bottom."""
    (lab.folder / name).write_text(json.dumps(notebook), encoding="utf-8")
    with visiting(browser, f"{lab.address}/doc/tree/{name}?token={lab.token}") as opened:
        opened.page.wait_for_function("window.jupyterapp?.shell?.currentWidget?.context")
        opened.page.evaluate(RUN_ALL)
        yield opened


def notebook_of(cells: list[str]) -> dict[str, Any]:
    """A notebook whose code cells show only what they return."""
    return {
        "nbformat": 4,
        "nbformat_minor": 5,
        "metadata": {"kernelspec": {"name": "python3", "display_name": "Python 3"}},
        "cells": [
            {
                "cell_type": "code",
                "id": f"cell-{number}",
                "metadata": {"jupyter": {"source_hidden": True}},
                "source": source,
                "outputs": [],
                "execution_count": None,
            }
            for number, source in enumerate(cells)
        ],
    }
