"""Money in words: what a build costs and when, by cause, by shoot day, and why builds differ."""

from storagecalc.study.dates import month_date
from storagecalc.study.decision.order_list import order_list, unlisted_cost
from storagecalc.study.decision.verdict import difference_by_category, paired_gap, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.categories import CATEGORIES, NOT_PAID
from storagecalc.study.result import BuildResult
from storagecalc.views.text.numbers import (
    listed,
    money,
    month,
    of_hundred,
    plain,
    quoted,
    rounded_parts,
    significant,
    tb,
    years_span,
)
from storagecalc.views.text.table import TextTable, build_table, record_table, text_table

NOUNS = {
    "drives": ("drive", "drives"),
    "larger drives": ("larger drive", "larger drives"),
    "box": ("box", "boxes"),
    "shelf": ("shelf", "shelves"),
    "further box": ("further box with its drives", "further boxes with their drives"),
}
# Parts of a difference smaller than this share of it, or of its largest part, are not worth a word.
WORTH_A_WORD = 0.05
# More digits than any rounded part has.
EXACT = 15
TOGETHER = "all together"
LATER_ORDERS = "successors of what is worn out, and what fewer than 10 of 100 futures need"


def year_table(evaluation: Evaluation) -> TextTable:
    """What is paid in each year, in money of that year."""
    currency, start = evaluation.scenario.currency, evaluation.scenario.start_date
    years = range(len(evaluation.builds[0].money.cost_by_year.mean))
    return build_table(
        evaluation,
        "The budget: what is paid in each year on average, in money of that year",
        [(f"{month(month_date(start, 12 * year))} on", year) for year in years],
        lambda build, year: money(float(build.money.cost_by_year.mean[year]), currency),
        first="twelve months from",
    )


def cause_table(evaluation: Evaluation) -> TextTable:
    """All costs by what causes them, in parts that add up to the last row."""
    currency = evaluation.scenario.currency
    span = years_span(evaluation.scenario.horizon_months)
    parts = {build.key: _rounded_causes(build) for build in evaluation.builds}
    shown = {
        key: words for key, words in CATEGORIES.items() if any(part[key] for part in parts.values())
    }
    return build_table(
        evaluation,
        f"Mean costs over {span} in today's money, by cause",
        [*((words, key) for key, words in shown.items()), (TOGETHER, TOGETHER)],
        lambda build, key: money(parts[build.key][key], currency, digits=EXACT),
    )


def _rounded_causes(build: BuildResult) -> dict[str, float]:
    costs, total = build.money.present_cost_by_category, build.money.net_present_cost.mean
    parts = rounded_parts([float(costs[key]) for key in CATEGORIES], float(total))
    return {**dict(zip(CATEGORIES, parts, strict=True)), TOGETHER: sum(parts)}


def quote_table(evaluation: Evaluation) -> TextTable:
    """What storage costs by shoot day of each kind of work, in today's money."""
    currency = evaluation.scenario.currency
    return build_table(
        evaluation,
        "Storage cost of a shoot day, mean in today's money: what a quote should bear",
        [(plain(key), key) for key in evaluation.scenario.work],
        lambda build, key: money(build.money.cost_per_shoot_day[key].mean, currency, digits=2),
        first="kind of work",
    )


def order_table(evaluation: Evaluation, build: BuildResult) -> TextTable:
    """What one alternative orders and when: median month, share of futures, mean price then."""
    currency, start = evaluation.scenario.currency, evaluation.scenario.start_date
    title = f"Orders of {quoted(build.name)}: median month, and mean price then"
    listed_orders = record_table(
        title,
        order_list(build),
        {
            "month": lambda row: month(month_date(start, row.month)),
            "what": lambda row: order_words(row.what, row.count),
            "ordered in": lambda row: f"{of_hundred(row.placed_fraction)} futures",
            "cost": lambda row: money(row.cost, currency),
        },
    )
    stays = kept_words(evaluation, build)
    rows: list[tuple[str, ...]] = [
        (month(start), words, "no order", money(0, currency)) for words in stays
    ]
    rows += listed_orders.rows
    unlisted = unlisted_cost(build)
    if unlisted >= 1:
        rows.append(("later", LATER_ORDERS, "on average", money(unlisted, currency)))
    return text_table(title, listed_orders.head, rows)


def kept_words(evaluation: Evaluation, build: BuildResult) -> list[str]:
    """What stays beside it, and until when."""
    start, months = evaluation.scenario.start_date, evaluation.scenario.horizon_months
    told = []
    for each in build.capacity.kept:
        until = f"until {month(month_date(start, each.stays_months))}"
        if each.stays_months >= months:
            until = "to the end"
        if each.stays_months > 0:
            name = quoted(each.name.replace("_", " "))
            told.append(f"{name} stays ({tb(each.plannable_tb)} to plan with) {until}")
    return told


def order_words(what: str, count: int, size_tb: float | None = None) -> str:
    """What is ordered, counted where it is a thing that one counts; drives with their size."""
    if what in NOUNS:
        size = "" if size_tb is None else f" of {tb(size_tb)}"
        return f"{count} {NOUNS[what][count != 1]}{size}"
    return "the work of bringing it in" if what == "work" else plain(what)


def difference_sentences(evaluation: Evaluation) -> list[str]:
    """Each other alternative against the recommended, its mean difference told by cause."""
    chosen = verdict(evaluation).recommended.build
    return [
        _difference(evaluation, chosen, other) for other in evaluation.builds if other is not chosen
    ]


def _difference(evaluation: Evaluation, chosen: BuildResult, other: BuildResult) -> str:
    gap = paired_gap(chosen, other)
    dearer, cheaper = (other, chosen) if gap.mean >= 0 else (chosen, other)
    parts = difference_by_category(dearer, cheaper)
    worth_a_word = max(WORTH_A_WORD * max(abs(part) for part in (gap.mean, *parts.values())), 1)
    worded = {cause: amount for cause, amount in parts.items() if abs(amount) > worth_a_word}
    rest = abs(gap.mean) - sum(worded.values())
    told = [_part(cause, amount) for cause, amount in worded.items()]
    if told and abs(rest) >= 1:
        told.append(f"{significant(abs(rest))} {_more(rest)} for all else")
    return (
        f"{quoted(dearer.name)} costs {money(abs(gap.mean), evaluation.scenario.currency)} more"
        f" than {quoted(cheaper.name)} over {years_span(evaluation.scenario.horizon_months)} in"
        f" today's money, on average: {listed(told) or 'no part stands out'}."
    )


def _part(cause: str, amount: float) -> str:
    """What the dearer costs more for a cause; where it is worth less, that costs more."""
    if cause == NOT_PAID:
        return f"{significant(abs(amount))} {_more(-amount)} worth at the end"
    return f"{significant(abs(amount))} {_more(amount)} for {CATEGORIES[cause]}"


def _more(amount: float) -> str:
    return "more" if amount > 0 else "less"
