"""Buy-versus-grow storage economics for studios: load a scenario, evaluate it, compare builds."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from storagecalc.study.decision.formats_compared import formats_compared
    from storagecalc.study.decision.records import compare
    from storagecalc.study.evaluate import evaluate
    from storagecalc.study.loss.redundancy_compared import redundancy_compared
    from storagecalc.study.scenario.faults import ScenarioError
    from storagecalc.study.scenario.load import load_scenario
    from storagecalc.study.scenario.scenario import Scenario
    from storagecalc.views.lab import chosen_scenario
    from storagecalc.views.notebook import owners_page, panel, redundancy_panel, show

__all__ = [
    "Scenario",
    "ScenarioError",
    "chosen_scenario",
    "compare",
    "evaluate",
    "formats_compared",
    "load_scenario",
    "owners_page",
    "panel",
    "redundancy_compared",
    "redundancy_panel",
    "show",
]

# Where each name lives: fetched when it is first asked for, so that a command or a notebook that
# needs one room does not wait for all of them.
_ROOMS = {
    "study.decision.formats_compared": ("formats_compared",),
    "study.decision.records": ("compare",),
    "study.evaluate": ("evaluate",),
    "study.loss.redundancy_compared": ("redundancy_compared",),
    "study.scenario.faults": ("ScenarioError",),
    "study.scenario.load": ("load_scenario",),
    "study.scenario.scenario": ("Scenario",),
    "views.lab": ("chosen_scenario",),
    "views.notebook": ("owners_page", "panel", "redundancy_panel", "show"),
}
_ROOM_OF = {name: room for room, names in _ROOMS.items() for name in names}


def __getattr__(name: str) -> Any:
    if name not in _ROOM_OF:
        raise AttributeError(f"storagecalc has no {name!r}; it has {', '.join(__all__)}")
    found = globals()[name] = getattr(import_module(f"storagecalc.{_ROOM_OF[name]}"), name)
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
