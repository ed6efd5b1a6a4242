"""The sentences at the top: which build, what it costs, when to order again, what may be lost."""

from dataclasses import dataclass

from storagecalc.study.decision.horizons import HorizonOrder, orders_by_horizon
from storagecalc.study.decision.verdict import Verdict, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text import needs as needs_words
from storagecalc.views.text.capacity import margin_sentence, order_sentence
from storagecalc.views.text.loss import loss_sentence
from storagecalc.views.text.money import cost_sentence, difference_sentences
from storagecalc.views.text.numbers import (
    listed,
    money,
    of_ten,
    quoted,
    tb,
    years_span,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPage:
    """The first screen, sentence by sentence."""

    headline: str
    cost: str
    order: str
    loss: str
    unknown: str


def first_page(evaluation: Evaluation) -> FirstPage:
    """Everything the owner should read first."""
    found = verdict(evaluation)
    return FirstPage(
        headline=headline(evaluation),
        cost=cost_sentence(evaluation, found.first),
        order=order_sentence(evaluation, found.first),
        loss=loss_sentence(evaluation, found.first),
        unknown=unknown_sentence(evaluation),
    )


def headline(evaluation: Evaluation) -> str:
    """The one sentence the comparison comes to, whatever its outcome."""
    found = verdict(evaluation)
    words = {
        "only build": _only_build,
        "none meets the needs": _none_meets,
        "only one meets the needs": _only_one,
        "one build first": _one_first,
        "growing first": _growing_first,
        "moving work off first": _moving_first,
        "keeping less first": _less_first,
        "no clear difference": _no_difference,
    }[found.outcome](evaluation, found)
    if evaluation.draws:
        return words
    return f"{words} (All ranges at their middle: how sure this is was not computed.)"


def unknown_sentence(evaluation: Evaluation) -> str:
    """What is not known and moves the answer."""
    spread = evaluation.held_tb_by_month
    span = years_span(evaluation.scenario.horizon_months)
    prices = {
        "invented": "All prices are invented: put your own quotes in before deciding.",
        "a guess": "Prices are a guess: put quotes in before deciding.",
        "quoted": "Prices are as quoted today; how they move is a guess.",
    }[evaluation.scenario.prices_are]
    if not evaluation.draws:
        return f"How far the footage may stray from its middle was not computed. {prices}"
    return (
        f"After {span} we may hold anything between {tb(float(spread.p10[-1]))} and"
        f" {tb(float(spread.p90[-1]))} (eight of ten futures). {prices}"
    )


def _gap(evaluation: Evaluation, found: Verdict) -> str:
    if found.second is None or found.gap_cost is None:
        return ""
    gap = money(found.gap_cost.p50, evaluation.scenario.currency)
    span = years_span(evaluation.scenario.horizon_months)
    told = f"about {gap} less than {quoted(found.second.name)} over {span} in today's money"
    if not evaluation.draws:
        return told
    return f"{told} (cheaper in {of_ten(found.cheaper_fraction)} futures)"


def _only_build(_evaluation: Evaluation, found: Verdict) -> str:
    return f"{quoted(found.first.name)} meets every need; there is no other build to set beside it."


def _only_one(evaluation: Evaluation, found: Verdict) -> str:
    total = money(found.first.money.net_present_cost.mean, evaluation.scenario.currency)
    span = years_span(evaluation.scenario.horizon_months)
    return (
        f"Only {quoted(found.first.name)} meets every need. It costs about {total} over {span} in"
        " today's money."
    )


def _one_first(evaluation: Evaluation, found: Verdict) -> str:
    return (
        f"Buy {quoted(found.first.name)}: it meets every need and costs {_gap(evaluation, found)}."
    )


def _growing_first(evaluation: Evaluation, found: Verdict) -> str:
    return (
        f"Start small and grow with {quoted(found.first.name)}: it meets every need and costs"
        f" {_gap(evaluation, found)}."
    )


def _moving_first(evaluation: Evaluation, found: Verdict) -> str:
    return (
        f"Move finished work off first: {quoted(found.first.name)} meets every need and costs"
        f" {_gap(evaluation, found)}."
    )


def _less_first(evaluation: Evaluation, found: Verdict) -> str:
    return (
        f"Keep less before buying more: {quoted(found.first.name)} meets every need and costs"
        f" {_gap(evaluation, found)}."
    )


def _no_difference(_evaluation: Evaluation, found: Verdict) -> str:
    second = quoted(found.second.name) if found.second is not None else ""
    return (
        f"No clear difference on cost: {quoted(found.first.name)} and {second} both meet every need, and"
        f" the first is cheaper in only {of_ten(found.cheaper_fraction)} futures. Let the needs"
        " decide: headroom, noise, and how much work growing is."
    )


def _none_meets(evaluation: Evaluation, found: Verdict) -> str:
    missed = listed(needs_words.short_by(need, evaluation.scenario) for need in found.missed)
    return (
        f"No build meets every need. {quoted(found.first.name)} costs least and misses: {missed}."
        " Change a need or add a build."
    )


def reason_sentences(evaluation: Evaluation) -> list[str]:
    """Differences by cause, caution in the space, and whether looking further changes the order."""
    return [
        *difference_sentences(evaluation),
        *(margin_sentence(evaluation, build) for build in evaluation.builds[:1]),
        horizon_sentence(orders_by_horizon(evaluation)),
    ]


def horizon_sentence(orders: tuple[HorizonOrder, ...]) -> str:
    """Whether looking a year or two further changes which build comes first."""
    first, *further = orders
    changed = [order for order in further if order.names != first.names]
    if not further:
        return "Looking further ahead than this was not possible."
    if not changed:
        spans = listed(years_span(order.horizon_months) for order in further)
        return f"The order of the builds stays the same when looking {spans} ahead."
    other = changed[0]
    names = ", then ".join(quoted(name) for name in other.names)
    return (
        f"The horizon decides: looking {years_span(other.horizon_months)} ahead instead of"
        f" {years_span(first.horizon_months)}, the order is {names}."
    )
