"""Space in words: the rungs from label to plan, when it fills, when to order, what caution."""

import itertools
import math

from storagecalc.study.axes import Spread
from storagecalc.study.decision.order_list import next_order
from storagecalc.study.decision.planned_orders import next_planned
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.measures import date_words, end_month, ends_words, fills
from storagecalc.views.text.money import order_words
from storagecalc.views.text.numbers import (
    count,
    listed,
    plain,
    quoted,
    tb,
)
from storagecalc.views.text.table import TextTable, build_table

RUNGS = {
    "nominal_tb": "what the labels on the drives say",
    "usable_tb": "less parity, mirrors and spares",
    "formatted_tb": "less formatting",
    "writable_tb": "less room for snapshots",
    "plannable_tb": "less the free space that keeps it fast: plan with this",
}


def ladder_table(evaluation: Evaluation) -> TextTable:
    """From the labels on the drives to the space to plan with, as bought: the loss on each rung."""
    pairs = itertools.pairwise(["", *RUNGS])
    return build_table(
        evaluation,
        "From the labels to the space to plan with, as bought",
        [(RUNGS[rung], (above, rung)) for above, rung in pairs],
        _rung_words,
    )


def _rung_words(build: BuildResult, rungs: tuple[str, str]) -> str:
    """The space on a rung, and what it has less than the one above if there is one."""
    above, rung = rungs
    ladder = build.capacity.ladder
    here_tb = getattr(ladder, rung)
    lost = f", {tb(getattr(ladder, above) - here_tb)} less" if above else ""
    return f"{tb(here_tb)}{lost}"


def copies_table(evaluation: Evaluation) -> TextTable:
    """When each further copy no longer holds everything that is on the box."""
    return build_table(
        evaluation,
        "Further copies: until when each holds everything",
        [(plain(key), key) for key in evaluation.scenario.copies],
        lambda build, key: fills(evaluation, build.capacity.copies_full_months[key]),
        first="copy",
    )


def next_thing(evaluation: Evaluation, build: BuildResult) -> str:
    """What the next order is for: two more drives, the shelf, a further box."""
    planned = next_planned(evaluation, build)
    if planned is not None:
        return listed(order_words(each.what, each.count, each.size_tb) for each in planned.things)
    order = next_order(build)
    if order is not None and order.what == "drives":
        return f"{count(order.count)} more {'drive' if order.count == 1 else 'drives'}"
    if order is not None and order.what == "shelf":
        return "the shelf"
    if not build.capacity.grows or (order is not None and order.what == "further box"):
        return "a further box" if evaluation.scenario.remedy.kind == "next box" else "more space"
    written = evaluation.scenario.builds[build.alternative.build_key]
    return "the larger drives" if written.grows_by == "swapping" else "the next drives"


def lasting_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """How long an alternative lasts, its name first."""
    words = lasting_words(evaluation, build)
    return f"{quoted(build.name)}: {words[:1].lower()}{words[1:]}"


def lasting_words(evaluation: Evaluation, build: BuildResult) -> str:
    """How long it lasts as bought, and before a new box is needed."""
    first, last = build.capacity.first_fill_months, build.capacity.headroom_months
    words = f"As bought it {_full_words(evaluation, first)}"
    if first.p50 <= 0:
        words = "As bought it is full from the start"
    if not build.capacity.grows:
        return f"{words}."
    return f"{words}; with all its own steps it {_full_words(evaluation, last)}."


def _full_words(evaluation: Evaluation, months: Spread) -> str:
    """When it is full, as often earlier as later, and between when in 8 of 10 futures."""
    drawn = evaluation.draws and math.isfinite(months.p10)
    words = f"is not full before {end_month(evaluation.scenario)}"
    if math.isfinite(months.p50):
        middle = date_words(evaluation, months.p50)
        words = f"is full {'in ' if months.p50 >= 0 else ''}{middle}"
    elif drawn:
        words += " in at least 50 of 100 futures"
    if not drawn:
        return words
    return f"{words} ({ends_words(evaluation, months)} in 8 of 10 futures)"


def margin_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """How many TB of caution each kind of margin adds."""
    margins = build.capacity.safety_margins
    percentile = "nothing for futures with more footage (none were drawn),"
    if evaluation.draws:
        percentile = (
            f"{tb(margins.percentile_tb)} for futures with more footage than the middle of every"
            " range,"
        )
    trigger = "nothing for the time an order takes, as it takes no further step"
    if build.capacity.grows:
        trigger = f"{tb(margins.trigger_tb)} still free when the next step is ordered"
    return (
        f"Caution in the space of {quoted(build.name)} as bought: {tb(margins.free_space_tb)} kept"
        f" free so that it stays fast, {percentile} and {trigger}."
    )
