"""Which assumptions decide, in words; and which rates a studio had better look at."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from storagecalc.study.decision.sensitivity import Effect, effects
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.scenario.changes import changed_keys
from storagecalc.study.scenario.formats import RateSpread, rate_spreads
from storagecalc.study.scenario.keys import keys_in
from storagecalc.views.text.keys import unit_words
from storagecalc.views.text.numbers import (
    length,
    listed,
    money,
    percent,
    plain,
    quoted,
    significant,
)
from storagecalc.views.text.toml import toml_key

SHOWN = 5
# A share that would read "0.3 %" decides nothing.
LEAST_SHARE_FRACTION = 0.005
HOW = (
    "Each was moved alone, from its low to its high, or by about a third where it is a plain guess;"
    " its share is its part of the sum of these effects. Counts, dates and your own choices are"
    " left out, as are effects that several have only together."
)
CHANGED_HEADING = "Keys that changed, in case this file is from before:"
BEYOND = "Wherever these stand, headroom reaches beyond the horizon."
STANDING = {
    "guess": "a guess",
    "common practice": "common practice",
    "sourced": "from open statistics",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckPassage:
    """A heading, sentences one a bullet, and perhaps closing words."""

    heading: str
    sentences: Sequence[str]
    closing: str = ""


def check_passages(evaluation: Evaluation) -> list[CheckPassage]:
    """What a check tells beside faults: what decides, and what to look at; empty ones left out."""
    found = []
    moved = [effect for effect in effects(evaluation) if _decides(effect)]
    if moved:
        first = quoted(verdict(evaluation).recommended.build.name)
        found.append(
            CheckPassage(
                heading=(
                    f"What matters most for {first}, which comes first at the middle of every"
                    " range:"
                ),
                sentences=[effect_sentence(effect, evaluation) for effect in moved[:SHOWN]],
                closing=_closing(moved),
            )
        )
    rates = [_rate_sentence(spread) for spread in rate_spreads(evaluation.scenario)]
    if rates:
        found.append(CheckPassage(heading="Worth a look:", sentences=rates))
    changed = listed(each.key for each in changed_keys(evaluation.scenario))
    if changed:
        said = f"{changed}: what each was and is stands at the end of what storagecalc keys prints."
        found.append(CheckPassage(heading=CHANGED_HEADING, sentences=[said]))
    return found


def effect_sentence(effect: Effect, evaluation: Evaluation) -> str:
    """What one assumption decides about the first build, from where to where, and its standing."""
    currency = evaluation.scenario.currency
    headroom = [_months_words(months) for months in effect.headroom_ends]
    cost = [money(amount, currency) for amount in effect.cost_ends]
    said = listed(
        f"{percent(share)} of the spread in {what} ({ends[0]} to {ends[1]})"
        for share, what, ends in (
            (effect.headroom_share_fraction, "headroom", headroom),
            (effect.cost_share_fraction, "all costs", cost),
        )
        if share >= LEAST_SHARE_FRACTION
    )
    return f"{_subject(effect, evaluation)}: {said}; {_standing(effect)}."


def _decides(effect: Effect) -> bool:
    return effect.largest_share_fraction >= LEAST_SHARE_FRACTION


def _closing(moved: Sequence[Effect]) -> str:
    """How the shares came about, and why headroom may be missing from them."""
    fills = any(math.isfinite(months) for effect in moved for months in effect.headroom_ends)
    return HOW if fills else f"{BEYOND} {HOW}"


def _subject(effect: Effect, evaluation: Evaluation) -> str:
    """What was moved, whose it is, and the key to look for in the file."""
    label = effect.quantity.label
    owner = _owner(effect.key, evaluation)
    return f"{label[:1].upper()}{label[1:]}{owner} [{plain(effect.key)}]"


def _owner(key: str, evaluation: Evaluation) -> str:
    section, name, inside = keys_in(key, evaluation.scenario)
    if not name:
        return ""
    shown = evaluation.scenario.build_name(name) if section == "builds" else name.replace("_", " ")
    entries = [f"entry {int(part) + 1}" for part in inside if part.isdigit()]
    return f", {', '.join([quoted(shown), *entries])}"


def _standing(effect: Effect) -> str:
    span = f"{significant(effect.low)} to {significant(effect.high)}{unit_words(effect.quantity)}"
    if effect.is_range and effect.written:
        return f"you gave it as {span}"
    return f"not in your file; the default is {STANDING[effect.quantity.status]}, tried from {span}"


def _months_words(months: float) -> str:
    return length(months) if math.isfinite(months) else "beyond the horizon"


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
