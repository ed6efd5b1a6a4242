"""One declaration per quantity: unit, label, plausible range, step, status, how to find it out.

The declaration belongs to a scenario field (declare.py). It checks what the file says, gives
the panel its slider, the report its label and the key reference its row.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache, lru_cache
from typing import Any, Literal, NamedTuple, TypeAlias

import numpy as np
from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from storagecalc.models.ranges import metalog_quantile, moved_ends

Status = Literal["sourced", "common practice", "guess", "choice"]
# A number or a Range as the file has it; an array once study/sampling.py has drawn it. It is Any,
# because a union of the three would ask every formula to say which of them it has.
Amount: TypeAlias = Any

RANGE_KEYS = ("low", "middle", "high")
# What people write instead: unit of the key -> (factor to that unit, the unit it looks like).
UNIT_SLIPS = {
    "TB": ((1e-3, "GB"), (1e-6, "MB"), (1e3, "PB")),
    "GB": ((1e-3, "MB"), (1e3, "TB")),
    "Mbit/s": ((8.0, "MB/s"), (1e3, "Gbit/s"), (1e-3, "kbit/s")),
    "Gbit/s": ((1e-3, "Mbit/s"), (8.0, "GB/s")),
    "MB/s": ((1e3, "GB/s"), (0.125, "Mbit/s")),
    "months": ((12.0, "years"), (12 / 365, "days")),
    "years": ((1 / 12, "months"), (1 / 365, "days")),
    "h": ((24.0, "days"), (1 / 60, "minutes")),
    "mm": ((10.0, "cm"), (25.4, "inches"), (1000.0, "m")),
    "m": ((1e-3, "mm"), (1e-2, "cm")),
    "W": ((1e3, "kW"), (1e-3, "mW")),
    "kg": ((1e-3, "g"),),
    "dBA": ((10.0, "bels"),),
    "ms": ((1e3, "s"),),
}


@dataclass(frozen=True, slots=True)
class Range:
    """A guess with its doubt: one in ten below low, one in ten above high."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """What a scenario key means.

    Parameters
    ----------
    label
        What people call it, in lower case.
    unit
        Unit in words or symbols; ``fraction`` for a share from 0 to 1.
    lowest, highest
        Plausible range, both ends included; it catches slips of the unit and bounds the draws.
    step
        One notch of a slider.
    find_out
        How a studio finds its own value.
    status
        Where a default comes from; ``choice`` for what the studio decides and does not estimate.
    whole
        True for things one counts.
    floor
        What is above 0 and below this may be written, but is asked about: of a price or a limit of
        money it is more likely thousands.
    """

    label: str
    unit: str
    lowest: float
    highest: float
    step: float
    find_out: str
    status: Status = "guess"
    whole: bool = False
    floor: float = 0

    @property
    def choice(self) -> bool:
        """Whether the studio decides it and does not estimate it."""
        return self.status == "choice"

    @property
    def takes_range(self) -> bool:
        """Whether it may be a range: what one counts or decides is one number."""
        return not (self.whole or self.choice)

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Let pydantic check the field with this declaration."""
        del source, handler
        return core_schema.no_info_plain_validator_function(self.checked)

    def checked(self, value: Any) -> Amount:
        """The value as float, int or Range.

        Raises
        ------
        PydanticCustomError
            With a sentence that says the rule and, where it can, what was meant.
        """
        if isinstance(value, Range):
            value = asdict(value)
        if isinstance(value, dict):
            return self._range(value)
        number = self._number(value)
        if not self.whole:
            return number
        if number != math.floor(number):
            self._refuse(f"must be a whole number {self.span}")
        return int(number)

    def holds(self, number: float) -> bool:
        """Whether a number may be written for it, whatever it is likely to mean."""
        whole = not self.whole or number == math.floor(number)
        return whole and self.lowest <= number <= self.highest

    @property
    def span(self) -> str:
        """The plausible range in words."""
        unit = self.unit.removeprefix("fraction").removeprefix("money").strip()
        return f"from {self.lowest:,.10g} to {self.highest:,.10g} {unit}".rstrip()

    def quantile(self, y: Any, spread: Range) -> Any:
        """The value below which a share ``y`` (0 to 1) of the futures lie.

        Bounded by the plausible range on both sides, so that no draw leaves what a file may say.

        Returns
        -------
        float or array
            In the quantity's unit, in the shape of ``y``.
        """
        return metalog_quantile(
            y,
            low=spread.low,
            middle=spread.middle,
            high=spread.high,
            lower_bound=self.lowest,
            upper_bound=self.highest,
        )

    def moved(self, spread: Range, to_middle: float) -> Range:
        """The range gone along with its middle, which stays inside the plausible range."""
        low, high = moved_ends(
            low=spread.low,
            middle=spread.middle,
            high=spread.high,
            to_middle=to_middle,
            lower_bound=self.lowest,
            upper_bound=self.highest,
        )
        return Range(low, to_middle, high)

    def _number(self, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self._refuse(f"must be a number {self.span}, written without quotes")
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            self._refuse(f"must be a finite number {self.span}")
        if not self.lowest <= number <= self.highest:
            self._refuse(f"must be {self.span}{self._meant(number)}")
        return number

    def _range(self, value: dict[str, Any]) -> Range:
        if not self.takes_range:
            kind = "something one counts" if self.whole else "a choice of yours"
            self._refuse(f"is {kind}: write one number, not a range")
        unknown = [key for key in value if key not in RANGE_KEYS]
        missing = [key for key in RANGE_KEYS if key not in value]
        if unknown or missing:
            self._refuse("must be one number, or a range { low = ..., middle = ..., high = ... }")
        spread = Range(*self._ends(value))
        try:
            self._fitted(spread)
        except ValueError as reason:
            rule = str(reason).replace("lower_bound ", "").replace("upper_bound ", "")
            self._refuse(f"is a range that no curve fits: {rule}")
        return spread

    def _ends(self, value: dict[str, Any]) -> list[float]:
        """The numbers of a range; what is wrong with each is told at once."""
        numbers, wrong = [], []
        for key in RANGE_KEYS:
            try:
                numbers.append(self._number(value[key]))
            except PydanticCustomError as reason:
                wrong.append(f"{key} {reason.message()}")
        if wrong:
            self._refuse("; ".join(wrong))
        return numbers

    @lru_cache(maxsize=512)  # noqa: B019 - declarations live as long as the program
    def _fitted(self, spread: Range) -> None:
        """Raises where no curve fits; moving one slider leaves all other ranges as they are."""
        self.quantile(0.5, spread)

    def _meant(self, number: float) -> str:
        if self.unit == "fraction" and self.lowest <= number / 100 <= self.highest:
            return f"; did you mean {number / 100:g}? ({number:g} % is written {number / 100:g})"
        for factor, other in UNIT_SLIPS.get(self.unit, ()):
            meant = number * factor
            if self.lowest <= meant <= self.highest:
                return f"; did you write {other}? {number:g} {other} is {meant:g} {self.unit}"
        return ""

    def _refuse(self, rule: str) -> None:
        # Braces would be read as fields of pydantic's message template.
        raise PydanticCustomError("quantity", "{rule}", {"rule": rule})


def quantiles(shares: Any, ranges: Sequence[tuple[Quantity, Range]]) -> Any:
    """``Quantity.quantile`` for several ranges at once.

    Returns
    -------
    array
        Shape (ranges, futures) like ``shares``, each row in the unit of its quantity.
    """
    rows = [
        (spread.low, spread.middle, spread.high, quantity.lowest, quantity.highest)
        for quantity, spread in ranges
    ]
    low, middle, high, lowest, highest = np.array(rows).T[..., np.newaxis]
    return metalog_quantile(
        shares, low=low, middle=middle, high=high, lower_bound=lowest, upper_bound=highest
    )


class Table(BaseModel):
    """A table of the scenario file: frozen, and no unknown key passes."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


@cache
def declared(table: type[BaseModel], field: str) -> Quantity | None:
    """The declaration of a field, or None where the field is no quantity."""
    found = [item for item in table.model_fields[field].metadata if isinstance(item, Quantity)]
    return found[0] if found else None


def words_of(table: type[BaseModel], field: str) -> tuple[str, str]:
    """What a key is, and how to find out or what to write; empty where nobody has said."""
    quantity = declared(table, field)
    if quantity is not None:
        return quantity.label, quantity.find_out
    info = table.model_fields[field]
    return info.title or "", info.description or ""


class Entry(NamedTuple):
    """One quantity of a scenario: dotted key, declaration, value, and whether the file gives it."""

    key: str
    quantity: Quantity
    value: Amount
    written: bool


def entries(table: BaseModel, prefix: str = "") -> list[Entry]:
    """Every quantity of a scenario in file order, depth first."""
    found: list[Entry] = []
    _collect(table, prefix, found)
    return found


def _collect(table: BaseModel, prefix: str, found: list[Entry]) -> None:
    written, values = table.model_fields_set, table.__dict__
    for field, quantity in _fields(type(table)):
        value = values[field]
        if value is None:
            continue
        if quantity is None:
            for name, child in children(value):
                _collect(child, f"{prefix}{field}.{name}." if name else f"{prefix}{field}.", found)
        else:
            found.append(Entry(prefix + field, quantity, value, field in written))


@cache
def _fields(table: type[BaseModel]) -> tuple[tuple[str, Quantity | None], ...]:
    return tuple((field, declared(table, field)) for field in table.model_fields)


def children(value: Any) -> Iterator[tuple[str, BaseModel]]:
    """The tables below a field: itself, or those of a mapping or list, with their names."""
    named = {"": value} if isinstance(value, BaseModel) else value
    if isinstance(named, tuple):
        named = dict(enumerate(named))
    if isinstance(named, dict):
        yield from ((str(k), v) for k, v in named.items() if isinstance(v, BaseModel))


def with_values(table: Any, values: Mapping[str, Any]) -> Any:
    """The same table with the quantities named by dotted key replaced; nothing is checked again."""
    if isinstance(table, BaseModel):
        return table.model_copy(update=_changed(_by_field(values), table.__dict__))
    if isinstance(table, dict):
        return {**table, **_changed(_by_name(values, table), table)}
    parts = {str(place): part for place, part in enumerate(table)}
    return tuple({**parts, **_changed(_by_name(values, parts), parts)}.values())


def _changed(values: Mapping[str, Any], parts: Mapping[str, Any]) -> dict[str, Any]:
    """The parts of a table that are replaced: values by what is left of their keys, by part."""
    return {
        name: below[""] if "" in below else with_values(parts[name], below)
        for name, below in values.items()
        if name in parts
    }


def _by_field(values: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Values by the first part of their keys: no field has a dot in its name."""
    found: dict[str, dict[str, Any]] = {}
    for key, value in values.items():
        field, _, rest = key.partition(".")
        found.setdefault(field, {})[rest] = value
    return found


def _by_name(values: Mapping[str, Any], names: Iterable[str]) -> dict[str, dict[str, Any]]:
    """The same where names may hold dots themselves, so that a key cannot be split at them."""
    found = {}
    for name in names:
        start = f"{name}."
        below = {k.removeprefix(start): v for k, v in values.items() if k.startswith(start)}
        if below:
            found[name] = below
    return found


def middle(value: Any) -> float:
    """The middle of a range, or the number itself."""
    return float(value.middle if isinstance(value, Range) else value)


def upper(value: Any) -> float:
    """The high end of a range, or the number itself."""
    return float(value.high if isinstance(value, Range) else value)
