"""The sentences at the top: what we recommend and why, and what would be otherwise."""

from storagecalc.study.decision.horizons import HorizonAdvice, advice_by_horizon
from storagecalc.study.decision.needs import Standing
from storagecalc.study.decision.verdict import (
    Outcome,
    Verdict,
    cheaper_fraction,
    is_clear_of,
    mean_cost,
    paired_gap,
    verdict,
)
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text.capacity import margin_sentence, order_sentence
from storagecalc.views.text.loss import loss_sentence
from storagecalc.views.text.money import cost_sentence, difference_sentences
from storagecalc.views.text.needs import need_label, short_by
from storagecalc.views.text.numbers import (
    listed,
    money,
    of_hundred,
    quoted,
    tb,
    years_span,
)

HEADLINES: dict[Outcome, str] = {
    "only alternative": "We recommend {chosen}: {alone}there is nothing to compare it with.",
    "none meets the needs": (
        "Nothing meets all needs {together}{sure}. {chosen} {comes}: it {meets}. It {misses}."
    ),
    "only one meets the needs": "We recommend {chosen}: it alone meets the needs{share}.",
    "clear": "We recommend {chosen}: it {gap}.",
    "level": (
        "We recommend {chosen}: {same} cost about the same over {span}, and {chosen} {best}."
    ),
}


def first_page(evaluation: Evaluation) -> dict[str, str]:
    """Everything the owner should read first, sentence by sentence in the order of reading."""
    chosen = verdict(evaluation).recommended.build
    return {
        "headline": headline(evaluation),
        "cost": cost_sentence(evaluation, chosen),
        "order": order_sentence(evaluation, chosen),
        "loss": loss_sentence(evaluation, chosen),
        "unknown": unknown_sentence(evaluation),
    }


def headline(evaluation: Evaluation) -> str:
    """What the comparison comes to, whatever its outcome."""
    found, scenario = verdict(evaluation), evaluation.scenario
    chosen = found.recommended
    words = HEADLINES[found.outcome].format(
        chosen=quoted(chosen.build.name),
        meets=_meets(evaluation, chosen),
        alone=f"it {_meets(evaluation, chosen)}; " if chosen.needs else "",
        share=_share(evaluation, chosen),
        comes=_comes(evaluation, found),
        together="at once " if evaluation.draws else "",
        sure=_sure(evaluation),
        misses=_misses(evaluation, chosen),
        gap=_gap(evaluation, found),
        same=listed(quoted(build.name) for build in (found.first, *found.level_with)),
        best=_best(evaluation, found),
        span=years_span(scenario.horizon_months),
    )
    if not evaluation.draws:
        words = f"{words} (All ranges at their middle: how sure this is was not computed.)"
    return " ".join([words, *_beside(evaluation, found)])


def unknown_sentence(evaluation: Evaluation) -> str:
    """What is not known and moves the answer."""
    held = verdict(evaluation).recommended.build.capacity.held_tb_by_month
    span = years_span(evaluation.scenario.horizon_months)
    prices = {
        "invented": "All prices are invented: put your own quotes in before deciding.",
        "a guess": "Prices are a guess: put quotes in before deciding.",
        "quoted": "Prices are as quoted today; how they move is a guess.",
    }[evaluation.scenario.prices_are]
    if not evaluation.draws:
        return f"How far the footage may stray from its middle was not computed. {prices}"
    return (
        f"After {span} it would hold between {tb(float(held.p10[-1]), 2)} and"
        f" {tb(float(held.p90[-1]), 2)} in 8 of 10 futures. {prices}"
    )


def _sure(evaluation: Evaluation) -> str:
    """What counts as enough futures."""
    if not evaluation.draws:
        return "at the middle of every range"
    return f"in {of_hundred(evaluation.scenario.needs.confidence_fraction)} futures"


def _meets(evaluation: Evaluation, standing: Standing) -> str:
    if not evaluation.draws:
        return f"{'meets' if standing.meets_needs else 'does not meet'} all needs"
    return f"meets all needs{_share(evaluation, standing)}"


def _share(evaluation: Evaluation, standing: Standing) -> str:
    """In how many futures it meets all needs, to stand after that it does."""
    if not evaluation.draws:
        return ""
    return f" at once in {of_hundred(standing.needs_met_fraction)} futures"


def _comes(evaluation: Evaluation, found: Verdict) -> str:
    """How near it comes; who is near is judged without the needs that no build meets."""
    near = "costs least of those that come near" if len(found.rivals) > 1 else "comes nearest"
    if not found.unmet_needs or len(evaluation.builds) == 1:
        return near
    return f"{near} once the needs that no build meets are left out"


def _misses(evaluation: Evaluation, standing: Standing) -> str:
    """The needs it misses; where it misses none by itself, the one that fewest futures meet."""
    if standing.missed or standing.costliest_need is None:
        return f"misses: {listed(short_by(need, evaluation) for need in standing.missed)}"
    worst = short_by(standing.costliest_need, evaluation)
    return f"meets each by itself but not all at once; the one that fewest futures meet: {worst}"


def _gap(evaluation: Evaluation, found: Verdict) -> str:
    """What the recommended costs less than the next, future by future."""
    if found.second is None or found.gap_cost is None:
        return ""
    currency, gap = evaluation.scenario.currency, found.gap_cost
    span = years_span(evaluation.scenario.horizon_months)
    mean = money(gap.mean, currency)
    told = f"costs {mean} less than {quoted(found.second.name)} over {span} in today's money"
    if evaluation.draws:
        ends = f"{money(gap.p10, currency, 2)} to {money(gap.p90, currency, 2)}"
        cheaper = of_hundred(found.cheaper_fraction)
        told = f"{told} on average ({ends} in 8 of 10 futures; less in {cheaper} futures)"
    return _meets_and(evaluation, found.recommended, told)


def _meets_and(evaluation: Evaluation, standing: Standing, told: str) -> str:
    """That it meets the needs, if there are any, and what else speaks for it."""
    return f"{_meets(evaluation, standing)} and {told}" if standing.needs else told


def _best(evaluation: Evaluation, found: Verdict) -> str:
    chosen = found.recommended
    if chosen.build is found.first:
        return _meets_and(evaluation, chosen, "costs least on average")
    others = [
        f"{quoted(each.build.name)} in {of_hundred(each.needs_met_fraction)}"
        for each in found.rivals
        if each.build in (found.first, *found.level_with) and each is not chosen
    ]
    return f"{_meets(evaluation, chosen)}, {listed(others)}"


def _beside(evaluation: Evaluation, found: Verdict) -> list[str]:
    """What else belongs to the recommendation: who is cheaper at times, and what needs cost."""
    currency, chosen = evaluation.scenario.currency, found.recommended.build
    told = [
        f"{quoted(each.name)} is cheaper in {of_hundred(cheaper_fraction(each, chosen))} futures,"
        f" but costs {money(paired_gap(chosen, each).mean, currency)} more on average."
        for each in found.cheaper_at_times
        if mean_cost(each) > mean_cost(chosen)
    ]
    for need in sorted(found.unmet_needs):
        label = f"No build meets the need “{need_label(need, evaluation)}” {_sure(evaluation)}"
        told.append(f"{label}{_nearest(found, need)}.")
    for other in found.others:
        if is_clear_of(other.build, chosen):
            told.append(
                f"{quoted(other.build.name)} costs"
                f" {money(paired_gap(other.build, chosen).mean, currency)} less on average but"
                f" {_misses(evaluation, other)}. That is what the needs cost."
            )
    return told


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
        *difference_sentences(evaluation),
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
