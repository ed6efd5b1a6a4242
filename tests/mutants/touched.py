"""A plugin for pytest that writes down which lines of the package each test runs, and how long.

A fixture that several tests share runs once: its lines count for each of them. What the package
remembers is forgotten before every test, so that each runs all the lines it needs.
"""

import json
import os
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import coverage
import pytest

PACKAGE = Path(os.environ.get("STORAGECALC_TOUCHED_PACKAGE", ""))
TOLD = Path(os.environ.get("STORAGECALC_TOUCHED", ""))
measured = coverage.Coverage(data_file=None, include=[f"{PACKAGE}/*"], config_file=False)
needs: dict[str, list[str]] = {}
seconds: dict[str, float] = defaultdict(float)
running = ""


def pytest_load_initial_conftests() -> None:
    measured.start()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    global running
    _forget()
    known = getattr(item, "_fixtureinfo", None)
    fixtures = known.name2fixturedefs.values() if known else ()
    needs[item.nodeid] = [_context(each) for found in fixtures for each in found]
    running = item.nodeid
    measured.switch_context(running)
    result = yield
    running = ""
    measured.switch_context(running)
    return result


@pytest.hookimpl(wrapper=True)
def pytest_fixture_setup(fixturedef: Any) -> Iterator[Any]:
    measured.switch_context(_context(fixturedef))
    try:
        return (yield)
    finally:
        measured.switch_context(running)


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if report.failed:
        needs.pop(report.nodeid, None)
    seconds[report.nodeid] += report.duration


def pytest_sessionfinish() -> None:
    """Write the lines by file and test, for the tests that pass, with the seconds of each."""
    measured.stop()
    data = measured.get_data()
    contexts: dict[str, list[str]] = defaultdict(list)
    for test, fixtures in needs.items():
        for each in (test, *fixtures):
            contexts[each].append(test)
    lines = {
        Path(file).relative_to(PACKAGE.parent).as_posix(): {
            line: sorted({test for each in found for test in contexts[each]})
            for line, found in data.contexts_by_lineno(file).items()
        }
        for file in data.measured_files()
    }
    TOLD.write_text(json.dumps({"lines": lines, "seconds": seconds}), encoding="utf-8")


def _forget() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("storagecalc") and module is not None:
            for found in list(vars(module).values()):
                if hasattr(found, "cache_clear"):
                    found.cache_clear()


def _context(fixturedef: Any) -> str:
    return f"fixture {fixturedef.baseid} {fixturedef.argname}"
