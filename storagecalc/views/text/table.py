"""Tables of finished strings: head, rows and marks, the same in notebook, report and terminal.

A mark is "good", "short" or "guess" for a cell, or nothing; the words in the cell say it too.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from storagecalc.study.dates import month_date
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.needs import asked, given, need_label
from storagecalc.views.text.numbers import (
    chance,
    money,
    month,
    of_ten,
    plain,
    significant,
    tb,
    tb_and_tib,
    years_span,
)

CAUSES = {
    "box": "boxes",
    "shelf": "shelves",
    "drives": "drives",
    "labour": "work",
    "power": "electricity",
    "replacements": "drives and boxes failed out of warranty",
    "elsewhere": "finished work held elsewhere",
    "given up": "footage deleted before its time",
    "copies": "the other copies",
    "remedy": "footage it cannot hold",
    "resale": "fetched at the end",
}
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
    """The builds side by side, one row a figure."""
    currency = evaluation.scenario.currency
    span = years_span(evaluation.scenario.horizon_months)
    rows: list[tuple[str, Callable[[BuildResult], str]]] = [
        ("cost on day one", lambda b: money(b.upfront_cost, currency)),
        (f"all costs over {span}, in today's money, mean", lambda b: _total(evaluation, b)),
        ("usable space as bought", lambda b: tb_and_tib(b.ladder.usable_tb, b.usable_tib)),
        ("space to plan with, as bought", lambda b: tb(b.ladder.plannable_tb)),
        ("the same with all bays full", lambda b: tb(b.full_ladder.plannable_tb)),
        (
            "cost of a usable TB, as bought and full",
            lambda b: _both(b.cost_per_usable_tb, b.full_cost_per_usable_tb, currency),
        ),
        (
            "cost of a TB to plan with, as bought and full",
            lambda b: _both(b.cost_per_plannable_tb, b.full_cost_per_plannable_tb, currency),
        ),
        (
            "cost of holding a TB for a year",
            lambda b: money(b.levelised_cost_per_tb_year, currency),
        ),
        ("could be full as bought", lambda b: fills(evaluation, b.first_fill_months)),
        ("could be full with every step", lambda b: fills(evaluation, b.headroom_months)),
        ("order again by", lambda b: _date(evaluation, b.first_order_months)),
        (f"drives alone lose the box in {span}", lambda b: chance(b.loss.box_loss_probability)),
        ("rebuild, wait included", lambda b: f"{significant(b.loss.rebuild_h, 2)} h"),
        ("editors' streams at once", lambda b: f"{significant(b.speed.streams)}, {_limit(b)}"),
        ("power, mean", lambda b: f"{significant(b.place.power_w, 2)} W"),
        ("noise at the nearest desk", lambda b: f"{significant(b.place.noise_dba, 2)} dBA"),
        ("drives that fail", lambda b: f"{significant(b.drive_replacements, 2)} expected"),
    ]
    return _by_build("The builds", evaluation, rows)


def needs_table(evaluation: Evaluation) -> TextTable:
    """What is asked, and whether each build gives it."""
    scenario = evaluation.scenario
    by_need = list(zip(*evaluation.needs, strict=True))
    rows = [
        (need_label(same[0]), asked(same[0], scenario), *(given(need, scenario) for need in same))
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
        for build in evaluation.builds:
            here, before = getattr(build.ladder, rung), getattr(build.ladder, above)
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
    count = len(evaluation.builds[0].cost_by_year)
    rows = [
        (
            f"{month(month_date(evaluation.scenario.start_date, 12 * year))} on",
            *(money(float(build.cost_by_year[year]), currency) for build in evaluation.builds),
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
    rows: list[tuple[str, Callable[[BuildResult], str]]] = [
        (words, lambda b, cause=cause: money(b.present_cost_by_cause[cause], currency))  # type: ignore[misc]
        for cause, words in CAUSES.items()
        if any(build.present_cost_by_cause[cause] for build in evaluation.builds)
    ]
    span = years_span(evaluation.scenario.horizon_months)
    return _by_build(f"All costs over {span} in today's money, by cause", evaluation, rows)


def quote_table(evaluation: Evaluation) -> TextTable:
    """What storage costs by shoot day of each kind of work, in today's money."""
    currency = evaluation.scenario.currency
    rows = [
        (
            plain(key),
            *(
                money(build.work_costs[key].cost_per_shoot_day, currency)
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
        (plain(key), *(_copy_fills(evaluation, build, key) for build in evaluation.builds))
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
        for row in build.purchases
    ]
    return TextTable(
        title=f"Orders of “{plain(build.name)}” if all goes as in the middle of every range",
        head=("month", "what", "cost"),
        rows=tuple(rows),
        marks=_no_marks(rows),
    )


def _by_build(
    title: str,
    evaluation: Evaluation,
    rows: Sequence[tuple[str, Callable[[BuildResult], str]]],
) -> TextTable:
    cells = [(label, *(words(build) for build in evaluation.builds)) for label, words in rows]
    return TextTable(
        title=title, head=("", *_names(evaluation)), rows=tuple(cells), marks=_no_marks(cells)
    )


def _names(evaluation: Evaluation) -> tuple[str, ...]:
    return tuple(plain(build.name) for build in evaluation.builds)


def _no_marks(rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    return tuple(("",) * len(row) for row in rows)


def _both(as_bought: float, full: float, currency: str) -> str:
    return f"{money(as_bought, currency)}, {significant(full)}"


def _total(evaluation: Evaluation, build: BuildResult) -> str:
    currency, cost = evaluation.scenario.currency, build.net_present_cost
    mean = money(build.net_present_cost_mean, currency)
    if not evaluation.draws:
        return mean
    return f"{mean} ({significant(cost.p10)} to {significant(cost.p90)})"


def fills(evaluation: Evaluation, months: object) -> str:
    """When something is full: early and as likely as not, or the one month without draws."""
    early, middle = getattr(months, "p10", math.inf), getattr(months, "p50", math.inf)
    if not evaluation.draws or math.isinf(early):
        return _date(evaluation, middle)
    return f"{_date(evaluation, early)} (1 in 10), {_date(evaluation, middle)} (1 in 2)"


def _date(evaluation: Evaluation, months: float) -> str:
    if not math.isfinite(months):
        return "later than looked at"
    if months < 0:
        return "before the start"
    return month(month_date(evaluation.scenario.start_date, months))


def _copy_fills(evaluation: Evaluation, build: BuildResult, key: str) -> str:
    months = sorted(float(full) for full in build.copies_full_months_by_draw[key])
    early, middle = (months[round(share * (len(months) - 1))] for share in (0.1, 0.5))
    if not evaluation.draws:
        return _date(evaluation, middle)
    return f"{_date(evaluation, early)} (1 in 10), {_date(evaluation, middle)} (1 in 2)"


def _limit(build: BuildResult) -> str:
    return f"then {build.speed.limited_by} gives out"


def _noun(what: str, count: int) -> str:
    one, many = NOUNS[what]
    return one if count == 1 else many
