"""Progress is told on a terminal and nowhere else, only where it takes a while, and wiped out."""

import io
import sys
import time

import pytest

from storagecalc.views import progress
from storagecalc.views.progress import counted, working
from storagecalc.views.text.run import page_words


class Terminal(io.StringIO):
    """Something that says it is a terminal."""

    def isatty(self):
        return True


@pytest.fixture
def quick(monkeypatch):
    monkeypatch.setattr(progress, "AT_ONCE_S", 0.01)


def told(monkeypatch, stream, work_s):
    monkeypatch.setattr(sys, "stderr", stream)
    with working("Drawing"):
        time.sleep(work_s)
    return stream.getvalue()


@pytest.mark.usefixtures("quick")
def test_a_terminal_hears_of_long_work_and_is_wiped(monkeypatch):
    heard = told(monkeypatch, Terminal(), 0.2)
    assert heard.startswith("\rDrawing: 0 s")
    assert heard.endswith(f"\r{' ' * len('Drawing: 0 s')}\r")
    assert "\n" not in heard


def test_quick_work_says_nothing(monkeypatch):
    assert told(monkeypatch, Terminal(), 0.01) == ""


@pytest.mark.usefixtures("quick")
def test_a_pipe_hears_nothing(monkeypatch):
    assert told(monkeypatch, io.StringIO(), 0.05) == ""


def halts():
    time.sleep(0.1)
    raise ZeroDivisionError


@pytest.mark.usefixtures("quick")
def test_a_fault_in_the_work_wipes_the_line_and_passes(monkeypatch):
    stream = Terminal()
    monkeypatch.setattr(sys, "stderr", stream)
    with pytest.raises(ZeroDivisionError), working("Drawing"):
        halts()
    assert stream.getvalue().endswith("\r")


@pytest.mark.usefixtures("quick")
def test_a_notebook_hears_how_many_are_done(monkeypatch):
    heard = []
    monkeypatch.setattr(progress, "_is_live", lambda: True)
    monkeypatch.setattr(progress, "_put", lambda _place, text: heard.append(text) or heard)
    for _ in counted(range(3), "positions"):
        time.sleep(0.02)
    assert heard == ["1 of 3 positions", "2 of 3 positions", ""]


@pytest.mark.usefixtures("quick")
def test_outside_a_notebook_things_are_only_counted(capsys):
    assert list(counted("abc", "letters")) == ["a", "b", "c"]
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    ("evaluation_s", "draws", "words"),
    [
        (0.5, 2000, ""),
        (4.0, 2000, "about 40 seconds"),
        (30, 2000, "5 minutes"),
        (1, 0, "3 minutes"),
    ],
)
def test_a_long_page_is_announced(evaluation_s, draws, words):
    said = page_words(evaluation_s, draws)
    assert words in said
    assert ("takes" in said) is bool(words)
