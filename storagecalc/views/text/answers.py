"""The owner's four questions: what to pay now and over the years, when to order again, what risk.

Each has its answer in a few words and a note beneath it, the same on every face.
"""

import math
from dataclasses import dataclass

from storagecalc.study.dates import month_date
from storagecalc.study.decision.order_list import first_things, next_order
from storagecalc.study.decision.planned_orders import next_planned
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.capacity import next_thing
from storagecalc.views.text.loss import DESTROYED, copies_by_place, loss_denominator
from storagecalc.views.text.measures import date_words, end_month
from storagecalc.views.text.money import kept_words, order_words
from storagecalc.views.text.numbers import (
    chance,
    listed,
    money,
    month,
    of_hundred,
    percent,
    quoted,
    significant,
    tb,
    years_span,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A question's label, its answer in a few words, and what belongs to it."""

    label: str
    value: str
    note: str

    @property
    def whole(self) -> str:
        """Answer and note as sentences."""
        return f"{self.value}. {self.note}".strip()


def four_answers(evaluation: Evaluation) -> dict[str, Answer]:
    """What the owner asks of the recommended alternative."""
    chosen = verdict(evaluation).recommended.build
    return {
        "pay now": _pay_now(evaluation, chosen),
        "over": _over_the_years(evaluation, chosen),
        "next order": _next_order(evaluation, chosen),
        "main risk": _main_risk(evaluation, chosen),
    }


def _pay_now(evaluation: Evaluation, build: BuildResult) -> Answer:
    cost, currency = build.money.upfront_cost, evaluation.scenario.currency
    things = listed(_thing(*each) for each in first_things(build))
    order, doubt = next_order(build), ""
    if things and order is not None and order.month == 0:
        things = f"{things}; with what falls due at once"
    beside = "".join(f" {words}." for words in kept_words(evaluation, build))
    bought = f"{_capital(things)}." if things else "Nothing is bought now."
    if things and cost.p10 != cost.p90:
        doubt = f" {_ends(cost.p10, cost.p90)} in 8 of 10 futures."
    return Answer(
        label="To pay now",
        value=money(cost.mean, currency),
        note=f"{bought}{doubt}{beside}",
    )


def _over_the_years(evaluation: Evaluation, build: BuildResult) -> Answer:
    cost, scenario = build.money.net_present_cost, evaluation.scenario
    note = f"{_ends(cost.p10, cost.p90)} in 8 of 10 futures; in 1 of 10 less, in 1 of 10 more."
    if not evaluation.draws:
        note = "At the middle of every range."
    elif cost.p10 == cost.p90:
        note = "The same in all futures."
    return Answer(
        label=f"Over {years_span(scenario.horizon_months)}",
        value=money(cost.mean, scenario.currency),
        note=note,
    )


def _next_order(evaluation: Evaluation, build: BuildResult) -> Answer:
    scenario, space = evaluation.scenario, build.capacity
    due_months, thing = space.first_order_months, next_thing(evaluation, build)
    if due_months <= 0:
        note = f"{_capital(thing)} on top: it may be full before a later order comes."
        return Answer(label="Next order", value="Now, with the first", note=note)
    if not math.isfinite(due_months):
        share = of_hundred(space.fills_fraction)
        note = f"As bought it is full before then in {share} futures."
        value = f"Not before {end_month(scenario)}"
        return Answer(label="Next order", value=value, note=note if evaluation.draws else "")
    order, planned = next_order(build), next_planned(evaluation, build)
    following = order if planned is None else planned
    # What is planned is the same in all futures, and stands with three digits in its table too.
    digits = 2 if planned is None else 3
    cost = f", {money(following.cost, scenario.currency, digits)} then" if following else ""
    point = percent(scenario.builds[build.alternative.build_key].order_at_fraction)
    sooner = f"earlier if it is {point} full"
    if planned is not None:
        sooner = "if more comes than planned for, plan anew"
    return Answer(
        label="Next order",
        value=f"By {month(month_date(scenario.start_date, due_months))}",
        note=f"{_capital(thing)}{cost}; {sooner}.",
    )


def _main_risk(evaluation: Evaluation, build: BuildResult) -> Answer:
    scenario, loss = evaluation.scenario, build.loss
    here, away = copies_by_place(scenario)
    told = chance(loss.box_loss_probability, loss_denominator(evaluation))
    drives = f"{_capital(DESTROYED)}: {told} within {years_span(scenario.horizon_months)}."
    if away:
        value = "Fire, theft, deletion"
        note = _against(evaluation, build, away)
    elif here:
        value = "No copy elsewhere"
        note = f"Fire, water or theft can take box and {listed(here)} together."
    else:
        value = "No second copy"
        note = f"Fire, theft or deletion can take everything, up to {tb(loss.lost_at_once_tb)}."
    return Answer(label="Main risk", value=value, note=f"{note} {drives}")


def _against(evaluation: Evaluation, build: BuildResult, away: list[str]) -> str:
    """Which copies elsewhere answer for what takes a box, and whether they may be full."""
    stands, whole = ("stand", "they are") if len(away) > 1 else ("stands", "it is")
    words = f"Against that {stands} {listed(away)} elsewhere"
    # From then on one of ten futures has more on the box than the copy holds.
    full_months = [
        float(months.p10)
        for key, months in build.capacity.copies_full_months.items()
        if evaluation.scenario.copies[key].another_building
    ]
    latest = max(full_months, default=math.inf)
    if math.isinf(latest):
        return f"{words}, as long as {whole} whole."
    they = "they" if len(away) > 1 else "it"
    return f"{words}, but from {date_words(evaluation, latest)} on {they} may not hold everything."


def _ends(low: float, high: float) -> str:
    return f"{significant(low, 2)} to {significant(high, 2)}"


def _thing(what: str, count: int) -> str:
    """What is ordered; a copy or other cost by the name that the file gives it."""
    name = what.partition(": ")[2]
    return quoted(name.replace("_", " ")) if name else order_words(what, count)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
