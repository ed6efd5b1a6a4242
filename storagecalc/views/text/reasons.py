"""Why the builds differ, how much caution is in the space, and whether the horizon decides."""

from collections import Counter

from storagecalc.study.decision.horizons import HorizonOrder, orders_by_horizon
from storagecalc.study.decision.verdict import difference_by_category, ranked
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.categories import CATEGORIES
from storagecalc.study.result import BuildResult
from storagecalc.views.text.numbers import quoted, listed, money, plain, significant, tb, years_span

# Parts of a difference smaller than this share of it are not worth a word.
WORTH_A_WORD = 0.05


def reason_sentences(evaluation: Evaluation) -> list[str]:
    """Differences by cause, caution in the space, and whether looking further changes the order."""
    return [
        *difference_sentences(evaluation),
        *(margin_sentence(evaluation, build) for build in evaluation.builds[:1]),
        horizon_sentence(orders_by_horizon(evaluation)),
    ]


def difference_sentences(evaluation: Evaluation) -> list[str]:
    """Each other build against the first, its difference told by cause."""
    first, *others = ranked(evaluation)
    return [_difference(evaluation, first, other) for other in others]


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


def horizon_sentence(orders: tuple[HorizonOrder, ...]) -> str:
    """Whether looking a year or two further changes which build comes first."""
    first, *further = orders
    changed = [order for order in further if order.names != first.names]
    if not further:
        return "Looking further ahead than this was not possible."
    if not changed:
        spans = listed(years_span(order.horizon_months) for order in further)
        return f"The order of the builds stays the same when looking {spans} ahead."
    other = changed[0]
    names = ", then ".join(quoted(name) for name in other.names)
    return (
        f"The horizon decides: looking {years_span(other.horizon_months)} ahead instead of"
        f" {years_span(first.horizon_months)}, the order is {names}."
    )


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
