"""Words of the owner's page around the answers: small lines, what if, titles."""

from collections.abc import Mapping, Sequence

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.sliders import Slider
from storagecalc.views.text.numbers import listed, month, plain, years_span
from storagecalc.views.text.page import amount, label_of

AGREED, DATE = "Agreed:", "Date:"
GO_WRONG = "What could go wrong"
PRICES = {"invented": "Prices invented", "a guess": "Prices a guess", "quoted": "Prices quoted"}


def small_lines(evaluation: Evaluation) -> tuple[str, str]:
    """Whose page this is and from when it looks; whose prices, and what money it is in."""
    scenario = evaluation.scenario
    span, start = years_span(scenario.horizon_months), month(scenario.start_date)
    money = f"mean of {evaluation.draws:,} futures" if evaluation.draws else "middle of every range"
    return (
        f"{plain(scenario.title)} · {span} from {start}",
        f"{PRICES[scenario.prices_are]}, {plain(scenario.tax)} · money: {money}, in today's"
        f" {plain(scenario.currency)}",
    )


def what_if(evaluation: Evaluation, found: Sequence[Slider], values: Mapping[str, float]) -> str:
    """Which sliders stand elsewhere than the file says; nothing where all stand there."""
    told = [
        f"{label_of(each.key, each.quantity, evaluation.scenario)}"
        f" {amount(each.quantity, values[each.key], evaluation.scenario)}, not"
        f" {amount(each.quantity, each.start, evaluation.scenario)}"
        for each in found
        if abs(values[each.key] - each.start) > 1e-9 * max(1.0, abs(each.start))
    ]
    stays = " Best plans stay as they were made." if evaluation.plans else ""
    return f"What if, not as planned: {listed(told)}.{stays}" if told else ""
