"""The sentences at the top: what we recommend and why, and what would be otherwise."""

import math

from storagecalc.study.dates import month_date
from storagecalc.study.decision.horizons import HorizonAdvice, advice_by_horizon
from storagecalc.study.decision.needs import Standing
from storagecalc.study.decision.order_list import first_things
from storagecalc.study.decision.planned_orders import next_planned
from storagecalc.study.decision.verdict import (
    Verdict,
    cheaper_fraction,
    is_clear_of,
    mean_cost,
    paired_gap,
    verdict,
)
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.answers import four_answers
from storagecalc.views.text.capacity import lasting_sentence, margin_sentence, next_thing
from storagecalc.views.text.money import difference_sentences, order_words
from storagecalc.views.text.needs import need_label, short_by
from storagecalc.views.text.numbers import (
    listed,
    met_of_hundred,
    money,
    month,
    of_hundred,
    quoted,
    short,
    years_span,
)

LONGEST_ADVICE_WORDS = 20


def first_page(evaluation: Evaluation) -> dict[str, str]:
    """Everything the owner should read first, sentence by sentence in the order of reading."""
    return {
        "recommendation": recommendation(evaluation),
        "reason": reason(evaluation),
        **{name: f"{told.label}: {told.whole}" for name, told in four_answers(evaluation).items()},
        "prices": prices_sentence(evaluation),
    }


def headline(evaluation: Evaluation) -> str:
    """What the comparison comes to, whatever its outcome."""
    return f"{recommendation(evaluation)} {reason(evaluation)}"


def recommendation(evaluation: Evaluation) -> str:
    """What to do, in at most twenty words."""
    found = verdict(evaluation)
    chosen = found.recommended.build
    if found.outcome != "none meets the needs":
        act, then = _first_act(evaluation, chosen), _then(evaluation, chosen)
        beside = _beside(chosen)
        if act is None:
            return _nothing_yet(evaluation, chosen)
        advice = [f"{act}{beside}{then}.", f"{act}{beside}.", f"{act}{then}.", f"{act}."]
        return next((each for each in advice if _is_short(each)), advice[-1])
    name = short(chosen.name)
    if len(evaluation.builds) == 1:
        return f"{name} does not meet all needs."
    if len(found.rivals) > 1:
        return f"No build meets all needs; of those that come near, {name} costs least."
    return f"No build meets all needs; {name} comes nearest."


def reason(evaluation: Evaluation) -> str:
    """Why that, in one sentence."""
    found = verdict(evaluation)
    chosen, needs = found.recommended, _meets(evaluation, found.recommended)
    if found.outcome == "none meets the needs":
        words = f"It {_misses(evaluation, chosen)}."
    elif found.outcome == "only alternative":
        words = f"There is nothing to compare it with{f'; it {needs}' if needs else ''}."
    elif found.outcome == "only one meets the needs":
        words = f"It alone {needs}{_asked(evaluation)}."
    elif found.outcome == "clear":
        words = f"It costs {_gap(evaluation, found)}{f', and {needs}' if needs else ''}."
    else:
        words = f"Costs are level{_level(evaluation, found)}."
    if evaluation.draws:
        return words
    return f"{words} (All ranges at their middle: how sure this is was not computed.)"


def prices_sentence(evaluation: Evaluation) -> str:
    """How good the prices are."""
    return {
        "invented": "All prices are invented: put your own quotes in before deciding.",
        "a guess": "Prices are a guess: put quotes in before deciding.",
        "quoted": "Prices are as quoted today; how they move is a guess.",
    }[evaluation.scenario.prices_are]


def _is_short(words: str) -> bool:
    return len(words.split()) <= LONGEST_ADVICE_WORDS


def _nothing_yet(evaluation: Evaluation, build: BuildResult) -> str:
    """What a plan orders first, where that is later."""
    due = month_date(evaluation.scenario.start_date, build.capacity.first_order_months)
    what, by = next_thing(evaluation, build), month(due)
    name = short(build.name)
    advice = [f"Order {what} by {by}, and nothing before, for {name}.",
              f"Order {what} by {by} for {name}."]  # fmt: skip
    return next(
        (each for each in advice if _is_short(each)), f"Order nothing for {name} before {by}."
    )


def _first_act(evaluation: Evaluation, build: BuildResult) -> str | None:
    """What is to be done at once: buy it, buy for it, or go on; None where a plan begins later."""
    name, things = short(build.name), first_things(build)
    if any(what == "box" for what, _ in things):
        return f"Buy {name} now"
    if not things:
        is_planned = next_planned(evaluation, build) is not None
        return None if is_planned else f"Go on with {name}"
    bought = listed(order_words(*each) for each in things)
    if len(bought.split()) >= LONGEST_ADVICE_WORDS / 2:
        return f"Go on with {name}: place the first order now"
    return f"Go on with {name}: buy {bought} now"


def _beside(build: BuildResult) -> str:
    """What is kept as it is; nothing where that is nothing."""
    kept = [short(each.name.replace("_", " ")) for each in build.capacity.kept if each.stays_months]
    return f" and keep {listed(kept)} beside it" if kept else ""


def _then(evaluation: Evaluation, build: BuildResult) -> str:
    """The next order and its last month; nothing where none falls due."""
    due_months = build.capacity.first_order_months
    if not 0 < due_months < math.inf:
        return ""
    day = month(month_date(evaluation.scenario.start_date, due_months))
    return f"; order {next_thing(evaluation, build)} by {day}"


def _meets(evaluation: Evaluation, standing: Standing) -> str:
    """In how many futures it meets all needs; nothing where there are none."""
    if not standing.needs:
        return ""
    if not evaluation.draws:
        return "meets all needs" if standing.meets_needs else "does not meet all needs"
    return f"meets all needs in {met_of_hundred(standing.needs_met_fraction)} futures"


def _asked(evaluation: Evaluation) -> str:
    """How many futures are asked for."""
    if not evaluation.draws:
        return ""
    asked = of_hundred(evaluation.scenario.needs.confidence_fraction)
    return f" ({asked.removesuffix(' of 100')} asked)"


def _misses(evaluation: Evaluation, standing: Standing) -> str:
    """In how many futures it meets all needs, and which need costs most of them."""
    needs = _meets(evaluation, standing)
    worst = standing.costliest_need
    if worst is None:
        return needs
    missed = "misses" if len(standing.missed) == 1 else "misses most often"
    if not standing.missed:
        missed = "meets each often enough, but not all at once; misses most often"
    return f"{needs}{_asked(evaluation)}; it {missed}: {short_by(worst, evaluation)}"


def _level(evaluation: Evaluation, found: Verdict) -> str:
    """How the recommended compares with what costs about as much."""
    chosen, currency = found.recommended, evaluation.scenario.currency
    needs = _meets(evaluation, chosen)
    if chosen.build is found.first:
        others = listed(short(build.name) for build in found.level_with)
        least = "it costs least on average"
        if any(mean_cost(each.build) < mean_cost(chosen.build) for each in found.others):
            least += " of those that meet the needs"
        return f" with {others}; {least}{f' and {needs}' if needs else ''}"
    first = found.rivals[0]
    more = money(paired_gap(found.first, chosen.build).mean, currency)
    dearer = of_hundred(cheaper_fraction(found.first, chosen.build))
    seldom = met_of_hundred(first.needs_met_fraction).removesuffix(" of 100")
    return (
        f" ({more} more on average than {short(found.first.name)}, more in {dearer}"
        f" futures), but it {needs}, not {seldom}"
    )


def _gap(evaluation: Evaluation, found: Verdict) -> str:
    """What the recommended costs less than the next."""
    if found.second is None or found.gap_cost is None:
        return ""
    mean = money(found.gap_cost.mean, evaluation.scenario.currency)
    told = f"{mean} less than {short(found.second.name)}"
    if not evaluation.draws:
        return told
    return f"{told} on average (less in {of_hundred(found.cheaper_fraction)} futures)"


def beside_sentences(evaluation: Evaluation) -> list[str]:
    """What else belongs to the recommendation: who is cheaper at times, and what needs cost."""
    found = verdict(evaluation)
    currency, chosen = evaluation.scenario.currency, found.recommended.build
    told = [
        f"{quoted(each.name)} is cheaper in {of_hundred(cheaper_fraction(each, chosen))} futures,"
        f" but costs {money(paired_gap(chosen, each).mean, currency)} more on average."
        for each in found.cheaper_at_times
        if mean_cost(each) > mean_cost(chosen)
    ]
    for need in sorted(found.unmet_needs):
        label = f"No build meets the need “{need_label(need, evaluation)}” often enough"
        told.append(f"{label}{_nearest(found, need)}.")
    for other in found.others:
        if is_clear_of(other.build, chosen):
            told.append(
                f"{quoted(other.build.name)} costs"
                f" {money(paired_gap(other.build, chosen).mean, currency)} less on average but"
                f" misses {listed(_missed(evaluation, other))}. That is what the needs cost."
            )
    return told


def _missed(evaluation: Evaluation, standing: Standing) -> list[str]:
    """The needs it misses; where it misses none by itself, that it misses them together."""
    missed = [short_by(need, evaluation) for need in standing.missed]
    met = met_of_hundred(standing.needs_met_fraction)
    return missed or [f"too often one or another (all at once met in {met} futures)"]


def _nearest(found: Verdict, need: str) -> str:
    """Who comes nearest to a need that no build meets; nothing where all miss it alike."""
    everyone = (*found.rivals, *found.others)
    judged = [one for each in everyone for one in each.needs if one.need == need]
    if len({(one.met_fraction, one.shortfall) for one in judged}) == 1:
        return ""
    return f"; {quoted(found.nearest_to(need).build.name)} comes nearest"


def reason_sentences(evaluation: Evaluation) -> list[str]:
    """Differences by cause, caution in the space, and whether looking further decides."""
    chosen = verdict(evaluation).recommended.build
    return [
        *beside_sentences(evaluation),
        *difference_sentences(evaluation),
        lasting_sentence(evaluation, chosen),
        margin_sentence(evaluation, chosen),
        *horizon_sentences(advice_by_horizon(evaluation)),
    ]


def horizon_sentences(advice: tuple[HorizonAdvice, ...]) -> list[str]:
    """Where looking a year or two further changes what is recommended; else nothing."""
    first, *further = advice
    changed = [each for each in further if each.recommended != first.recommended]
    return [
        f"The horizon decides: looking {years_span(each.horizon_months)} ahead instead of"
        f" {years_span(first.horizon_months)}, we would recommend {quoted(each.recommended)}."
        for each in changed[:1]
    ]
