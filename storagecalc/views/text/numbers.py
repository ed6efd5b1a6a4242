"""Numbers in words: few digits, units always, chances as "5 in 100,000"."""

import math
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date
from functools import lru_cache

LONGEST_NAME = 60
LONGEST_SHORT, MOST_NAME_WORDS = 30, 6
LONGEST_TITLE = 100
MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
SMALL_COUNTS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip
# Units as they follow a 1; those that are not here do not change.
SINGULAR = {
    "bays": "bay",
    "boxes": "box",
    "bytes": "byte",
    "cameras": "camera",
    "copies": "copy",
    "days": "day",
    "drives": "drive",
    "jobs": "job",
    "months": "month",
    "people": "person",
    "shelves": "shelf",
    "stills": "still",
    "streams": "stream",
    "years": "year",
}
# Half of the smallest coin there is.
LEAST_MONEY = 0.005
# What chances are counted in: the first that will do for all of a page.
DENOMINATORS = (100, 1_000, 10_000, 100_000)
FINEST = DENOMINATORS[-1]
RARE_PROBABILITY = 1 / FINEST
RARE_WORDS = f"fewer than 1 in {FINEST:,}"


@lru_cache(maxsize=500)
def plain(name: str, longest: int = LONGEST_NAME) -> str:
    """A name as harmless text: one line, no control or direction marks, not too long."""
    kept = "".join(char if unicodedata.category(char)[0] not in "CZ" else " " for char in name)
    words = " ".join(kept.split())
    return words if len(words) <= longest else f"{words[: longest - 1]}…"


def quoted(name: str) -> str:
    """A name as harmless text, in quotation marks."""
    return f"“{plain(name)}”"


def cut(name: str, longest: int = LONGEST_SHORT) -> str:
    """A name as harmless text, no longer than there is room for."""
    words = plain(name)
    return words if len(words) <= longest else f"{words[: longest - 1].rstrip()}…"


def short(name: str) -> str:
    """The same in quotation marks, and of few words, for sentences with little room."""
    whole = plain(name)
    words = whole.split()
    if len(words) <= MOST_NAME_WORDS and len(whole) <= LONGEST_SHORT:
        return quoted(whole)
    # A copy of a build often differs by its last word.
    start, last = words[: MOST_NAME_WORDS - 1], words[-1]
    while start and len(f"{' '.join(start)}… {last}") > LONGEST_SHORT:
        start.pop()
    return quoted(f"{' '.join(start).rstrip(' ,;:')}… {last}" if start else cut(whole))


def chart_name(name: str) -> str:
    """A name for a chart, whose library would read angle brackets as markup."""
    return plain(name).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def significant(value: float, digits: int = 3) -> str:
    """A number with so many significant digits, thousands separated: 1,230 or 0.0412."""
    if not math.isfinite(value):
        return "never" if value > 0 else "at once"
    if value == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    shown = f"{round(value, places):,.{max(places, 0)}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def in_unit(shown: str, unit: str) -> str:
    """A finished number with its unit: 2 streams, 1 stream."""
    return f"{shown} {SINGULAR.get(unit, unit) if shown == '1' else unit}"


def tb(value: float, digits: int = 3) -> str:
    """Decimal terabytes."""
    return f"{significant(value, digits)} TB"


def money(value: float, currency: str, digits: int = 3) -> str:
    """An amount to three digits: precise enough to decide, honest about the rest."""
    worth_telling = value if abs(value) >= LEAST_MONEY else 0.0
    return f"{plain(currency)} {significant(worth_telling, digits)}"


def percent(fraction: float) -> str:
    """A share in a hundred."""
    return f"{significant(fraction * 100, 2)} %"


def of_hundred(fraction: float) -> str:
    """A share of futures, to stand before "futures": 86 of 100; all or no where it is so."""
    if fraction in (0.0, 1.0):
        return "all" if fraction else "no"
    if not 0.005 <= fraction < 0.995:
        return "more than 99 of 100" if fraction > 0.5 else "fewer than 1 of 100"
    return f"{round(fraction * 100)} of 100"


def met_hundredths(fraction: float) -> int:
    """In how many of a hundred futures a need is met: never rounded up to what is asked.

    Examples
    --------
    >>> met_hundredths(0.797), met_hundredths(0.8)
    (79, 80)
    """
    return math.floor(fraction * 100 + 1e-9)


def met_of_hundred(fraction: float) -> str:
    """The same to stand before "futures"; all or no where it is so."""
    if 0.0 < fraction < 0.01:
        return "fewer than 1 of 100"
    return of_hundred(met_hundredths(fraction) / 100 if fraction < 0.99 else fraction)


def rounded_parts(parts: Sequence[float], total: float, digits: int = 3) -> list[float]:
    """Parts rounded alike so that they add up to the rounded total.

    Where rounding each by itself leaves a step too many or too few, the parts that lose least by
    it take the step.
    """
    if not total:
        return list(parts)
    step = 10.0 ** (math.floor(math.log10(abs(total))) - digits + 1)
    steps = [math.floor(part / step) for part in parts]
    missing = round(total / step) - sum(steps)
    by_rest = sorted(range(len(parts)), key=lambda place: steps[place] - parts[place] / step)
    for place in by_rest[:missing]:
        steps[place] += 1
    return [count * step for count in steps]


def shared_denominator(chances: Iterable[float]) -> int:
    """What all chances of a page are counted in: the least that does not blur them.

    With it none that can be counted at all is fewer than one, and none that differ in their first
    two digits read alike. The finest there is where nothing coarser will do.
    """
    told = [probability for probability in chances if probability > 0]

    def count_apart(denominator: int) -> int:
        return len({chance(probability, denominator) for probability in told})

    return next(
        denominator
        for denominator in DENOMINATORS
        if denominator == FINEST
        or (
            not any(_is_under_one(probability, denominator) for probability in told)
            and count_apart(denominator) == count_apart(FINEST)
        )
    )


def chance(probability: float, denominator: int) -> str:
    """A chance as "5 in 100,000", to two digits of it or of its opposite, whichever is less."""
    if probability <= 0:
        return "none by this model"
    if _is_under_one(probability, denominator):
        return f"fewer than 1 in {denominator:,}"
    if probability < 1 and _is_under_one(1 - probability, denominator):
        return f"more than {denominator - 1:,} in {denominator:,}"
    number = _two_digits(probability * denominator)
    if 0.5 < probability < 1:
        number = denominator - _two_digits((1 - probability) * denominator)
    return f"{number:,} in {denominator:,}"


def exact_chance(probability: float, denominator: int) -> str:
    """A chance that is asked for, or missed, in parts of one where it has them: 0.5 in 1,000."""
    return f"{significant(probability * denominator)} in {denominator:,}"


def _is_under_one(probability: float, denominator: int) -> bool:
    return round(probability * denominator, 9) < 1


def _two_digits(number: float) -> int:
    """A number from 1 on, whole and with at most two digits before the zeros."""
    step = 10 ** max(math.floor(math.log10(number)) - 1, 0)
    return math.floor(number / step + 0.5) * step


def length(months: float) -> str:
    """A number of months in years and months."""
    years, rest = divmod(round(months), 12)
    parts = [in_unit(str(years), "years")] if years else []
    parts += [in_unit(str(rest), "months")] if rest or not years else []
    return " and ".join(parts)


def month(day: date) -> str:
    """A month of the calendar: March 2029."""
    return f"{MONTH_NAMES[day.month - 1]} {day.year}"


def count(number: int) -> str:
    """A whole number, in words up to twelve."""
    return SMALL_COUNTS[number] if 0 <= number < len(SMALL_COUNTS) else f"{number:,}"


def years_span(months: int) -> str:
    """The horizon in words: seven years, or 90 months."""
    if months % 12:
        return in_unit(str(months), "months")
    return "one year" if months == 12 else f"{count(months // 12)} years"


def listed(words: Iterable[str]) -> str:
    """Words joined as a sentence has them: a, b and c."""
    items = list(words)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def series(values: Sequence[float]) -> list[float | None]:
    """Numbers for a chart: four digits are more than a screen can show; None leaves a gap."""
    # One format for all of them at once: a slider's move waits for this.
    shown = map(float, ("%.4g " * len(values) % tuple(values)).split())
    return [number if math.isfinite(number) else None for number in shown]
