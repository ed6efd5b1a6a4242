"""Where the notebooks lie, which scenario they are about, and how they are opened."""

import os
import subprocess
import sys
from pathlib import Path

from storagecalc.study.scenario.faults import Fault, ScenarioError

SCENARIO_VARIABLE = "STORAGECALC_SCENARIO"
DEMO = "stage_films.toml"


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


def open_notebooks(scenario_path: Path) -> None:
    """Start JupyterLab on the notebooks, with this scenario in them; returns when it is closed."""
    surroundings = {**os.environ, SCENARIO_VARIABLE: str(scenario_path.resolve())}
    start = notebook_path("decide")
    subprocess.run([sys.executable, "-m", "jupyterlab", str(start)], env=surroundings, check=False)
