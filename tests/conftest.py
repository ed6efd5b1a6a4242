"""Settings shared by every test: how long random search runs, and whether a test may be skipped."""

import os

import hypothesis
import pytest

NO_SKIP = os.environ.get("STORAGECALC_NO_SKIP") == "1"

# "quick" asks the same 25 questions every time, so an ordinary run is short and repeatable;
# "long" looks further and elsewhere, and belongs to the slow run.
hypothesis.settings.register_profile("quick", max_examples=25, deadline=None, derandomize=True)
hypothesis.settings.register_profile("long", max_examples=400, deadline=None, print_blob=True)


def pytest_configure(config: pytest.Config) -> None:
    long = os.environ.get("STORAGECALC_LONG") == "1" or config.option.markexpr == "slow"
    hypothesis.settings.load_profile("long" if long else "quick")


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Where skipping is forbidden, a run with a skipped test is a failed run."""
    skipped = _skipped(session.config)
    if NO_SKIP and skipped and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    skipped = _skipped(terminalreporter.config)
    if NO_SKIP and skipped:
        terminalreporter.section("skipped, though STORAGECALC_NO_SKIP=1 forbids it", red=True)
        for report in skipped:
            terminalreporter.line(f"{report.nodeid}: {report.longrepr}")


def _skipped(config: pytest.Config) -> list[pytest.TestReport]:
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    return [] if reporter is None else reporter.stats.get("skipped", [])
