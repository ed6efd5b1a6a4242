"""Whether looking further ahead changes the order of the builds."""

from dataclasses import dataclass

from storagecalc.study.decision.verdict import ranked
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.quantity import declared
from storagecalc.study.scenario.scenario import Scenario

FURTHER_MONTHS = (12, 24)
DRAWS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class HorizonOrder:
    """The builds' names, the best first, when looking so many months ahead."""

    horizon_months: int
    names: tuple[str, ...]


def orders_by_horizon(evaluation: Evaluation) -> tuple[HorizonOrder, ...]:
    """The order of the builds at the scenario's horizon and one and two years beyond it.

    A horizon beyond what a scenario may have is left out.

    Parameters
    ----------
    evaluation
        Without a grid; its seed, and at most ``DRAWS`` futures, are used for the others too.
    """
    scenario = evaluation.scenario
    longest = declared(Scenario, "horizon_months")
    found = [_order(evaluation)]
    for further in FURTHER_MONTHS:
        months = scenario.horizon_months + further
        if longest is None or months <= longest.highest:
            longer = scenario.varied({"horizon_months": months})
            draws = min(evaluation.draws, DRAWS)
            found.append(_order(evaluate(longer, draws=draws, seed=evaluation.seed)))
    return tuple(found)


def _order(evaluation: Evaluation) -> HorizonOrder:
    return HorizonOrder(
        horizon_months=evaluation.scenario.horizon_months,
        names=tuple(build.name for build in ranked(evaluation)),
    )
