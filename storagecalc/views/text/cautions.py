"""Cautions and assumptions in words."""

from collections.abc import Callable
from typing import Any

from storagecalc.study.decision.cautions import (
    BorrowedCurve,
    Caution,
    assumed,
    borrowed_curves,
    cautions,
)
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.quantity import Entry
from storagecalc.views.text.keys import amount_words
from storagecalc.views.text.loss import copies_sentence
from storagecalc.views.text.numbers import (
    chance,
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
from storagecalc.views.text.table import TextTable


def caution_sentences(evaluation: Evaluation) -> list[str]:
    """Every caution as one sentence."""
    currency = evaluation.scenario.currency
    return [_sentence(caution, currency) for caution in cautions(evaluation)]


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
    return TextTable(
        title="What we assumed, because the scenario does not say",
        head=("what", "taken as", "how good that is", "how to find out your own"),
        rows=tuple(rows),
        marks=tuple(("", "", "guess" if row[2] == "guess" else "", "") for row in rows),
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
    unit = entry.quantity.unit
    return amount_words(entry.value) + ("" if unit in ("fraction", "money") else f" {unit}")


def _sentence(caution: Caution, currency: str) -> str:
    figures = {name: _fact_words(name, fact, currency) for name, fact in caution.facts.items()}
    words = WORDS[caution.kind].format(**figures)
    return f"{quoted(caution.build)}: {words}" if caution.build is not None else words


def _fact_words(name: str, fact: Any, currency: str) -> str:
    return money(fact, currency) if name == "cost" else FACTS[name](fact)


def _roughly(value: float) -> str:
    return significant(value, 2)


def _further_boxes(number: float) -> str:
    return f"{_roughly(number)} further {'box' if _roughly(number) == '1' else 'boxes'}"


def _in_futures(share: float | None) -> str:
    return "at the middle of every range" if share is None else f"in {of_hundred(share)} futures"


# How each figure of a caution is told.
FACTS: dict[str, Callable[[Any], str]] = {
    "are": lambda are: "a guess; ask for quotes" if are == "a guess" else are,
    "count": str,
    "work": quoted,
    "jobs": _roughly,
    "spread_fraction": percent,
    "held_tb": tb,
    "plannable_tb": tb,
    "probability": chance,
    "rebuild_h": _roughly,
    "over_w": _roughly,
    "age_years": significant,
    "life_years": significant,
    "weight_kg": _roughly,
    "desk_mb_s": significant,
    "stream_mb_s": significant,
    "from_date": lambda day: month(day) if day else "the start",
    "editors": _roughly,
    "played": significant,
    "boxes": _further_boxes,
    "by_date": month,
    "late_fraction": _in_futures,
    "doubt_fraction": _in_futures,
    "most_fraction": _in_futures,
    "order_point_fraction": lambda share: f"{max(share, 0.2):.2f}",
    "copies": copies_sentence,
    "streams": significant,
}
WORDS = {
    "one copy": "{copies}",
    "independence": (
        "Chances of loss take drives to fail independently. Drives of one batch, one shelf or one"
        " power event fail together more often, so the real chance is higher."
    ),
    "prices": "All prices are {are}.",
    "guesses": (
        "{count} quantities were left at a default that is a guess; they are listed under what we"
        " assumed."
    ),
    "middle only": (
        "Every range stands at its middle; how far the answer may stray was not computed."
    ),
    "lumps": (
        "{work} comes in lumps: with {jobs} jobs a month, one month strays from the mean month by"
        " {spread_fraction} (one standard deviation)."
    ),
    "starts too late": (
        "{work} starts in {from_date}, after the last month looked at, so nothing it records"
        " counts. Raise horizon_months if it should."
    ),
    "mains": (
        "Circuits, breakers and fixed wiring are for a licensed electrician; local codes decide."
        " The 80 % limit used here for steady loads is a rule of the United States."
    ),
    "full from the start": (
        "would be full from the first month: {held_tb} held, {plannable_tb} plannable as bought."
    ),
    "rule orders too late": (
        "your rule orders too late: later than {by_date} {late_fraction}. Write"
        " order_at_fraction = {order_point_fraction}, or order by then."
    ),
    "too many boxes": (
        "needs more than {boxes} {most_fraction}; what goes beyond them is costed as rent."
        " Look for a larger build."
    ),
    "circuit later": (
        "with further boxes the circuit would carry more than its steady limit from {from_date} on,"
        " {doubt_fraction}. Ask a licensed electrician before buying them."
    ),
    "too loud later": (
        "with further boxes it is louder at the desk than you ask from {from_date} on,"
        " {doubt_fraction}."
    ),
    "too deep later": (
        "the further boxes are deeper than you ask; the first comes in {from_date} or before,"
        " {doubt_fraction}."
    ),
    "order at once": "its next order would fall due before the start. Start with more drives.",
    "remedy": (
        "{cost} of its mean cost in today's money pays for what its own steps cannot hold"
        " ({boxes} on average, and rent meanwhile), so that all serve the same"
        " footage."
    ),
    "read error": (
        "if a rebuild has to run with no redundancy left, the chance of an unreadable file is"
        " {probability} by the data sheet's limit. It costs a file, not the box. A rebuild takes"
        " about {rebuild_h} hours, the wait for a drive included."
    ),
    "circuit": (
        "with all bays full the circuit would carry {over_w} W more than its steady limit. Ask a"
        " licensed electrician before plugging it in."
    ),
    "worn-out drives": (
        "the drives you own are {age_years} years old and their class is replaced at {life_years}:"
        " they are costed as replaced on day one."
    ),
    "worn-out box": (
        "the box you own is {age_years} years old and is replaced at {life_years}: a successor is"
        " costed on day one."
    ),
    "class ends": (
        "drives worn out from {from_date} on are costed as replaced by the same class, which can be"
        " bought until {by_date}. Ask what will take its place."
    ),
    "weight": (
        "weighs about {weight_kg} kg with its drives. Take them out, lift with two people or a lift"
        " table, and check what rack or floor may bear."
    ),
    "desk link": (
        "a desk's link carries {desk_mb_s} MB/s, less than one stream of {stream_mb_s} MB/s."
    ),
    "streams short": (
        "from {from_date} on, more streams are played than it carries for sure: {editors} people"
        " play {played}, and {streams} are sure."
    ),
}
