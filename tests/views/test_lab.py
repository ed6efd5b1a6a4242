"""Notebooks are opened as copies that are the user's own, and JupyterLab's end is understood."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest
from views.conftest import DEMO

from storagecalc.views import lab
from storagecalc.views.cli import main
from storagecalc.views.files import FileError
from storagecalc.views.lab import notebook_folder, placed_notebooks

NAMES = [
    "capacity_and_failure",
    "decide",
    "growth_by_format",
    "now_or_in_steps",
    "owners_report",
]

COMMAND = [sys.executable, "-c", "from storagecalc.views.cli import run; run()"]


@pytest.fixture
def studio(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_bytes(DEMO.read_bytes())
    return path


@pytest.fixture
def jupyterlab(tmp_path, monkeypatch):
    """A JupyterLab of our own: what it is started with, and the code it ends with."""

    def stands_for(code):
        package = tmp_path / "path" / "jupyterlab"
        package.mkdir(parents=True)
        (package / "__init__.py").touch()
        (package / "__main__.py").write_text(code, encoding="utf-8")
        monkeypatch.setenv("PYTHONPATH", str(package.parent), prepend=os.pathsep)

    return stands_for


def stored(folder):
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def edited(path, text="mine"):
    notebook = json.loads(path.read_text(encoding="utf-8"))
    notebook["cells"][0]["source"] = [text]
    path.write_text(json.dumps(notebook), encoding="utf-8")


def run(path):
    """What running a notebook and saving it changes."""
    notebook = json.loads(path.read_text(encoding="utf-8"))
    for number, cell in enumerate(notebook["cells"]):
        cell["source"] = "".join(cell["source"])
        if cell["cell_type"] == "code":
            cell |= {"execution_count": number, "outputs": [{"output_type": "stream"}]}
    path.write_text(json.dumps(notebook), encoding="utf-8")


def test_copies_go_beside_the_scenario_and_that_is_said(studio, jupyterlab, capfd):
    ours = stored(notebook_folder())
    jupyterlab("import os, sys; print('started', sys.argv[1], os.environ['STORAGECALC_SCENARIO'])")
    assert main(["open", str(studio)]) == 0
    folder = studio.parent / "plan-notebooks"
    said = capfd.readouterr().out
    assert f"The notebooks lie in {folder}" in said
    assert f"started {folder / 'decide.ipynb'} {studio}" in said
    assert sorted(stored(folder)) == [f"{name}.ipynb" for name in NAMES]
    assert stored(notebook_folder()) == ours


def test_copies_have_no_outputs_of_another_studio(tmp_path):
    for path in placed_notebooks(tmp_path / "mine").values():
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        assert not [cell for cell in cells if cell.get("outputs") or cell.get("execution_count")]


def test_a_folder_of_the_user_s_choice(studio, jupyterlab):
    jupyterlab("")
    assert main(["open", str(studio), "--to", str(studio.parent / "a" / "b")]) == 0
    assert len(stored(studio.parent / "a" / "b")) == len(NAMES)
    assert not (studio.parent / "plan-notebooks").exists()


def test_a_notebook_that_was_only_run_is_used_again(tmp_path):
    placed = placed_notebooks(tmp_path)
    run(placed["decide"])
    before = stored(tmp_path)
    assert placed_notebooks(tmp_path) == placed
    assert stored(tmp_path) == before


def test_a_changed_notebook_is_kept_and_a_fresh_one_laid_beside_it(studio, jupyterlab, capfd):
    jupyterlab("import sys; print('started', sys.argv[1])")
    folder = studio.parent / "plan-notebooks"
    edited(placed_notebooks(folder)["decide"])
    kept = (folder / "decide.ipynb").read_bytes()
    for _ in range(2):
        assert main(["open", str(studio)]) == 0
        said = capfd.readouterr().out
        assert (
            "decide.ipynb was changed and stays as it is; the fresh one is decide-2.ipynb" in said
        )
        assert f"started {folder / 'decide-2.ipynb'}" in said
    edited(folder / "decide-2.ipynb", "mine too")
    assert placed_notebooks(folder)["decide"].name == "decide-3.ipynb"
    assert (folder / "decide.ipynb").read_bytes() == kept


@pytest.mark.parametrize("content", ["", "{}", "[" * 100_000, '{"cells": [1]}', "\x00"])
def test_a_file_that_is_no_notebook_is_left_alone(tmp_path, content):
    (tmp_path / "decide.ipynb").write_text(content, encoding="utf-8")
    assert placed_notebooks(tmp_path)["decide"].name == "decide-2.ipynb"
    assert (tmp_path / "decide.ipynb").read_text(encoding="utf-8") == content


def test_links_and_folders_in_the_way_are_left_alone(tmp_path):
    (tmp_path / "decide.ipynb").symlink_to(tmp_path / "gone.ipynb")
    (tmp_path / "decide-2.ipynb").mkdir()
    assert placed_notebooks(tmp_path)["decide"].name == "decide-3.ipynb"
    assert not (tmp_path / "gone.ipynb").exists()


def test_a_folder_that_cannot_be_is_told(studio, capsys):
    with pytest.raises(FileError, match="a part of its path is a file"):
        placed_notebooks(studio)
    assert main(["open", str(studio), "--to", str(studio / "below")]) == 2
    assert "name a folder with --to" in capsys.readouterr().err


def test_a_lab_that_does_not_start_is_a_failure_with_a_line(studio, jupyterlab, capfd):
    jupyterlab("raise SystemExit('no lab here')")
    assert main(["open", str(studio)]) == 1
    heard = capfd.readouterr().err
    assert "JupyterLab did not start, or ended with a fault (code 1)" in heard
    assert "Traceback" not in heard


def test_ctrl_c_leaves_the_lab_the_time_to_end(studio, jupyterlab):
    jupyterlab(
        "import signal, sys, time\n"
        "def end(*_):\n    time.sleep(1)\n    print('ended in order', flush=True)\n    sys.exit()\n"
        "signal.signal(signal.SIGINT, end)\nprint('ready', flush=True)\ntime.sleep(30)"
    )
    running = subprocess.Popen(
        [*COMMAND, "open", str(studio)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        text=True,
    )
    assert running.stdout is not None
    while "ready" not in running.stdout.readline():
        pass
    os.killpg(running.pid, signal.SIGINT)
    out, faults = running.communicate(timeout=20)
    assert (running.returncode, faults) == (0, "")
    assert "ended in order" in out


@pytest.mark.slow
@pytest.mark.parametrize("after_s", [2, 4])
def test_ctrl_c_ends_a_report_with_one_line_and_no_half_file(studio, after_s):
    running = subprocess.Popen(
        [*COMMAND, "report", str(studio), "--to", str(studio.parent / "page.html"), "--draws", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        text=True,
    )
    time.sleep(after_s)
    os.killpg(running.pid, signal.SIGINT)
    _, faults = running.communicate(timeout=30)
    assert running.returncode == 130
    assert faults.strip() == "Stopped."
    assert [path.name for path in studio.parent.iterdir()] == ["plan.toml"]


def test_the_notebooks_of_the_tool_are_found():
    assert sorted(path.stem for path in lab.notebook_folder().glob("*.ipynb")) == NAMES
