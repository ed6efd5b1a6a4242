"""Where the notebooks lie, which scenario they are about, and how they are opened."""

import itertools
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from storagecalc.study.scenario.faults import Fault, ScenarioError
from storagecalc.views.files import (
    FileError,
    NameInUseError,
    numbered_names,
    reason_words,
    write_new,
)

SCENARIO_VARIABLE = "STORAGECALC_SCENARIO"
DEMO = "stage_films.toml"


class LabError(RuntimeError):
    """The notebooks could not be opened; the message says why."""


def notebook_path(name: str) -> Path:
    """The notebook of that name, as installed or in the checkout."""
    return notebook_folder() / f"{name}.ipynb"


def notebook_folder() -> Path:
    """The folder of the notebooks: inside the package once installed, beside it in a checkout."""
    package = Path(__file__).parents[1]
    installed = package / "notebooks"
    return installed if installed.is_dir() else package.parent / "notebooks"


def chosen_scenario() -> Path:
    """The scenario the notebooks are about: the one they were opened on, or the demo.

    Raises
    ------
    ScenarioError
        Where neither is to be had.
    """
    named = os.environ.get(SCENARIO_VARIABLE)
    if named:
        return Path(named)
    demo = Path(__file__).parents[2] / "data_examples" / DEMO
    if demo.exists():
        return demo
    rule = "is not named; open the notebooks with: storagecalc open FILE"
    raise ScenarioError("notebooks", [Fault(key="the scenario", value=None, rule=rule)])


def own_folder(scenario_path: Path) -> Path:
    """The folder beside a scenario where copies of the notebooks go."""
    return scenario_path.with_name(f"{scenario_path.stem}-notebooks")


def placed_notebooks(folder: Path) -> dict[str, Path]:
    """Copies of all notebooks in a folder, by name; one that was changed is never overwritten.

    A copy has no outputs, which would be those of another studio. A notebook counts as changed
    where its cells say something else, whatever they have put out.

    Parameters
    ----------
    folder
        Made where there is none.

    Raises
    ------
    FileError
        Where a copy cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as reason:
        raise FileError(f"cannot be written: {reason_words(reason)}") from None
    return {each.stem: _placed(each, folder) for each in sorted(notebook_folder().glob("*.ipynb"))}


def open_lab(scenario_path: Path, notebook: Path) -> None:
    """Start JupyterLab on a notebook, with this scenario in it; returns when it is closed.

    Raises
    ------
    LabError
        Where it does not start, or ends with a fault.
    """
    surroundings = {**os.environ, SCENARIO_VARIABLE: str(scenario_path.resolve())}
    command = [sys.executable, "-m", "jupyterlab", str(notebook.resolve())]
    with subprocess.Popen(command, env=surroundings) as lab:
        code = None
        while code is None:
            try:
                code = lab.wait()
            except KeyboardInterrupt:  # JupyterLab hears it too, asks, and ends when it is ready
                continue
    if code:
        raise LabError(
            f"JupyterLab did not start, or ended with a fault (code {code}); its own words stand"
            " above. The report needs no JupyterLab: storagecalc report FILE"
        )


def _placed(own: Path, folder: Path) -> Path:
    fresh = json.loads(own.read_text(encoding="utf-8"))
    for cell in fresh["cells"]:
        if cell["cell_type"] == "code":
            cell |= {"outputs": [], "execution_count": None}
    usual = folder / own.name
    for path in itertools.chain([usual], numbered_names(usual)):
        if _sources(path) == _sources(own):
            break
        if os.path.lexists(path):
            continue
        try:
            write_new(path, json.dumps(fresh, ensure_ascii=False, indent=1) + "\n")
            break
        except NameInUseError:
            continue
    return path


def _sources(path: Path) -> Any:
    """What the cells of a notebook say, without what they put out; None where it is none."""
    if not path.is_file():
        return None
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        return [(cell["cell_type"], "".join(cell["source"])) for cell in cells]
    except (OSError, ValueError, LookupError, TypeError, RecursionError):
        return None
