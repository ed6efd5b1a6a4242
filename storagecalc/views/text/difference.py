"""Differences in cost against the recommended in words: future by future, and year by year."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from storagecalc.study.dates import month_date
from storagecalc.study.decision.room import twenty_futures
from storagecalc.study.decision.verdict import (
    LEAST_COST,
    Verdict,
    cheaper_fraction,
    common_costs,
    difference_by_year,
    gap_by_draw,
    paired_gap,
    verdict,
)
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money.categories import CATEGORIES
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.numbers import (
    MONTH_NAMES,
    count,
    listed,
    money,
    of_hundred,
    plain,
    quoted,
    rounded_parts,
    significant,
)

DIGITS = 3
# More digits than any rounded part has.
EXACT = 15
IN_ALL = "in all"
AT_THE_END = ("worth at", "the end")
CHEAPER = "cheaper"
# So many categories that are the same for both are named.
NAMED = 2


def gap_title(evaluation: Evaluation) -> str:
    """In how many of the twenty futures the nearest other costs more or less."""
    found = verdict(evaluation)
    chosen, other = found.recommended.build, found.nearest_other
    if other is None:
        return "There is nothing to compare its cost with."
    dots = twenty_futures(gap_by_draw(chosen, other))
    more, less = sum(dot >= LEAST_COST for dot in dots), sum(dot <= -LEAST_COST for dot in dots)
    name = quoted(other.name)
    if len(dots) == 1:
        if not more and not less:
            return f"{name} costs the same at the middle of every range."
        cost = money(abs(dots[0]), evaluation.scenario.currency)
        return f"{name} costs {cost} {'more' if more else 'less'} at the middle of every range."
    if not more and not less:
        return f"{name} costs the same in all twenty futures."
    word, number = ("more", more) if more >= less else ("less", less)
    share = "all twenty" if number == len(dots) else f"{number} of 20"
    return f"{name} costs {word} in {share} futures."


def gap_summary(evaluation: Evaluation, chosen: BuildResult, rivals: Sequence[BuildResult]) -> str:
    """All dots in words: the text alternative."""
    currency = evaluation.scenario.currency
    told = []
    for rival in rivals:
        dots = twenty_futures(gap_by_draw(chosen, rival))
        amounts = ", ".join(signed(dot) for dot in dots)
        told.append(f"{quoted(rival.name)}: {amounts}; {dearer_words(evaluation, chosen, rival)}.")
    return (
        f"What others cost more than {quoted(chosen.name)}, {plain(currency)} in today's money:"
        f" {' '.join(told)}"
    )


def dearer_words(evaluation: Evaluation, chosen: BuildResult, rival: BuildResult) -> str:
    """In how many futures a rival costs more."""
    if not evaluation.draws:
        gap = paired_gap(chosen, rival).mean
        return "costs the same" if abs(gap) < LEAST_COST else "dearer" if gap > 0 else CHEAPER
    share = of_hundred(cheaper_fraction(chosen, rival))
    if share == "no" and not cheaper_fraction(rival, chosen):
        return "costs the same"
    return f"dearer in {share}{'' if share.endswith('100') else ' futures'}"


def dearer_head(evaluation: Evaluation) -> str:
    """What stands right of the zero."""
    return f"dearer by {plain(evaluation.scenario.currency)}"


def signed(amount: float, digits: int = DIGITS) -> str:
    """An amount with its sign, a true minus: +1,460 or −300."""
    sign = "" if not amount else "+" if amount > 0 else "−"
    return f"{sign}{significant(abs(amount), digits)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class YearParts:
    """What the recommended costs more than its nearest other: parts that add up as shown.

    ``names`` are the years, then the worth at the end and the total, each on one or two lines.
    """

    names: tuple[tuple[str, ...], ...]
    amounts: tuple[float, ...]
    words: tuple[str, ...]


def year_parts(scenario: Scenario, found: Verdict) -> YearParts | None:
    """The parts, rounded so that they add up; None where there is nothing to compare."""
    other = found.nearest_other
    if other is None:
        return None
    years, at_the_end = difference_by_year(found.recommended.build, other)
    parts = [*years, at_the_end]
    total = math.fsum(parts)
    # Never finer than a whole unit of the currency.
    digits = min(DIGITS, math.floor(math.log10(max(abs(total), 1e-9))) + 1)
    amounts = rounded_parts(parts, total, digits) if total else [*map(round, parts)]
    whole = [*amounts, sum(amounts)]
    names = [(year_name(scenario, year),) for year in range(len(years))]
    return YearParts(
        names=(*names, AT_THE_END, (IN_ALL,)),
        amounts=tuple(map(float, whole)),
        words=tuple(signed(amount, EXACT) for amount in whole),
    )


def year_name(scenario: Scenario, year: int) -> str:
    """A year of the horizon: 2027, or 2027/28 where it does not begin in January."""
    first = month_date(scenario.start_date, 12 * year)
    if first.month == 1:
        return str(first.year)
    return f"{first.year}/{(first.year + 1) % 100:02d}"


def years_title(evaluation: Evaluation) -> str:
    """In which years the recommended costs more than its nearest other, and in which less."""
    found = verdict(evaluation)
    return _years_title(found, year_parts(evaluation.scenario, found))


def _years_title(found: Verdict, parts: YearParts | None) -> str:
    name = quoted(found.recommended.build.name)
    if parts is None:
        return f"There is nothing to compare {name} with."
    years = [
        (names[0], amount)
        for names, amount in zip(parts.names[:-2], parts.amounts[:-2], strict=True)
    ]
    return f"{name} costs {_year_words(years)}."


def _year_words(years: Sequence[tuple[str, float]]) -> str:
    """The course of the differences in a few words."""
    more, less = (
        [(name, abs(amount)) for name, amount in years if amount * sign > 0] for sign in (1, -1)
    )
    if not more and not less:
        return "the same in every year"
    if not more or not less:
        word, some = ("more", more) if more else ("less", less)
        if len(some) == len(years):
            return f"{word} in every year"
        return f"{word} in {_years(some)} and the same in the others"
    (first, amount), later = years[0], years[1:]
    if amount and all(one * amount < 0 for _, one in later):
        word, then = ("more", "less") if amount > 0 else ("less", "more")
        return f"{_plain(amount)} {word} in {first} and {then} in every later year"
    return f"{_most(more, 'more')} and {_most(less, 'less')}"


def _years(some: Sequence[tuple[str, float]]) -> str:
    return listed(name for name, _ in some) if len(some) < 4 else f"{count(len(some))} years"


def _most(some: Sequence[tuple[str, float]], word: str) -> str:
    """The largest of several differences in one direction, with its year."""
    year, amount = max(some, key=lambda each: each[1])
    if len(some) == 1:
        return f"{_plain(amount)} {word} in {year}"
    return f"up to {_plain(amount)} {word} in a year ({year})"


def _plain(amount: float) -> str:
    return significant(abs(amount), EXACT)


def years_key(evaluation: Evaluation) -> str:
    """What is subtracted from what, in which money, and what is the same for both."""
    return _years_key(evaluation.scenario, verdict(evaluation))


def _years_key(scenario: Scenario, found: Verdict) -> str:
    chosen, other = found.recommended.build, found.nearest_other
    if other is None:
        return ""
    year = ""
    if scenario.start_date.month != 1:
        year = f", years from {MONTH_NAMES[scenario.start_date.month - 1]}"
    money_of = f"{plain(scenario.currency)}, mean in today's money{year}"
    told = f"Against {quoted(other.name)}; {money_of}."
    return " ".join(filter(None, [told, _common_words(scenario, chosen, other)]))


def _common_words(scenario: Scenario, chosen: BuildResult, other: BuildResult) -> str:
    """What costs the same with both; nothing where nothing does."""
    same = [(CATEGORIES[category], cost) for category, cost in common_costs(chosen, other).items()]
    if not same:
        return ""
    told = [f"{words} ({money(cost, scenario.currency)})" for words, cost in same[:NAMED]]
    if len(same) > NAMED:
        told.append(f"{len(same) - NAMED} more of the causes")
    return f"The same for both: {listed(told)}."


def years_summary(scenario: Scenario, found: Verdict, parts: YearParts) -> str:
    """All bars in words: the text alternative."""
    bars = (f"{' '.join(name)} {told}" for name, told in zip(parts.names, parts.words, strict=True))
    return f"{_years_title(found, parts)} {_years_key(scenario, found)} {', '.join(bars)}."
