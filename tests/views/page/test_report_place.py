"""A report replaces no file of another kind, nor silently that of another studio."""

import os
from types import SimpleNamespace

import pytest
from views.conftest import DEMO

from storagecalc.views import cli, files
from storagecalc.views.cli import main
from storagecalc.views.files import FileError
from storagecalc.views.page.report_place import own_place, prepared_place, report_mark

OURS = '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta name="generator" content="{}">'


@pytest.fixture
def studio(tmp_path, monkeypatch):
    """A folder to work in, with a scenario."""
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "plan.toml"
    path.write_bytes(DEMO.read_bytes())
    return path


@pytest.fixture
def written(monkeypatch):
    """Reports as they are recognised, without the seconds that a real one takes."""

    def quick(*, scenario_path, report_path, **_):
        report_path.write_text(OURS.format(report_mark(scenario_path)), encoding="utf-8")

    monkeypatch.setattr(cli, "write_report", quick)


def other_studio(studio):
    path = studio.parent / "other" / studio.name
    path.parent.mkdir()
    path.write_bytes(studio.read_bytes())
    return path


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("plan.toml", None, "not named as a web page"),
        ("notes.html", "<html>my own notes</html>", "exists, is no report"),
        ("empty.htm", "", "exists, is no report"),
        ("folder", None, "is a folder"),
        ("folder.html", None, "is a folder"),
        ("report", None, "not named as a web page"),
    ],
)
@pytest.mark.usefixtures("written")
def test_what_is_no_report_stays_and_is_told_before_the_work(studio, capsys, name, content, why):
    target = studio.parent / name
    if name.startswith("folder"):
        target.mkdir()
    elif content is not None:
        target.write_text(content, encoding="utf-8")
    before = {path: path.read_bytes() for path in studio.parent.iterdir() if path.is_file()}
    assert main(["report", str(studio), "--to", str(target), "--draws", "0"]) == 2
    heard = capsys.readouterr()
    assert why in heard.err
    assert str(target) in heard.err
    assert heard.out == ""
    assert {path: path.read_bytes() for path in studio.parent.iterdir() if path.is_file()} == before


@pytest.mark.parametrize("name", ["plan.toml/report.html", f"{'x' * 300}.html"])
@pytest.mark.usefixtures("written")
def test_what_cannot_be_written_is_told_before_the_work(studio, capsys, name):
    assert main(["report", str(studio), "--to", str(studio.parent / name)]) == 2
    heard = capsys.readouterr()
    assert "cannot be written: " in heard.err
    assert heard.out == ""
    assert list(studio.parent.iterdir()) == [studio]


def test_a_full_disk_is_told_before_the_work(studio, capsys, monkeypatch):
    full = SimpleNamespace(free=1)
    monkeypatch.setattr(files.shutil, "disk_usage", lambda _path: full)
    assert main(["report", str(studio), "--to", "page.html"]) == 2
    heard = capsys.readouterr()
    assert heard.err == "page.html cannot be written: the disk is full\n"
    assert heard.out == ""


def test_what_fills_up_meanwhile_is_told_too(studio, capsys, monkeypatch):
    def fails(**_):
        raise FileError("cannot be written: the disk is full")

    monkeypatch.setattr(cli, "write_report", fails)
    assert main(["report", str(studio), "--to", "page.html", "--draws", "0"]) == 2
    assert capsys.readouterr().err == "page.html cannot be written: the disk is full\n"


def test_a_pipe_is_no_report_and_nothing_waits_for_it(studio):
    os.mkfifo(studio.parent / "page.html")
    with pytest.raises(FileError, match="is no report"):
        prepared_place(studio.parent / "page.html", studio)


@pytest.mark.usefixtures("written")
def test_the_same_study_replaces_its_own_report_and_says_so(studio, capsys):
    for words in ("", "It replaces the report of this scenario"):
        assert main(["report", str(studio), "--draws", "0"]) == 0
        said = capsys.readouterr().out
        assert "reports/plan.html" in said
        assert ("It replaces" in said) is bool(words)
        assert words in said
    assert [path.name for path in (studio.parent / "reports").iterdir()] == ["plan.html"]


@pytest.mark.usefixtures("written")
def test_two_studios_with_one_file_name_each_have_their_report(studio, capsys):
    other = other_studio(studio)
    assert main(["report", str(studio), "--draws", "0"]) == 0
    assert "stays as it is" not in capsys.readouterr().out
    for _ in range(2):
        assert main(["report", str(other), "--draws", "0"]) == 0
        said = capsys.readouterr().out
        assert "reports/plan-2.html" in said
        assert "reports/plan.html is not the report of this scenario, and stays as it is." in said
    reports = studio.parent / "reports"
    assert report_mark(studio) in (reports / "plan.html").read_text(encoding="utf-8")
    assert report_mark(other) in (reports / "plan-2.html").read_text(encoding="utf-8")


def test_asked_for_by_name_the_report_of_another_study_is_replaced_but_not_silently(studio):
    target = studio.parent / "report.html"
    target.write_text(OURS.format(report_mark(other_studio(studio))), encoding="utf-8")
    assert "report of another scenario" in prepared_place(target, studio)


def test_a_link_that_leads_nowhere_is_no_report(studio):
    target = studio.parent / "report.html"
    target.symlink_to(studio.parent / "gone.html")
    with pytest.raises(FileError, match="is no report"):
        prepared_place(target, studio)


def test_own_places_count_on_past_what_is_not_ours(studio):
    reports = studio.parent / "reports"
    reports.mkdir()
    (reports / "plan.html").write_text("someone's page", encoding="utf-8")
    (reports / "plan-2.html").mkdir()
    assert own_place(studio).name == "plan-3.html"


def test_a_report_tells_no_folder(studio):
    assert studio.parent.name not in report_mark(studio)
