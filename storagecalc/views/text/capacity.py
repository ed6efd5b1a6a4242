"""Space in words: the rungs from label to plan, when it fills, when to order, what caution."""

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
from storagecalc.views.text.table import TextTable, _names, _no_marks

RUNGS = {
    "nominal_tb": "what the labels on the drives say",
    "usable_tb": "less parity, mirrors and spares",
    "formatted_tb": "less formatting",
    "writable_tb": "less room for snapshots",
    "plannable_tb": "less the free space that keeps it fast: plan with this",
}


def ladder_table(evaluation: Evaluation) -> TextTable:
    """From the labels on the drives to the space to plan with, as bought: the loss on each rung."""
    rows = []
    names = list(RUNGS)
    for number, rung in enumerate(names):
        above = names[number - 1] if number else rung
        cells = []
        for ladder in (build.capacity.ladder for build in evaluation.builds):
            here, before = getattr(ladder, rung), getattr(ladder, above)
            lost = f", {tb(before - here)} less" if number else ""
            cells.append(f"{tb(here)}{lost}")
        rows.append((RUNGS[rung], *cells))
    return TextTable(
        title="From the labels to the space to plan with, as bought",
        head=("rung", *_names(evaluation)),
        rows=tuple(rows),
        marks=_no_marks(rows),
    )


def copies_table(evaluation: Evaluation) -> TextTable:
    """When each further copy no longer holds everything that is on the box."""
    rows = [
        (
            plain(key),
            *(
                fills(evaluation, build.capacity.copies_full_months[key])
                for build in evaluation.builds
            ),
        )
        for key in evaluation.scenario.copies
    ]
    return TextTable(
        title="Further copies: until when each holds everything",
        head=("copy", *_names(evaluation)),
        rows=tuple(rows),
        marks=_no_marks(rows),
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


def margin_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """How many TB of caution each kind of margin adds."""
    margins = build.capacity.safety_margins
    percentile = (
        f"{tb(margins.percentile_tb)} for futures with more footage than the middle of every range,"
        if evaluation.draws
        else "nothing for futures with more footage (none were drawn),"
    )
    trigger = (
        f"{tb(margins.trigger_tb)} still free when the next step is ordered"
        if build.capacity.grows
        else "nothing for the time an order takes, as it takes no further step"
    )
    return (
        f"Caution in the space of {quoted(build.name)} as bought: {tb(margins.free_space_tb)} kept free"
        f" so that it stays fast, {percentile} and {trigger}."
    )


def capacity_name(build: BuildResult) -> str:
    """The line of a build's plannable space."""
    return f"space to plan with: {chart_name(build.name)}"
