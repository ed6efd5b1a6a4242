"""Numbers that may be read in two ways: 1.450 is one and a half, or one thousand and more."""

import re
from collections.abc import Iterator

from storagecalc.study.scenario.faults import Fault, Verbatim
from storagecalc.study.scenario.keys import table_at
from storagecalc.study.scenario.places import Place, Places
from storagecalc.study.scenario.quantity import RANGE_KEYS, Quantity, declared

# One mark and three digits behind it, as thousands are written in half of the world.
MARKED = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
PLAIN = re.compile(r"\d+(?:\.\d+)?")
# Whoever writes money to two decimals means them.
TO_THE_CENT = re.compile(r"\d+\.\d\d")
SMALL_NUMBERS = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"),
    "nineteen",
)
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def doubtful_numbers(places: Places) -> Iterator[Fault]:
    """Every number of a file of which two readings are plausible, or which cannot be meant."""
    for key, place in places.by_key.items():
        quantity = _quantity_at(place) if PLAIN.fullmatch(place.raw) else None
        rule = "" if quantity is None else _doubt(place.raw, quantity)
        if rule:
            yield Fault(key=key, value=Verbatim(place.raw), rule=rule, line=place.line)


def two_readings(raw: str, *, to_the_cent: bool = False) -> str:
    """The rule for a number with one mark before three digits: both readings, how to write each."""
    whole, decimals = re.split("[.,]", raw)
    value = float(f"{whole}.{decimals}")
    shown = f"{value:.2f}" if to_the_cent and value * 100 % 1 == 0 else f"{value:g}"
    return (
        f"may be read in two ways: write {whole}{decimals} for {spelled(whole + decimals)}, {shown}"
        f" for {spelled(f'{value:g}')}"
    )


def spelled(number: str) -> str:
    """A number below a million in words, as they are read out: 1450, 1.45."""
    whole, _, decimals = number.partition(".")
    words = _whole_words(int(whole))
    if not decimals:
        return words
    return " ".join([words, "point", *(SMALL_NUMBERS[int(digit)] for digit in decimals)])


def _whole_words(number: int) -> str:
    if number < 20:
        return SMALL_NUMBERS[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return TENS[tens - 2] + (f"-{SMALL_NUMBERS[ones]}" if ones else "")
    size, word = (1000, "thousand") if number >= 1000 else (100, "hundred")
    many, rest = divmod(number, size)
    words = f"{_whole_words(many)} {word}"
    if not rest:
        return words
    return f"{words}{' and' if rest < 100 else ''} {_whole_words(rest)}"


def _doubt(raw: str, quantity: Quantity) -> str:
    """What to say of a number as written; empty where it can only mean what it says."""
    value = float(raw)
    thousands = value * 1000 if MARKED.fullmatch(raw) else None
    money = quantity.unit == "money"
    too_little = 0 < value < quantity.floor
    if thousands is not None and quantity.holds(thousands):
        shown = raw.replace(".", "")
        if not quantity.holds(value):
            return f"must be {quantity.span}: write {shown} for {spelled(shown)}"
        if money or too_little or value < quantity.step:
            return two_readings(raw, to_the_cent=money)
    if not too_little or TO_THE_CENT.fullmatch(raw):
        return ""
    cents = f"{value:.2f}"
    exactly = f"write {cents} if it is {spelled(f'{float(cents):g}')}"
    if value == int(value) and quantity.holds(value * 1000):
        shown = f"{value * 1000:.0f}"
        return f"is very little for this: write {shown} for {spelled(shown)}; {exactly}"
    return f"is very little for this: {exactly}"


def _quantity_at(place: Place) -> Quantity | None:
    """The declaration of the number at a place, its own or that of its range."""
    way = place.way[:-1] if place.way[-1] in RANGE_KEYS else place.way
    table = table_at(way[:-1])
    return declared(table, way[-1]) if table is not None and way[-1] in table.model_fields else None
