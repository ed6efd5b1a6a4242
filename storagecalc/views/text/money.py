"""Money in words: what a build costs and when, by cause, by shoot day, and why builds differ."""

from collections import Counter

from storagecalc.study.dates import month_date
from storagecalc.study.decision.verdict import difference_by_category, ranked, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.categories import CATEGORIES
from storagecalc.study.result import BuildResult
from storagecalc.views.text.numbers import (
    chart_name,
    listed,
    money,
    month,
    plain,
    quoted,
    significant,
    years_span,
)
from storagecalc.views.text.table import TextTable, _names, _no_marks

NOUNS = {
    "drives": ("drive", "drives"),
    "larger drives": ("larger drive", "larger drives"),
    "box": ("box", "boxes"),
    "shelf": ("shelf", "shelves"),
}
# Parts of a difference smaller than this share of it are not worth a word.
WORTH_A_WORD = 0.05
COST_HOVER = "%{meta} %{y:,.3~r}<extra>%{fullData.name}</extra>"


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


def _noun(what: str, count: int) -> str:
    one, many = NOUNS[what]
    return one if count == 1 else many


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


def difference_sentences(evaluation: Evaluation) -> list[str]:
    """Each other build against the first, its difference told by cause."""
    first, *others = ranked(evaluation)
    return [_difference(evaluation, first, other) for other in others]


def _difference(evaluation: Evaluation, first: BuildResult, other: BuildResult) -> str:
    currency = evaluation.scenario.currency
    gap = other.money.net_present_cost.point - first.money.net_present_cost.point
    dearer, cheaper = (other, first) if gap >= 0 else (first, other)
    parts = difference_by_category(dearer, cheaper)
    told = [
        f"{significant(abs(amount))} {'more' if amount > 0 else 'less'} for"
        f" {_cause(evaluation, cause, dearer, cheaper)}"
        for cause, amount in parts.items()
        if abs(amount) > max(WORTH_A_WORD * abs(gap), 1)
    ]
    span = years_span(evaluation.scenario.horizon_months)
    return (
        f"{quoted(dearer.name)} costs {money(abs(gap), currency)} more than {quoted(cheaper.name)} over"
        f" {span} in today's money, at the middle of every range:"
        f" {listed(told) or 'no part stands out'}."
    )


def _cause(evaluation: Evaluation, cause: str, dearer: BuildResult, cheaper: BuildResult) -> str:
    if cause == "drives" and _drives(evaluation, dearer) == _drives(evaluation, cheaper):
        return "the same drives, bought at another time"
    return CATEGORIES[cause]


def _drives(evaluation: Evaluation, result: BuildResult) -> Counter[str | None]:
    """How many drives of each class are bought over the years."""
    bought = Counter[str | None]()
    build = evaluation.scenario.builds[result.alternative.build_key]
    classes = {"drives": build.drives, "larger drives": build.swap_to}
    for row in result.money.purchases:
        if row.what in classes:
            bought[classes[row.what]] += row.count
    return bought


def cost_title(evaluation: Evaluation) -> str:
    """Which build has cost least by the end, and least on day one."""
    if len(evaluation.builds) == 1:
        return "What the build has cost so far"
    last = min(
        evaluation.builds, key=lambda build: float(build.money.total_cost_by_month.point[-1])
    )
    first = min(evaluation.builds, key=lambda build: build.money.upfront_cost)
    names = [quoted(build.name) for build in (first, last)]
    if first is last:
        return f"{names[0]} is cheapest on day one and at the end"
    return f"{names[0]} is cheapest on day one, {names[1]} at the end"


def cost_axis(evaluation: Evaluation) -> str:
    """Money paid since the start, and in what money."""
    return f"{chart_name(evaluation.scenario.currency)} paid so far"


def cost_band_name() -> str:
    """What a pale band holds."""
    return "eight of ten futures"


def cost_summary(evaluation: Evaluation) -> str:
    """The chart in words."""
    currency = evaluation.scenario.currency
    totals = [
        f"{quoted(build.name)} {money(float(build.money.total_cost_by_month.point[-1]), currency)}"
        for build in evaluation.builds
    ]
    best = verdict(evaluation).first
    return (
        f"By the end each build has cost, at the prices of the day: {listed(totals)}. In today's"
        f" money {quoted(best.name)} comes first among those that meet the needs, or first of all"
        " where none does."
    )
