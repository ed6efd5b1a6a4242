"""Space in words: the rungs from label to plan, when it fills, when to order, what caution."""

import itertools
import math

from storagecalc.study.dates import month_date
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.measures import fills
from storagecalc.views.text.numbers import (
    chart_name,
    length,
    month,
    of_ten,
    plain,
    quoted,
    tb,
    years_span,
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
        first="rung",
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


def order_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """When the next order must go out, with its odds."""
    thing = "next drives" if build.capacity.grows else "successor"
    due_months = build.capacity.first_order_months
    if math.isfinite(due_months):
        day = month(month_date(evaluation.scenario.start_date, due_months))
        when = f"by {day} at the latest" if due_months > 0 else "at once"
        sure = of_ten(evaluation.scenario.needs.confidence_fraction)
        odds = f" to be in time in {sure} futures" if evaluation.draws else ""
        return f"Order the {thing} {when}{odds}. {full_words(evaluation, build)}"
    if not evaluation.draws:
        return full_words(evaluation, build)
    span = years_span(evaluation.scenario.horizon_months)
    share = of_ten(build.capacity.fills_fraction)
    return f"No order falls due within {span}: as bought it fills in {share} futures."


def full_words(evaluation: Evaluation, build: BuildResult) -> str:
    """When the build could be full as bought, and with every step taken."""
    first, last = build.capacity.first_fill_months, build.capacity.headroom_months
    early = first.p10 if evaluation.draws else first.point
    words = "As bought it does not fill within the horizon"
    if math.isfinite(early):
        day = month(month_date(evaluation.scenario.start_date, early))
        odds = " (1 in 10)" if evaluation.draws else ""
        words = f"As bought it could be full as early as {day}{odds}"
    if not build.capacity.grows:
        return f"{words}."
    if not math.isfinite(last.p50):
        return f"{words}; with every step it can take, it lasts beyond the horizon."
    return f"{words}; with every step it can take, it lasts {length(last.p50)}, as likely as not."


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


def capacity_name(build: BuildResult) -> str:
    """The line of a build's plannable space."""
    return f"space to plan with: {chart_name(build.name)}"
