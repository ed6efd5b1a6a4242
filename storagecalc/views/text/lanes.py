"""Room against footage in words: the picture's title, key, labels, and all its dots."""

import itertools
import math
import unicodedata
from collections import Counter
from collections.abc import Sequence

from storagecalc.study.dates import month_date
from storagecalc.study.decision.needs import Standing
from storagecalc.study.decision.room import (
    FURTHER_BOX,
    OrderMark,
    Room,
    rooms,
    twenty_futures,
)
from storagecalc.study.decision.verdict import Verdict, paired_gap, verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.measures import end_month, not_before
from storagecalc.views.text.money import order_words
from storagecalc.views.text.numbers import (
    MONTH_NAMES,
    count,
    listed,
    met_of_hundred,
    money,
    month,
    plain,
    quoted,
    significant,
    tb,
)

LONGEST_LANE_NAME = 30
HALF = 10
FOOTAGE_HEAD = "Footage to be held"
MOST_HEAD = ("Most each build", "can hold: dashed")
FULL_MEANS = {
    "next box": "when it is full and needs a further box",
    "held elsewhere": "when it is full and the rest is held elsewhere",
    "early cull": "when it is full and work is deleted early",
}


def lanes_title(evaluation: Evaluation) -> str:
    """How long the recommended lasts, and its nearest other, on the basis of the dots."""
    found = verdict(evaluation)
    chosen, other = found.recommended.build, found.nearest_other
    first = _lasting(evaluation.scenario, chosen, whole=True)
    if other is None:
        return f"{quoted(chosen.name)} {first}."
    second = _lasting(evaluation.scenario, other, whole=False)
    if first.startswith(second):
        both = first.replace("lasts", "last", 1).replace("is full", "are full", 1)
        return f"{quoted(chosen.name)} and {quoted(other.name)} {both}."
    return f"{quoted(chosen.name)} {first}; {quoted(other.name)} {second}."


def _lasting(scenario: Scenario, build: BuildResult, *, whole: bool) -> str:
    """Until when it has room, in how many of the twenty futures; of how many, where asked."""
    dots = twenty_futures(build.capacity.headroom_months_by_draw)
    full, end = sum(map(math.isfinite, dots)), _end(scenario)
    if len(dots) == 1:
        where = " at the middle of every range" if whole else ""
        return f"{_full_words(scenario, dots[0], 'in') if full else f'lasts to {end}'}{where}"
    if not full:
        return f"lasts to {end} in all {'twenty futures' if whole else 'twenty'}"
    words, share = f"is full before {end}", full
    if full >= HALF:
        words, share = _full_words(scenario, dots[HALF - 1], "by"), HALF
    if dots[HALF - 1] <= 0:
        share = sum(dot <= 0 for dot in dots)
    if share == len(dots):
        return f"{words} in all {'twenty futures' if whole else 'twenty'}"
    return f"{words} in {count(share)}{' of twenty futures' if whole else ''}"


def _full_words(scenario: Scenario, months: float, preposition: str) -> str:
    if months <= 0:
        return "is full from the start"
    return f"is full {preposition} {month(month_date(scenario.start_date, months))}"


def _end(scenario: Scenario) -> str:
    """The end of the horizon: a year alone where that is its first month."""
    day = month_date(scenario.start_date, scenario.horizon_months)
    return str(day.year) if day.month == 1 else month(day)


def lanes_key(evaluation: Evaluation) -> str:
    """What dots and marks mean, in one sentence."""
    full = FULL_MEANS[evaluation.scenario.remedy.kind]
    dot = "Each dot is one of twenty futures"
    if not evaluation.draws:
        dot = "The dot is the middle of every range"
    box = ", □ a further box" if evaluation.scenario.remedy.kind == "next box" else ""
    return f"{dot}: {full}. ▲ is an order{box}."


def mark_keys(evaluation: Evaluation) -> tuple[str, str, str]:
    """What triangle, square and dot are, very short; nothing for a square that never comes."""
    box = FURTHER_BOX if evaluation.scenario.remedy.kind == "next box" else ""
    return "order", box, "full: one of 20 futures" if evaluation.draws else "full"


def lanes_summary(evaluation: Evaluation) -> str:
    """The picture in words, dot by dot: its text alternative."""
    found = verdict(evaluation)
    return rooms_in_words(evaluation, found, rooms(evaluation, found))


def rooms_in_words(evaluation: Evaluation, found: Verdict, told: Sequence[Room]) -> str:
    """The same, where the verdict and the rooms are at hand."""
    chosen = found.recommended.build
    held = chosen.capacity.held_tb_by_month
    ends = f"{tb(float(held.p50[-1]))} at the middle of every range"
    if evaluation.draws:
        ends = f"{tb(float(held.p10[-1]))} to {tb(float(held.p90[-1]))} in 8 of 10 futures"
    return " ".join(
        [
            f"Room against footage from {month(evaluation.scenario.start_date)} on. Footage held"
            f" by {quoted(chosen.name)} in the last month: {ends}.",
            *(_room_in_words(evaluation.scenario, room) for room in told),
        ]
    )


def _room_in_words(scenario: Scenario, room: Room) -> str:
    by_month = Counter(
        month(month_date(scenario.start_date, max(months, 0.0)))
        if math.isfinite(months)
        else not_before(scenario)
        for months in room.full_months
    )
    dots = len(room.full_months)
    full = ", ".join(
        f"{when} ({number} of {dots})" if dots > 1 else when for when, number in by_month.items()
    )
    marks = [mark_words(scenario, mark, dated=True) for mark in room.marks]
    orders = f" Orders: {', '.join(marks)}." if marks else ""
    most = _most_words(room.build)
    return f"{quoted(room.build.name)} holds at most {most}; full: {full}.{orders}"


def lane_name(build: BuildResult) -> str:
    """A name short enough for a lane, which keeps its own direction of writing."""
    name = plain(build.name)
    if len(name) > LONGEST_LANE_NAME:
        name = f"{name[: LONGEST_LANE_NAME - 1].rstrip(' ,')}…"
    return isolated(name)


def isolated(name: str) -> str:
    """A name that does not turn round what stands beside it, where it is written from the right."""
    turns = any(unicodedata.bidirectional(letter) in ("R", "AL", "AN") for letter in name)
    return f"\u2068{name}\u2069" if turns else name


def lane_cost(evaluation: Evaluation, found: Verdict, build: BuildResult) -> str:
    """What the recommended costs; what another costs more or less, future by future."""
    currency, chosen = evaluation.scenario.currency, found.recommended.build
    if build is chosen:
        return money(chosen.money.net_present_cost.mean, currency)
    gap = paired_gap(chosen, build).mean
    if abs(gap) < 0.5:
        return "costs the same"
    return f"{money(abs(gap), currency)} {'more' if gap > 0 else 'less'}"


def lane_needs(evaluation: Evaluation, standing: Standing, *, brief: bool = False) -> str:
    """In how many futures all needs are met at once."""
    if not standing.needs:
        return "no needs stated"
    if not evaluation.draws:
        return "meets all needs" if standing.meets_needs else "misses needs"
    share = met_of_hundred(standing.needs_met_fraction)
    end = "" if share.endswith("100") else " futures"
    return f"{'met' if brief else 'needs met'} in {share}{end}"


def not_full_head(scenario: Scenario, *, narrow: bool) -> tuple[str, ...]:
    """What stands above the dots that lie beyond the horizon, line by line."""
    if narrow:
        return ("not full", "before", short_month(scenario, scenario.horizon_months))
    return ("Not full before", f"{end_month(scenario)}:")


def dots_words(beyond: int, dots: int) -> str:
    """How many dots lie beyond the horizon; nothing where one stands for the middle."""
    return f"{beyond} of {dots}" if dots > 1 else ""


def mark_words(
    scenario: Scenario, mark: OrderMark, *, brief: bool = False, dated: bool = False
) -> str:
    """What is ordered; and when, where it is ordered at once or next, or a date is asked for."""
    counts = dict(mark.counts)
    if mark.month == 0 and len(counts) > 1:
        counts.pop("box", None)
    brief = brief and len(counts) == 1
    things = listed(_thing(what, number, brief=brief) for what, number in counts.items())
    if mark.month == 0:
        return f"{things} now"
    if mark.is_next or dated:
        by = "by " if mark.is_next else ""
        return f"{things} {by}{short_month(scenario, mark.month)}"
    return things


def _thing(what: str, number: int, *, brief: bool) -> str:
    if what == FURTHER_BOX:
        return what if number == 1 else f"{number} further boxes"
    if brief and what == "drives":
        return str(number)
    return order_words(what, number)


def short_month(scenario: Scenario, months: float) -> str:
    """A month of the calendar, short: Dec 2027."""
    day = month_date(scenario.start_date, months)
    return f"{MONTH_NAMES[day.month - 1][:3]} {day.year}"


def footage_notes(evaluation: Evaluation) -> tuple[str, str]:
    """Whose footage is drawn, and what the band is."""
    band = "in 8 of 10 futures" if evaluation.draws else "middle of every range"
    return "by the recommended,", band


def footage_label(evaluation: Evaluation) -> str:
    """The same in a few words beside the band itself."""
    return "footage, TB (8 of 10)" if evaluation.draws else "footage, TB"


def own_footage_label(build: BuildResult) -> tuple[str, str]:
    """Whose footage a dotted line is: an option's, or what is held without one; and its middle."""
    return lane_name(build) if build.alternative.habit else "without that option", ": median"


def most_label(
    builds: Sequence[BuildResult], others: Sequence[BuildResult], *, above: bool
) -> tuple[str, str]:
    """The most that a build, or several alike, can hold: whose, and how much.

    Several go by the words with which they all begin, where no other begins with them.
    """
    names, rest = [plain(build.name) for build in builds], [plain(each.name) for each in others]
    told = lane_name(builds[0])
    if len(builds) > 1:
        shared = _shared_start(names)
        told = f"{told} and {count(len(builds) - 1)} more"
        if " " in shared and not any(name.startswith(shared) for name in rest):
            told = f"{isolated(shared)} ({'both' if len(builds) == 2 else f'all {len(builds)}'})"
    return told, f": {_most_words(builds[0])}{', above this picture' if above else ''}"


def _most_words(build: BuildResult) -> str:
    """The most that a build can hold itself, with a word of what it keeps beside that."""
    most = tb(float(build.capacity.full_ladder.plannable_tb))
    stays = any(each.stays_months for each in build.capacity.kept)
    return f"{most} beside what stays" if stays else most


def _shared_start(names: Sequence[str]) -> str:
    """The whole words with which all names begin, without what divides them from the rest."""
    split = [name.split(" ") for name in names]
    same = itertools.takewhile(
        lambda words: len({word.rstrip(",:") for word in words}) == 1, zip(*split, strict=False)
    )
    return " ".join(words[0] for words in same).rstrip(" ,:;-–")[:LONGEST_LANE_NAME]


def tick_words(value_tb: float, *, unit: bool) -> str:
    """A number at the axis of TB."""
    return tb(value_tb) if unit else significant(value_tb)
