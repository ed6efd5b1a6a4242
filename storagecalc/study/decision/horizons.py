"""Whether looking further ahead changes what is recommended."""

from dataclasses import dataclass

from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.quantity import declared
from storagecalc.study.scenario.scenario import Scenario

FURTHER_MONTHS = (12, 24)


@dataclass(frozen=True, slots=True, kw_only=True)
class HorizonAdvice:
    """What is recommended when looking so many months ahead, by name."""

    horizon_months: int
    recommended: str


def advice_by_horizon(evaluation: Evaluation) -> tuple[HorizonAdvice, ...]:
    """What is recommended at the scenario's horizon, and one and two years beyond it.

    The same futures, each a year or two longer. A horizon beyond what a scenario may have is left
    out.

    Parameters
    ----------
    evaluation
        Without a grid.
    """
    scenario = evaluation.scenario
    longest = declared(Scenario, "horizon_months")
    found = [_advice(evaluation)]
    for further in FURTHER_MONTHS:
        months = scenario.horizon_months + further
        if longest is None or months <= longest.highest:
            longer = scenario.varied({"horizon_months": months})
            found.append(_advice(evaluate(longer, draws=evaluation.draws, seed=evaluation.seed)))
    return tuple(found)


def _advice(evaluation: Evaluation) -> HorizonAdvice:
    return HorizonAdvice(
        horizon_months=evaluation.scenario.horizon_months,
        recommended=verdict(evaluation).recommended.build.name,
    )
