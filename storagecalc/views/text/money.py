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
from storagecalc.views.text.table import TextTable, build_table, record_table

NOUNS = {
    "drives": ("drive", "drives"),
    "larger drives": ("larger drive", "larger drives"),
    "box": ("box", "boxes"),
    "shelf": ("shelf", "shelves"),
}
# Parts of a difference smaller than this share of it are not worth a word.
WORTH_A_WORD = 0.05
COST_BAND_NAME = "eight of ten futures"
COST_HOVER = "%{meta} %{y:,.3~r}<extra>%{fullData.name}</extra>"


def year_table(evaluation: Evaluation) -> TextTable:
    """What is paid in each year, at that year's prices."""
    currency, start = evaluation.scenario.currency, evaluation.scenario.start_date
    years = range(len(evaluation.builds[0].money.cost_by_year))
    return build_table(
        evaluation,
        "What is paid in each year, at that year's prices",
        [(f"{month(month_date(start, 12 * year))} on", year) for year in years],
        lambda build, year: money(float(build.money.cost_by_year[year]), currency),
        first="twelve months from",
    )


def cause_table(evaluation: Evaluation) -> TextTable:
    """All costs in today's money by what causes them."""
    currency = evaluation.scenario.currency
    span = years_span(evaluation.scenario.horizon_months)
    costs = [build.money.present_cost_by_category for build in evaluation.builds]
    return build_table(
        evaluation,
        f"All costs over {span} in today's money, by cause",
        [(words, key) for key, words in CATEGORIES.items() if any(cost[key] for cost in costs)],
        lambda build, key: money(build.money.present_cost_by_category[key], currency),
    )


def quote_table(evaluation: Evaluation) -> TextTable:
    """What storage costs by shoot day of each kind of work, in today's money."""
    currency = evaluation.scenario.currency
    return build_table(
        evaluation,
        "Storage cost of a shoot day, in today's money: what a quote should bear",
        [(plain(key), key) for key in evaluation.scenario.work],
        lambda build, key: money(build.money.work_costs[key].cost_per_shoot_day, currency),
        first="kind of work",
    )


def order_table(evaluation: Evaluation, build: BuildResult) -> TextTable:
    """What one build buys and when, at the middle of every range."""
    currency, start = evaluation.scenario.currency, evaluation.scenario.start_date
    title = f"Orders of {quoted(build.name)} if all goes as in the middle of every range"
    return record_table(
        title,
        build.money.purchases,
        {
            "month": lambda row: month(month_date(start, row.month)),
            "what": lambda row: f"{row.count} {NOUNS[row.what][row.count != 1]}",
            "cost": lambda row: money(row.cost, currency),
        },
    )


def cost_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """What a build costs on day one, over all years and by year."""
    currency, span = evaluation.scenario.currency, years_span(evaluation.scenario.horizon_months)
    total = build.money.net_present_cost
    first, *later = (money(cost, currency) for cost in build.money.cost_by_year)
    ends = f"between {money(total.p10, currency)} and {money(total.p90, currency)}"
    band = f" ({ends} in eight of ten futures)" if evaluation.draws else ""
    return (
        f"{quoted(build.name)} costs {money(build.money.upfront_cost, currency)} on day one. All"
        f" costs over {span} in today's money come to about {money(total.mean, currency)}{band}."
        f" The first year takes {first}, the following years {listed(later)}. Prices are"
        f" {evaluation.scenario.tax}."
    )


def difference_sentences(evaluation: Evaluation) -> list[str]:
    """Each other build against the first, its difference told by cause."""
    first, *others = ranked(evaluation)
    return [_difference(evaluation, first, other) for other in others]


def _difference(evaluation: Evaluation, first: BuildResult, other: BuildResult) -> str:
    gap = other.money.net_present_cost.point - first.money.net_present_cost.point
    dearer, cheaper = (other, first) if gap >= 0 else (first, other)
    told = [
        f"{significant(abs(amount))} {'more' if amount > 0 else 'less'} for"
        f" {_cause(evaluation, cause, dearer, cheaper)}"
        for cause, amount in difference_by_category(dearer, cheaper).items()
        if abs(amount) > max(WORTH_A_WORD * abs(gap), 1)
    ]
    return (
        f"{quoted(dearer.name)} costs {money(abs(gap), evaluation.scenario.currency)} more than"
        f" {quoted(cheaper.name)} over {years_span(evaluation.scenario.horizon_months)} in today's"
        f" money, at the middle of every range: {listed(told) or 'no part stands out'}."
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
    last = min(evaluation.builds, key=lambda build: build.money.total_cost_by_month.point[-1])
    first = min(evaluation.builds, key=lambda build: build.money.upfront_cost)
    if first is last:
        return f"{quoted(first.name)} is cheapest on day one and at the end"
    return f"{quoted(first.name)} is cheapest on day one, {quoted(last.name)} at the end"


def cost_axis(evaluation: Evaluation) -> str:
    """Money paid since the start, and in what money."""
    return f"{chart_name(evaluation.scenario.currency)} paid so far"


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
