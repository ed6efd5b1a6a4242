"""Tables of finished strings: head, rows and marks, the same in notebook, report and terminal.

A mark is "good", "short" or "guess" for a cell, or nothing; the words in the cell say it too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from storagecalc.study.dates import month_date
from storagecalc.study.decision.needs import need_results
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.measures import MEASURES
from storagecalc.study.money.categories import CATEGORIES
from storagecalc.study.result import BuildResult
from storagecalc.views.text.measures import fills, measure_label, measure_words
from storagecalc.views.text.needs import asked, given
from storagecalc.views.text.numbers import (
    quoted,
    money,
    month,
    of_ten,
    plain,
    tb,
    years_span,
)

NOUNS = {
    "drives": ("drive", "drives"),
    "larger drives": ("larger drive", "larger drives"),
    "box": ("box", "boxes"),
    "shelf": ("shelf", "shelves"),
}
RUNGS = {
    "nominal_tb": "what the labels on the drives say",
    "usable_tb": "less parity, mirrors and spares",
    "formatted_tb": "less formatting",
    "writable_tb": "less room for snapshots",
    "plannable_tb": "less the free space that keeps it fast: plan with this",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TextTable:
    """A table of strings; ``marks`` has one string a cell, empty for none."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marks: tuple[tuple[str, ...], ...]

    def lines(self) -> str:
        """The table as plain lines of text, columns aligned."""
        rows = [self.head, *self.rows]
        widths = [max(len(row[column]) for row in rows) for column in range(len(self.head))]
        body = [
            "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
            for row in rows
        ]
        return "\n".join([self.title, *body])


def comparison_table(evaluation: Evaluation) -> TextTable:
    """The alternatives side by side, one row a measure."""
    rows = [
        (
            measure_label(measure, evaluation.scenario),
            *(measure_words(measure, evaluation, build) for build in evaluation.builds),
        )
        for measure in MEASURES
        if measure.shown
    ]
    return TextTable(
        title="The builds", head=("", *_names(evaluation)), rows=tuple(rows), marks=_no_marks(rows)
    )


def needs_table(evaluation: Evaluation) -> TextTable:
    """What is asked, and whether each build gives it."""
    scenario = evaluation.scenario
    by_need = list(
        zip(*(need_results(evaluation, build) for build in evaluation.builds), strict=True)
    )
    rows = [
        (
            measure_label(same[0].measure, scenario),
            asked(same[0], scenario),
            *(given(need, scenario) for need in same),
        )
        for same in by_need
    ]
    marks = [("", "", *("good" if need.met else "short" for need in same)) for same in by_need]
    sure = of_ten(scenario.needs.confidence_fraction)
    return TextTable(
        title=f"Needs, each judged so that it holds in {sure} futures",
        head=("need", "asked", *_names(evaluation)),
        rows=tuple(rows),
        marks=tuple(marks),
    )


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


def year_table(evaluation: Evaluation) -> TextTable:
    """What is paid in each year, at that year's prices."""
    currency = evaluation.scenario.currency
    count = len(evaluation.builds[0].money.cost_by_year)
    rows = [
        (
            f"{month(month_date(evaluation.scenario.start_date, 12 * year))} on",
            *(
                money(float(build.money.cost_by_year[year]), currency)
                for build in evaluation.builds
            ),
        )
        for year in range(count)
    ]
    return TextTable(
        title="What is paid in each year, at that year's prices",
        head=("twelve months from", *_names(evaluation)),
        rows=tuple(rows),
        marks=_no_marks(rows),
    )


def cause_table(evaluation: Evaluation) -> TextTable:
    """All costs in today's money by what causes them."""
    currency = evaluation.scenario.currency
    rows = [
        (
            words,
            *(
                money(build.money.present_cost_by_category[category], currency)
                for build in evaluation.builds
            ),
        )
        for category, words in CATEGORIES.items()
        if any(build.money.present_cost_by_category[category] for build in evaluation.builds)
    ]
    span = years_span(evaluation.scenario.horizon_months)
    return TextTable(
        title=f"All costs over {span} in today's money, by cause",
        head=("", *_names(evaluation)),
        rows=tuple(rows),
        marks=_no_marks(rows),
    )


def quote_table(evaluation: Evaluation) -> TextTable:
    """What storage costs by shoot day of each kind of work, in today's money."""
    currency = evaluation.scenario.currency
    rows = [
        (
            plain(key),
            *(
                money(build.money.work_costs[key].cost_per_shoot_day, currency)
                for build in evaluation.builds
            ),
        )
        for key in evaluation.scenario.work
    ]
    return TextTable(
        title="Storage cost of a shoot day, in today's money: what a quote should bear",
        head=("kind of work", *_names(evaluation)),
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


def order_table(evaluation: Evaluation, build: BuildResult) -> TextTable:
    """What one build buys and when, at the middle of every range."""
    currency, start = evaluation.scenario.currency, evaluation.scenario.start_date
    rows = [
        (
            month(month_date(start, row.month)),
            f"{row.count} {_noun(row.what, row.count)}",
            money(row.cost, currency),
        )
        for row in build.money.purchases
    ]
    return TextTable(
        title=f"Orders of {quoted(build.name)} if all goes as in the middle of every range",
        head=("month", "what", "cost"),
        rows=tuple(rows),
        marks=_no_marks(rows),
    )


def _names(evaluation: Evaluation) -> tuple[str, ...]:
    return tuple(plain(build.name) for build in evaluation.builds)


def _no_marks(rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    return tuple(("",) * len(row) for row in rows)


def _noun(what: str, count: int) -> str:
    one, many = NOUNS[what]
    return one if count == 1 else many
