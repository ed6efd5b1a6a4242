"""The sentences at the top: which build, what it costs, when to order again, what may be lost."""

import math
from dataclasses import dataclass

from storagecalc.study.dates import month_date
from storagecalc.study.decision.verdict import Verdict, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text import needs as needs_words
from storagecalc.views.text.numbers import (
    quoted,
    RARE_PROBABILITY,
    RARE_WORDS,
    chance,
    chance_aside,
    length,
    listed,
    money,
    month,
    of_ten,
    plain,
    tb,
    years_span,
)

COPIES = (
    "A box is one copy whatever its drives: deletion, malware, theft, fire, water and a failing"
    " box take all of it at once. Two more copies, one in another building, answer for those."
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


def cost_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """What a build costs on day one, over all years and by year."""
    currency, span = evaluation.scenario.currency, years_span(evaluation.scenario.horizon_months)
    total, mean = build.money.net_present_cost, money(build.money.net_present_cost.mean, currency)
    later = [money(cost, currency) for cost in build.money.cost_by_year[1:]]
    band = (
        f" (between {money(total.p10, currency)} and {money(total.p90, currency)} in eight of ten"
        " futures)"
        if evaluation.draws
        else ""
    )
    return (
        f"{quoted(build.name)} costs {money(build.money.upfront_cost, currency)} on day one. All costs"
        f" over {span} in today's money come to about {mean}{band}. The first year"
        f" takes {money(build.money.cost_by_year[0], currency)}, the following years"
        f" {listed(later)}. Prices are {evaluation.scenario.tax}."
    )


def order_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """When the next order must go out, with its odds."""
    start = evaluation.scenario.start_date
    thing = "next drives" if build.capacity.grows else "successor"
    if math.isfinite(build.capacity.first_order_months):
        day = month(month_date(start, build.capacity.first_order_months))
        when = (
            f"Order the {thing} by {day} at the latest"
            if build.capacity.first_order_months > 0
            else f"Order the {thing} at once"
        )
        sure = evaluation.scenario.needs.confidence_fraction
        odds = f" to be in time in {of_ten(sure)} futures" if evaluation.draws else ""
        return f"{when}{odds}. {full_words(evaluation, build)}"
    share = of_ten(build.capacity.fills_fraction)
    if not evaluation.draws:
        return full_words(evaluation, build)
    span = years_span(evaluation.scenario.horizon_months)
    return f"No order falls due within {span}: as bought it fills in {share} futures."


def full_words(evaluation: Evaluation, build: BuildResult) -> str:
    """When the build could be full as bought, and with every step taken."""
    start = evaluation.scenario.start_date
    first, last = build.capacity.first_fill_months, build.capacity.headroom_months
    early = first.p10 if evaluation.draws else first.point
    odds = " (1 in 10)" if evaluation.draws else ""
    words = (
        f"As bought it could be full as early as {month(month_date(start, early))}{odds}"
        if math.isfinite(early)
        else "As bought it does not fill within the months looked at"
    )
    if not build.capacity.grows:
        return f"{words}."
    if not math.isfinite(last.p50):
        return f"{words}; with every step it can take, it lasts beyond the months looked at."
    return f"{words}; with every step it can take, it lasts {length(last.p50)}, as likely as not."


def loss_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """How likely loss through drives is, and what answers for everything else."""
    loss = build.loss
    span = years_span(evaluation.scenario.horizon_months)
    if loss.box_loss_probability < RARE_PROBABILITY:
        drives = f"Losing the whole box through drives alone within {span} is {RARE_WORDS}."
    else:
        held = float(evaluation.held_tb_by_month.point[-1])
        drives = (
            f"The chance that drives alone take the whole box within {span} is"
            f" {chance(loss.box_loss_probability)}: all {tb(held)} at once, not a part of it. That"
            " is the average over what is not known of the drives; at a middling rate of failures"
            f" it is {chance_aside(loss.box_loss_probability_at_middle_rate)}, at a rate met one"
            f" time in ten {chance_aside(loss.box_loss_probability_high)}. Drives failing together"
            " make it worse."
        )
    return f"{drives} {COPIES}"


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
    return f"Buy {quoted(found.first.name)}: it meets every need and costs {_gap(evaluation, found)}."


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
