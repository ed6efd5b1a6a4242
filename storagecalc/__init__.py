"""Buy-versus-grow storage economics for studios: load a scenario, evaluate it, compare builds."""

from storagecalc.study.compare import compare
from storagecalc.study.evaluate import evaluate
from storagecalc.study.scenario.load import ScenarioError, load_scenario
from storagecalc.study.scenario.scenario import Scenario

__all__ = ["Scenario", "ScenarioError", "compare", "evaluate", "load_scenario"]
