"""Buy-versus-grow storage economics for studios: load a scenario, evaluate it, compare builds."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from storagecalc.study.decision.records import compare
    from storagecalc.study.evaluate import evaluate
    from storagecalc.study.scenario.load import ScenarioError, load_scenario
    from storagecalc.study.scenario.scenario import Scenario

__all__ = ["Scenario", "ScenarioError", "compare", "evaluate", "load_scenario"]

# Where each name lives: fetched when it is first asked for, so that a command or a notebook that
# needs one room does not wait for all of them.
_ROOMS = {
    "Scenario": "study.scenario.scenario",
    "ScenarioError": "study.scenario.load",
    "compare": "study.decision.records",
    "evaluate": "study.evaluate",
    "load_scenario": "study.scenario.load",
}


def __getattr__(name: str) -> Any:
    if name not in _ROOMS:
        raise AttributeError(f"storagecalc has no {name!r}; it has {', '.join(__all__)}")
    found = globals()[name] = getattr(import_module(f"storagecalc.{_ROOMS[name]}"), name)
    return found
