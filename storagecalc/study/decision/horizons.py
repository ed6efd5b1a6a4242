"""Whether looking further ahead changes what is recommended."""

from collections.abc import Iterator
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
    further = (
        evaluate(longer, draws=evaluation.draws, seed=evaluation.seed)
        for longer in longer_scenarios(evaluation.scenario)
    )
    return (_advice(evaluation), *map(_advice, further))


def longer_scenarios(scenario: Scenario) -> Iterator[Scenario]:
    """The scenario one and two years longer, as far as a scenario may reach.

    Parameters
    ----------
    scenario
        With or without a grid.
    """
    longest = declared(Scenario, "horizon_months")
    for further in FURTHER_MONTHS:
        months = scenario.horizon_months + further
        if longest is None or months <= longest.highest:
            yield scenario.varied({"horizon_months": months})


def _advice(evaluation: Evaluation) -> HorizonAdvice:
    return HorizonAdvice(
        horizon_months=evaluation.scenario.horizon_months,
        recommended=verdict(evaluation).recommended.build.name,
    )
