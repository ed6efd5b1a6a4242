"""What reaches a terminal shows as itself, and every way to end has its code and a plain line."""

import errno
import io
import json
import os
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from views.conftest import DEMO

from storagecalc.study.scenario.load import load_scenario
from storagecalc.views import cli
from storagecalc.views.cli import as_json, main
from storagecalc.views.page.report import ReportError
from storagecalc.views.terminal import as_shown, complain

COMMAND = [sys.executable, "-c", "from storagecalc.views.cli import run; run()"]
HARMFUL = "a\x1b[2J\u202eb\x9b31m\r\u2028\x7f\u200f\t"


def harmless(text):
    return all(char.isprintable() or char == "\n" for char in text)


def shell(line, **environment):
    """A line of shell in which ``$S`` is the command; its code, output and faults."""
    done = subprocess.run(
        ["bash", "-c", line, *COMMAND],
        env={**os.environ, "S": "", **environment},
        capture_output=True,
        check=False,
        timeout=60,
    )
    return done.returncode, done.stdout.decode(), done.stderr.decode()


@given(st.text(st.characters()))
def test_any_text_is_harmless_and_any_json_says_the_same(text):
    for encoding in ("utf-8", "ascii", "cp1252"):
        shown = as_shown(text, encoding)
        assert harmless(shown)
        shown.encode(encoding)
        written = json.dumps({text: [text]}, ensure_ascii=False)
        assert json.loads(as_shown(written, encoding)) == {text: [text]}


def test_json_is_legible_and_harmless(capsys, tmp_path):
    named = DEMO.read_text(encoding="utf-8").replace(
        "8 bays, filled", f"É{json.dumps(HARMFUL)[1:-1]}"
    )
    path = tmp_path / "plan.toml"
    path.write_text(named, encoding="utf-8")
    assert main(["compare", str(path), "--json", "--draws", "0"]) == 0
    out = capsys.readouterr().out
    assert harmless(out)
    assert "É" in out
    assert "\\u202e" in out
    name = json.loads(out)["builds"][0]["name"]
    assert name.startswith(f"É{HARMFUL}")
    assert name in [build.name for build in load_scenario(path).builds.values()]


@pytest.mark.parametrize(
    "arguments",
    [
        ["compare", f"{HARMFUL}.toml"],
        ["check", "none\udcff.toml"],
        ["compare", "plan.toml", f"--{HARMFUL}"],
        ["new", f"gone{HARMFUL}/plan.toml"],
        ["report", "plan.toml", "--to", f"{HARMFUL}.txt"],
        ["formats", HARMFUL],
    ],
)
def test_names_and_arguments_in_messages_are_harmless(tmp_path, monkeypatch, capsys, arguments):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plan.toml").write_bytes(DEMO.read_bytes())
    try:
        code = main(arguments)
    except SystemExit as stopped:
        code = stopped.code
    heard = capsys.readouterr()
    assert code == 2
    assert heard.out == ""
    assert harmless(heard.err)


@pytest.mark.parametrize(
    "line",
    [
        'title = "\\u001b[2J\\u202e\\nfaked line"\nhorizon_months = "x"',
        '["\\u001b[31m\\nfaked line"]\na = 1',
        "title = '\x1b'",
        'title = "a"\n[work."\\u009b\\nfaked line"]\nkeep = "\\u001b\\nfaked line"',
    ],
)
def test_what_a_scenario_says_is_harmless_in_the_faults_told(tmp_path, capsys, line):
    path = tmp_path / "plan\nfaked line.toml"
    path.write_text(line, encoding="utf-8")
    assert main(["check", str(path)]) == 2
    told = capsys.readouterr().err
    assert harmless(told)
    assert not any(each.startswith("faked line") for each in told.splitlines())


@pytest.mark.parametrize(
    ("raised", "code", "words"),
    [
        (KeyboardInterrupt(), 130, "Stopped."),
        (MemoryError(), 1, "memory"),
        (ReportError("one cell\x1b failed"), 1, "one cell\\u001b failed"),
        (OSError(errno.EACCES, "x", "a\x1bb"), 2, "a\\u001bb: you may not write there"),
        (OSError("no number"), 2, "storagecalc: no number"),
        (BrokenPipeError(), 141, ""),
    ],
)
def test_every_way_to_end_has_its_code_and_one_line(monkeypatch, capsys, raised, code, words):
    def ends(*_arguments, **_options):
        raise raised

    monkeypatch.setattr(cli, "evaluate", ends)
    assert main(["compare", str(DEMO)]) == code
    heard = capsys.readouterr()
    assert heard.out == ""
    assert heard.err.strip() == words or (words in heard.err and heard.err.count("\n") <= 2)


def test_a_reader_that_leaves_is_no_fault():
    code, _, faults = shell('"$0" "$@" formats | true; exit "${PIPESTATUS[0]}"')
    assert (code, faults) == (141, "")
    code, _, faults = shell('"$0" "$@" --help | true; exit "${PIPESTATUS[0]}"')
    assert (code, faults) == (141, "")


def test_a_closed_or_full_output_is_told_and_nothing_is_begun(tmp_path):
    code, _, faults = shell(f'cd "{tmp_path}"; "$0" "$@" new a.toml >&-')
    assert code == 1
    assert "standard output is closed" in faults
    assert faults.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
    code, out, faults = shell('"$0" "$@" keys >&- 2>&-')
    assert (code, out, faults) == (1, "", "")
    if os.path.exists("/dev/full"):
        code, _, faults = shell('"$0" "$@" keys >/dev/full')
        assert code == 1
        assert "the disk is full" in faults
        assert faults.count("\n") == 1


def test_an_output_that_knows_few_characters_gets_the_numbers_of_the_others():
    code, out, faults = shell('"$0" "$@" keys', PYTHONIOENCODING="ascii", LC_ALL="C")
    assert (code, faults) == (0, "")
    assert out.isascii()


def test_where_nobody_hears_faults_none_is_told_elsewhere(monkeypatch, capsys):
    monkeypatch.setattr(sys, "stderr", None)
    complain("lost")
    assert capsys.readouterr().out == ""


def test_faults_that_cannot_be_told_raise_none(monkeypatch):
    class Full(io.StringIO):
        def write(self, _text):
            raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(sys, "stderr", Full())
    complain("lost")


def test_json_of_an_evaluation_has_no_way_out_of_its_strings(hostile):
    assert json.loads(as_shown(as_json(hostile), "ascii")) == json.loads(as_json(hostile))
