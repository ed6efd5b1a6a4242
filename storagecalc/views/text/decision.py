"""The sentences at the top: which build, what it costs, when to order again, what may be lost."""

from storagecalc.study.decision.horizons import HorizonOrder, orders_by_horizon
from storagecalc.study.decision.verdict import Outcome, Verdict, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.text.capacity import margin_sentence, order_sentence
from storagecalc.views.text.loss import loss_sentence
from storagecalc.views.text.money import cost_sentence, difference_sentences
from storagecalc.views.text.needs import short_by
from storagecalc.views.text.numbers import listed, money, of_ten, quoted, tb, years_span

HEADLINES: dict[Outcome, str] = {
    "only build": "{first} meets every need; there is no other build to set beside it.",
    "none meets the needs": (
        "No build meets every need. {first} costs least and misses: {missed}. Change a need or add"
        " a build."
    ),
    "only one meets the needs": (
        "Only {first} meets every need. It costs about {total} over {span} in today's money."
    ),
    "one build first": "Buy {first}: it meets every need and costs {gap}.",
    "growing first": "Start small and grow with {first}: it meets every need and costs {gap}.",
    "moving work off first": (
        "Move finished work off first: {first} meets every need and costs {gap}."
    ),
    "keeping less first": "Keep less before buying more: {first} meets every need and costs {gap}.",
    "no clear difference": (
        "No clear difference on cost: {first} and {second} both meet every need, and the first is"
        " cheaper in only {share} futures. Let the needs decide: headroom, noise, and how much work"
        " growing is."
    ),
}


def first_page(evaluation: Evaluation) -> dict[str, str]:
    """Everything the owner should read first, sentence by sentence in the order of reading."""
    first = verdict(evaluation).first
    return {
        "headline": headline(evaluation),
        "cost": cost_sentence(evaluation, first),
        "order": order_sentence(evaluation, first),
        "loss": loss_sentence(evaluation, first),
        "unknown": unknown_sentence(evaluation),
    }


def headline(evaluation: Evaluation) -> str:
    """The one sentence the comparison comes to, whatever its outcome."""
    found, scenario = verdict(evaluation), evaluation.scenario
    words = HEADLINES[found.outcome].format(
        first=quoted(found.first.name),
        second=quoted(found.second.name) if found.second else "",
        gap=_gap(evaluation, found),
        total=money(found.first.money.net_present_cost.mean, scenario.currency),
        span=years_span(scenario.horizon_months),
        share=of_ten(found.cheaper_fraction),
        missed=listed(short_by(need, scenario) for need in found.missed),
    )
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
