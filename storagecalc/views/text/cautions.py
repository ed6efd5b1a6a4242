"""Cautions and assumptions in words."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from storagecalc.study.decision.cautions import (
    IDEAL_LIFT_KG,
    BorrowedCurve,
    Caution,
    assumed,
    borrowed_curves,
    cautions,
)
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.quantity import Entry
from storagecalc.views.text.keys import amount_words
from storagecalc.views.text.loss import copies_sentence, loss_denominator
from storagecalc.views.text.numbers import (
    chance,
    count,
    in_unit,
    listed,
    money,
    month,
    of_hundred,
    percent,
    plain,
    quoted,
    significant,
    tb,
)
from storagecalc.views.text.table import TextTable, text_table


def caution_sentences(evaluation: Evaluation) -> list[str]:
    """Every caution once, what can hurt or lose most first."""
    alike: dict[str, list[Caution]] = {}
    for caution in cautions(evaluation):
        alike.setdefault(caution.kind, []).append(caution)
    return [
        sentence for kind, same in alike.items() for sentence in _sentences(kind, same, evaluation)
    ]


def assumed_sentences(evaluation: Evaluation) -> list[str]:
    """Every default and example that was used, with its status and how to find out better."""
    curves = [_borrowed(curve) for curve in borrowed_curves(evaluation)]
    return curves + [_assumption(entry) for entry in assumed(evaluation)]


def assumption_table(evaluation: Evaluation) -> TextTable:
    """Every default that was used, those that are alike in several places told once."""
    grouped: dict[tuple[str, str], list[Entry]] = {}
    for entry in assumed(evaluation):
        grouped.setdefault((entry.quantity.label, _value(entry)), []).append(entry)
    rows = [
        (
            f"{label} ({plain(_key_of_all(some))})",
            value,
            some[0].quantity.status,
            some[0].quantity.find_out,
        )
        for (label, value), some in grouped.items()
    ]
    return text_table(
        "What we assumed, because the scenario does not say",
        ("what", "taken as", "how good that is", "how to find out your own"),
        rows,
        [("", "", "guess" if row[2] == "guess" else "", "") for row in rows],
    )


def _key_of_all(alike: list[Entry]) -> str:
    """The dotted key of entries that are alike, with a star where their names differ."""
    parts = zip(*(entry.key.split(".") for entry in alike), strict=False)
    return ".".join(same[0] if len(set(same)) == 1 else "*" for same in parts)


def _borrowed(curve: BorrowedCurve) -> str:
    steps = [
        f"{percent(float(step.keep_fraction))} stay from {step.after_months} months on"
        + ("" if step.rest_goes_to == "deleted" else f" (the rest to {quoted(step.rest_goes_to)})")
        for step in curve.steps
    ]
    return (
        f"keep rule {quoted(curve.rule)} is like “{curve.like}”: {listed(steps) or 'all stays'};"
        f" {curve.status}. To find out: sizes of five finished jobs by age."
    )


def _assumption(entry: Entry) -> str:
    quantity = entry.quantity
    return (
        f"{quantity.label} ({plain(entry.key)}): {_value(entry)}, {quantity.status}."
        f" To find out: {quantity.find_out}."
    )


def _value(entry: Entry) -> str:
    unit, shown = entry.quantity.unit, amount_words(entry.value)
    return shown if unit in ("fraction", "money") else in_unit(shown, unit)


def _sentences(kind: str, same: Sequence[Caution], evaluation: Evaluation) -> Iterator[str]:
    """One sentence a caution of the whole; one for all that have one of the same kind."""
    if kind in WORDS:
        yield from (WORDS[kind].format(**figures(each, evaluation)) for each in same)
        return
    claim, after_name, advice = NAMED_WORDS[kind]
    names: dict[str, list[str]] = {}
    for each in same:
        shown = after_name.format(**figures(each, evaluation))
        names.setdefault(shown, []).append(each.build or each.facts["work"])
    everyone = len(evaluation.builds) if same[0].build else 0
    told = [f"{_who(some, everyone)} {shown}".rstrip() for shown, some in names.items()]
    yield f"{claim}: {'; '.join(told)}. {advice}".rstrip()


def _who(names: Sequence[str], everyone: int) -> str:
    """Names; "both" or "all three" where there are no others."""
    if len(names) == 1 or len(names) != everyone:
        return listed(map(quoted, names))
    return "both" if len(names) == 2 else f"all {count(len(names))}"


def figures(caution: Caution, evaluation: Evaluation) -> dict[str, str]:
    """The figures of a caution in words, by name."""
    return {name: _fact_words(name, fact, evaluation) for name, fact in caution.facts.items()}


def _fact_words(name: str, fact: Any, evaluation: Evaluation) -> str:
    if name == "cost":
        return money(fact, evaluation.scenario.currency)
    if name == "probability":
        return chance(fact, loss_denominator(evaluation))
    return FACTS[name](fact)


def _roughly(value: float) -> str:
    return significant(value, 2)


def _counted(unit: str) -> Callable[[float], str]:
    return lambda number: in_unit(_roughly(number), unit)


def _further_boxes(number: float) -> str:
    return f"{_roughly(number)} further {'box' if _roughly(number) == '1' else 'boxes'}"


def _in_futures(share: float | None) -> str:
    return "at the middle of every range" if share is None else f"in {of_hundred(share)} futures"


# How each figure of a caution is told.
FACTS: dict[str, Callable[[Any], str]] = {
    "are": lambda are: "a guess; ask for quotes" if are == "a guess" else are,
    "count": lambda number: "one quantity was" if number == 1 else f"{number} quantities were",
    "work": quoted,
    "shortage": quoted,
    "months": _counted("months"),
    "price_factor": _roughly,
    "comes_fraction": _in_futures,
    "jobs": _counted("jobs"),
    "spread_fraction": percent,
    "held_tb": tb,
    "plannable_tb": tb,
    "rebuild_h": _roughly,
    "over_w": _roughly,
    "age_years": _counted("years"),
    "life_years": _counted("years"),
    "weight_kg": _roughly,
    "desk_mb_s": significant,
    "stream_mb_s": significant,
    "from_date": lambda day: month(day) if day else "the start",
    "editors": _counted("people"),
    "played": _counted("streams"),
    "boxes": _further_boxes,
    "by_date": month,
    "late_fraction": _in_futures,
    "doubt_fraction": _in_futures,
    "most_fraction": _in_futures,
    "sure_fraction": _in_futures,
    "order_point_fraction": lambda share: f"{max(math.floor(100 * share) / 100, 0.2):.2f}",
    "copies": copies_sentence,
    "streams": significant,
}
# Cautions that concern the whole.
WORDS = {
    "one copy": "{copies}",
    "independence": (
        "Chances of loss take drives to fail independently. Drives of one batch, one shelf or one"
        " power event fail together, so the real chance is higher."
    ),
    "shortage": (
        "The costs reckon with {shortage}: from {from_date} on drives cost {price_factor} times as"
        " much for about {months}, {comes_fraction}."
    ),
    "prices": "All prices are {are}.",
    "guesses": "{count} left at a default that is a guess; see what we assumed.",
    "middle only": (
        "Every range stands at its middle; how far the answer may stray was not computed."
    ),
    "starts too late": (
        "{work} starts in {from_date}, after the last month looked at, so nothing it records"
        " counts. Raise horizon_months if it should."
    ),
    "mains": (
        "Circuits, breakers and fixed wiring are for a licensed electrician; local codes decide."
        " The 80 % limit used here for steady loads is a rule of the United States."
    ),
}
# Cautions that concern alternatives or kinds of work: what is so, the figures after each name,
# what to do.
NAMED_WORDS = {
    "lumps": (
        "Work comes in lumps: a month strays from the mean month (one standard deviation)",
        "by {spread_fraction}, with {jobs} a month",
        "",
    ),
    "circuit": (
        "With all bays full the circuit would carry more than its steady limit",
        "{over_w} W more",
        "Ask a licensed electrician before plugging it in.",
    ),
    "circuit later": (
        "With further boxes the circuit would carry more than its steady limit",
        "from {from_date} on {doubt_fraction}",
        "Ask a licensed electrician before buying them.",
    ),
    "weight": (
        f"Too heavy with its drives for one person to lift (limit {_roughly(IDEAL_LIFT_KG)} kg)",
        "{weight_kg} kg",
        "Take them out, lift with two people or a lift table, and check what rack or floor may"
        " bear.",
    ),
    "read error": (
        "Rebuilds with no redundancy left that meet an unreadable file, by the data sheet's limit",
        "{probability} ({rebuild_h} hours each)",
        "It costs a file, not the box. The hours have the wait for a drive in them.",
    ),
    "worn-out drives": (
        "The drives you own are worn out and costed as replaced on day one",
        "{age_years} old, their class is replaced at {life_years}",
        "",
    ),
    "worn-out box": (
        "The box you own is worn out, and a successor is costed on day one",
        "{age_years} old, replaced at {life_years}",
        "",
    ),
    "not kept": (
        "A box to be kept is worn out already, so it does not stay",
        "{age_years} old, replaced at {life_years}",
        "Write keeps_months for how long it should stay all the same.",
    ),
    "full from the start": (
        "Full from the first month",
        "{held_tb} held, {plannable_tb} plannable as bought",
        "",
    ),
    "order at once": (
        "The next order would fall due before the start",
        "",
        "Start with more drives.",
    ),
    "rule orders too late": (
        "Your rule orders too late",
        "after {by_date} {late_fraction}, in time with order_at_fraction = {order_point_fraction}",
        "Write that, or order by then whatever the rule says.",
    ),
    "too many boxes": (
        "Too many further boxes",
        "more than {boxes} {most_fraction}",
        "What goes beyond them is costed as rent. Look for a larger build.",
    ),
    "streams short": (
        "More streams are played than it carries",
        "from {from_date} on, {played} by {editors}; it carries {streams} {sure_fraction}",
        "",
    ),
    "desk link": (
        "A desk's link carries less than one stream",
        "{desk_mb_s} MB/s of {stream_mb_s} MB/s",
        "",
    ),
    "too loud later": (
        "With further boxes it is louder at the desk than you ask",
        "from {from_date} on {doubt_fraction}",
        "",
    ),
    "too deep later": (
        "Further boxes are deeper than you ask",
        "the first comes in {from_date} or before {doubt_fraction}",
        "",
    ),
    "class ends": (
        "Drives that wear out when their class is no longer sold are costed as replaced by it",
        "from {from_date} on, sold until {by_date}",
        "Ask what will take its place.",
    ),
    "remedy": (
        "Of the mean cost in today's money, for what own steps cannot hold (further boxes, and rent"
        " meanwhile), so that all serve the same footage",
        "{cost}, {boxes} on average",
        "",
    ),
}
