"""What matters most, in words; and which rates a studio had better look at."""

from collections.abc import Sequence
from dataclasses import dataclass

from storagecalc.study.decision.sensitivity import Influence, influences
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.changes import changed_keys
from storagecalc.study.scenario.formats import RateSpread, rate_spreads
from storagecalc.study.scenario.keys import keys_in
from storagecalc.views.text.keys import STATUS_WORDS, unit_words
from storagecalc.views.text.numbers import (
    listed,
    money,
    percent,
    plain,
    quoted,
    significant,
)
from storagecalc.views.text.table import TextTable, record_table
from storagecalc.views.text.toml import toml_key

SHOWN = 10
CHANGED_HEADING = "Keys that changed, in case this file is from before:"
NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckPassage:
    """A heading, and sentences one a bullet."""

    heading: str
    sentences: Sequence[str]


def check_passages(evaluation: Evaluation) -> list[CheckPassage]:
    """What a check tells beside faults and what matters; empty ones left out."""
    found = []
    rates = [_rate_sentence(spread) for spread in rate_spreads(evaluation.scenario)]
    if rates:
        found.append(CheckPassage(heading="Worth a look:", sentences=rates))
    changed = listed(each.key for each in changed_keys(evaluation.scenario))
    if changed:
        said = f"{changed}: what each was and is stands at the end of what storagecalc keys prints."
        found.append(CheckPassage(heading=CHANGED_HEADING, sentences=[said]))
    return found


def matters_words(evaluation: Evaluation, *, everything: bool = False) -> str:
    """What matters most as lines of text, and how it was found; empty where nothing does.

    Parameters
    ----------
    evaluation
        With draws.
    everything
        Whether to list more than the first ten.
    """
    found = influences(evaluation)
    if not found:
        return ""
    shown = found if everything else found[:SHOWN]
    more = [f"{len(found) - len(shown)} more matter less: --all lists them."]
    closing = [_how(evaluation), *(more if len(shown) < len(found) else [])]
    return "\n".join([matters_table(evaluation, shown).lines(), *closing])


def matters_table(evaluation: Evaluation, found: Sequence[Influence]) -> TextTable:
    """What matters most for the decision, a row a quantity."""
    currency, advised = evaluation.scenario.currency, verdict(evaluation)
    moved = "the gap" if advised.nearest_other else "all costs"
    name = quoted(advised.recommended.build.name)
    return record_table(
        f"What matters most for the choice of {name}:",
        found,
        {
            "what": lambda each: _subject(each, evaluation),
            "from low to high": lambda each: _reach_words(each, currency),
            f"moves {moved} by": lambda each: _moved_cost(each.gap_shift_cost, currency),
            "moves needs met by": lambda each: _moved_futures(each.needs_shift_fraction),
            "which is": _standing,
            "key": lambda each: plain(each.key),
        },
    )


def _how(evaluation: Evaluation) -> str:
    """What the gap is and what was compared."""
    advised = verdict(evaluation)
    own, other = advised.recommended.build, advised.nearest_other
    gap = "" if other is None else f"The gap is what {quoted(other.name)} costs more than it. "
    moved = "the gap" if other else "all costs"
    return (
        f"{gap}A range is looked at in the tenth of futures in which it is highest, against the"
        " tenth in which it is lowest; one number is put low and high by itself. Quantities stand"
        f" in the order in which they move {moved} of {quoted(own.name)}, or the futures in which"
        " it meets all needs. Counts, dates and your own choices are left out."
    )


def _moved_cost(shift: float, currency: str) -> str:
    return money(shift, currency) if round(shift) else NOTHING


def _moved_futures(shift: float) -> str:
    futures = round(100 * shift)
    return f"{futures:+d} of 100 futures" if futures else NOTHING


def _reach_words(each: Influence, currency: str) -> str:
    unit = unit_words(each.quantity).replace("money", plain(currency))
    return f"{significant(each.low)} to {significant(each.high)}{unit}"


def _standing(each: Influence) -> str:
    """Whose number it is: the file's, or a default and of what kind."""
    if not each.written:
        return STATUS_WORDS[each.quantity.status]
    return "your range" if each.is_range else "your number"


def _subject(each: Influence, evaluation: Evaluation) -> str:
    """What was moved, and whose it is."""
    label = each.quantity.label
    return f"{label[:1].upper()}{label[1:]}{_owner(each.key, evaluation)}"


def _owner(key: str, evaluation: Evaluation) -> str:
    section, name, inside = keys_in(key, evaluation.scenario)
    if not name:
        return ""
    shown = evaluation.scenario.build_name(name) if section == "builds" else name.replace("_", " ")
    entries = [f"entry {int(part) + 1}" for part in inside if part.isdigit()]
    return f", {', '.join([quoted(shown), *entries])}"


def _rate_sentence(found: RateSpread) -> str:
    key = f"work.{toml_key(found.work)}.real_rate_fraction"
    low, middle, high = (
        significant(share)
        for share in (found.real_fraction_low, found.real_fraction_middle, found.real_fraction_high)
    )
    return (
        f"{quoted(found.work)}: files in {found.format.label} come to"
        f" {percent(found.real_fraction_low)} to {percent(found.real_fraction_high)} of the nominal"
        f" rate, and the scenario counts all of it. Measure ten of your own, or write"
        f" {plain(key)} = {{ low = {low}, middle = {middle}, high = {high} }}."
    )
