"""What would change the decision, in words: the values at which something else is advised."""

from collections.abc import Sequence

from storagecalc.study.decision.break_even import BreakEven, Crossing
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text.needs import need_label
from storagecalc.views.text.numbers import count, listed, short, significant
from storagecalc.views.text.page import amount, label_of, shown_unit, shown_value

BARS = "Hatched: another build is recommended, or this one misses the needs. Blue: it meets them."
SLIDE = "Move a slider: the page follows."


def change_title(found: Sequence[BreakEven]) -> str:
    """Whether any of the quantities that matter most changes the decision."""
    if any(each.crossings for each in found):
        return "What would change the decision"
    return f"What would change the decision: none of the {count(len(found))} that matter most"


def change_sentence(each: BreakEven, evaluation: Evaluation) -> str:
    """The nearest value at which something changes, and what."""
    crossing = each.nearest
    if crossing is None:
        return f"No value from {_span(each, evaluation)} changes it."
    value = amount(each.quantity, crossing.value, evaluation.scenario)
    side = "Above" if crossing.side == "above" else "Below"
    return f"{side} {value} {_effect(crossing, evaluation)}."


def unchanged_sentence(found: Sequence[BreakEven], evaluation: Evaluation) -> str:
    """Those that change nothing from low to high, in one sentence; nothing where all do."""
    idle = [each for each in found if not each.crossings]
    if not idle:
        return ""
    return f"Nothing changes with {listed(_label(each, evaluation) for each in idle)}."


def unsettled_sentence(found: Sequence[BreakEven]) -> str:
    """That the case is so close that it hangs on which futures are drawn."""
    if not any(each.unsettled for each in found):
        return ""
    return "It is a close case: with other futures drawn, another build may come first."


def crossing_values(each: BreakEven) -> list[str]:
    """What stands at each crossing."""
    return [significant(shown_value(each.quantity, one.value), 2) for one in each.crossings]


def end_values(each: BreakEven) -> list[str]:
    """What stands at the two ends of the bar."""
    return [significant(shown_value(each.quantity, end)) for end in (each.low, each.high)]


def _label(each: BreakEven, evaluation: Evaluation) -> str:
    return label_of(each.key, each.quantity, evaluation.scenario)


def _span(each: BreakEven, evaluation: Evaluation) -> str:
    low, high = end_values(each)
    return f"{low} to {high} {shown_unit(each.quantity, evaluation.scenario)}".rstrip()


def _effect(crossing: Crossing, evaluation: Evaluation) -> str:
    """What is advised beyond it; where that stays, which need is missed or met there."""
    names = {build.key: build.name for build in evaluation.builds}
    chosen = verdict(evaluation).recommended.build
    if crossing.recommended.key != chosen.key:
        return f"we would recommend {short(names[crossing.recommended.key])}"
    name = short(chosen.name)
    for needs, does in ((crossing.missed_needs, "misses"), (crossing.met_needs, "meets")):
        if needs:
            told = listed(f"“{need_label(need, evaluation)}”" for need in needs)
            return f"{name} {does} {told}"
    often = "often enough" if crossing.meets_needs else "too seldom"
    return f"{name} meets all needs at once {often}"
