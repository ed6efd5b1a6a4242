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
from storagecalc.views.text.loss import COPIES
from storagecalc.views.text.numbers import (
    chance,
    listed,
    money,
    month,
    percent,
    plain,
    quoted,
    significant,
    tb,
)
from storagecalc.views.text.table import TextTable

Facts = Any


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
    words = WORDS[caution.kind](caution.facts, currency)
    return f"{quoted(caution.build)}: {words}" if caution.build is not None else words


WORDS: dict[str, Callable[[Facts, str], str]] = {
    "one copy": lambda _facts, _currency: COPIES,
    "independence": lambda _facts, _currency: (
        "Chances of loss take drives to fail independently. Drives of one batch, one shelf or one"
        " power event fail together more often, so the real chance is higher."
    ),
    "prices": lambda facts, _currency: (
        "All prices are invented."
        if facts["are"] == "invented"
        else "All prices are a guess; ask for quotes."
    ),
    "guesses": lambda facts, _currency: (
        f"{facts['count']} quantities were left at a default that is a guess; they are listed under"
        " what we assumed."
    ),
    "middle only": lambda _facts, _currency: (
        "Every range stands at its middle; how far the answer may stray was not computed."
    ),
    "lumps": lambda facts, _currency: (
        f"{quoted(facts['work'])} comes in lumps: with {significant(facts['jobs'], 2)} jobs a"
        " month, one month strays from the mean month by"
        f" {percent(facts['spread_fraction'])} (one standard deviation)."
    ),
    "mains": lambda _facts, _currency: (
        "Circuits, breakers and fixed wiring are for a licensed electrician; local codes decide."
        " The 80 in a hundred limit used here for steady loads is a rule of the United States."
    ),
    "full from the start": lambda facts, _currency: (
        f"would be full from the first month: {tb(facts['held_tb'])} held,"
        f" {tb(facts['plannable_tb'])} plannable as bought."
    ),
    "order at once": lambda _facts, _currency: (
        "its next order would fall due before the start. Start with more drives."
    ),
    "remedy": lambda facts, currency: (
        f"{money(facts['cost'], currency)} of its cost in today's money pays for footage that it"
        " cannot hold itself, so that all builds serve the same footage."
    ),
    "read error": lambda facts, _currency: (
        "if a rebuild has to run with no redundancy left, the chance of an unreadable file is"
        f" {chance(facts['probability'])} by the data sheet's limit. It costs a file, not the box."
        f" A rebuild takes about {significant(facts['rebuild_h'], 2)} hours, the wait for a drive"
        " included."
    ),
    "circuit": lambda facts, _currency: (
        f"with all bays full the circuit would carry {significant(facts['over_w'], 2)} W more than"
        " its steady limit. Ask a licensed electrician before plugging it in."
    ),
    "worn-out drives": lambda facts, _currency: (
        f"the drives you own are {significant(facts['age_years'])} years old and their class is"
        f" replaced at {significant(facts['life_years'])}: they are costed as replaced on day one."
    ),
    "worn-out box": lambda facts, _currency: (
        f"the box you own is {significant(facts['age_years'])} years old and is replaced at"
        f" {significant(facts['life_years'])}: a successor is costed on day one."
    ),
    "weight": lambda facts, _currency: (
        f"weighs about {significant(facts['weight_kg'], 2)} kg with its drives. Take them out,"
        " lift with two people or a lift table, and check what rack or floor may bear."
    ),
    "desk link": lambda facts, _currency: (
        f"a desk's link carries {significant(facts['desk_mb_s'])} MB/s, less than one stream of"
        f" {significant(facts['stream_mb_s'])} MB/s."
    ),
    "streams short": lambda facts, _currency: (
        f"from {month(facts['from_date']) if facts['from_date'] else 'the start'} on, more people"
        f" edit than it has streams for: {significant(facts['editors'], 2)} people,"
        f" {significant(facts['streams'])} streams."
    ),
}
