"""The whole scenario, and the rules that reach across its tables."""

import contextlib
from collections.abc import Mapping
from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, field_validator
from pydantic_core import PydanticCustomError

from storagecalc.study.scenario.builds import Build, Filling
from storagecalc.study.scenario.copies import Copy
from storagecalc.study.scenario.declare import count, described, fraction
from storagecalc.study.scenario.drives import DriveClass, Rebuild
from storagecalc.study.scenario.footage import Archive, KeepRule, Team, Work
from storagecalc.study.scenario.needs import Needs
from storagecalc.study.scenario.network import Network
from storagecalc.study.scenario.options import Option
from storagecalc.study.scenario.prices import Prices, Running
from storagecalc.study.scenario.quantity import Amount, Table, declared, middle, nearest
from storagecalc.study.scenario.remedy import Remedy
from storagecalc.study.scenario.site import Place

# Where the file does not say: seven years, about the life of a box.
HORIZON_MONTHS = 84


class Scenario(Table):
    """One studio's question, checked. Made by ``load_scenario``, changed by ``varied``."""

    title: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)] = described(
        "what this is about", find_out="your words; the report begins with them"
    )
    currency: Annotated[
        str, StringConstraints(strip_whitespace=True, min_length=1, max_length=12)
    ] = described("currency of every price", find_out="a code or a sign of at most 12 characters")
    start_date: date = described(
        "first month", find_out="when you would buy; the day is set to the first"
    )
    horizon_months: int = count("months", 12, 240, step=12, default=HORIZON_MONTHS).named(
        "months looked ahead", find_out="how long the next box should serve, and a little more"
    )
    discount_rate_per_year: Amount = fraction(0, 0.4, step=0.01, default=0.06).named(
        "discount rate a year", find_out="the yearly interest of a loan"
    )
    prices_are: Literal["invented", "quoted", "a guess"] = described(
        "where the prices come from", find_out="be honest: the report repeats it", default="a guess"
    )
    tax: Literal["without VAT", "with VAT"] = described(
        "whether prices include tax",
        find_out="the quote; write all prices the same way",
        default="without VAT",
    )
    needs: Needs = Field(default_factory=Needs)
    work: dict[str, Work] = Field(min_length=1)
    keep: dict[str, KeepRule]
    team: Team = Field(default_factory=Team)
    elsewhere: dict[str, Archive] = Field(default_factory=dict)
    drives: dict[str, DriveClass] = Field(min_length=1)
    builds: dict[str, Build] = Field(min_length=1)
    options: dict[str, Option] = Field(default_factory=dict)
    copies: dict[str, Copy] = Field(default_factory=dict)
    network: Network = Field(default_factory=Network)
    place: Place = Field(default_factory=Place)
    filling: Filling = Field(default_factory=Filling)
    rebuild: Rebuild = Field(default_factory=Rebuild)
    prices: Prices = Field(default_factory=Prices)
    running: Running
    remedy: Remedy = Field(default_factory=Remedy)

    @field_validator("start_date")
    @classmethod
    def _first_of_month(cls, day: date) -> date:
        if not 2000 <= day.year <= 2100:
            raise ValueError(f"must be a day from 2000 to 2100, got {day}")
        return day.replace(day=1)

    def varied(self, changes: Mapping[str, Any]) -> "Scenario":
        """The scenario with some dotted keys changed, checked like a file.

        Parameters
        ----------
        changes
            New values by dotted key, for example ``{"builds.small.lead_time_months": 4}``.
            A number in a path picks from a list: ``work.films.changes.0.cameras``.

        Raises
        ------
        ScenarioError
            Where a key does not exist or a value breaks a rule.
        """
        from storagecalc.study.scenario.load import scenario_from, with_changes

        return scenario_from(
            with_changes(self.as_written(), changes), source="the changed scenario"
        )

    def as_written(self) -> dict[str, Any]:
        """The scenario as plain tables, with what the file gave and nothing it left out.

        Numbers, texts, dates, ranges as tables, lists: whatever a TOML file can hold.
        """
        return self.model_dump(exclude_unset=True, exclude_none=True)

    def build_of(self, key: str) -> str:
        """The key of the build itself, or of the one that an option is beside."""
        return self.options[key].build if key in self.options else key

    def build_name(self, key: str) -> str:
        """What a build or an option is called: its name, or one made of its key or habit."""
        if key in self.builds:
            return self.builds[key].name or key
        option = self.options[key]
        return option.name or option_name(option, self.build_name(option.build))


def option_name(option: Option, build_name: str) -> str:
    """What an option is called where the file gives it no name."""
    if option.move_off_after_months is not None:
        return f"{build_name}, moved off after {option.move_off_after_months} months"
    if option.cull_sooner_months is not None:
        return f"{build_name}, thinned {option.cull_sooner_months} months sooner"
    return f"{build_name}, smaller proxies"


def reference_faults(raw: Mapping[str, Any]) -> list[tuple[str, Any, str]]:
    """Rules between tables that the raw file breaks, as (key, value, rule).

    Reads the raw tables, so that these faults are told together with those inside a table.
    """
    found = list(_dangling(raw))
    found += list(_date_faults(raw))
    found += list(_repeated_names(raw))
    found += list(_swaps_for_nothing(raw))
    return found


def _dangling(raw: Mapping[str, Any]) -> Any:
    for key, build in _tables(raw, "builds"):
        for field in ("drives", "swap_to", "old_drives"):
            yield from _refers(raw, f"builds.{key}.{field}", build.get(field), "drives")
    for key, option in _tables(raw, "options"):
        yield from _refers(raw, f"options.{key}.build", option.get("build"), "builds")
        yield from _refers(raw, f"options.{key}.to", option.get("to"), "elsewhere")
        if key in dict(_tables(raw, "builds")):
            yield f"options.{key}", None, "has the name of a build; choose another"
    for key, work in _tables(raw, "work"):
        yield from _refers(raw, f"work.{key}.keep", work.get("keep"), "keep")
    for key, rule in _tables(raw, "keep"):
        if rule.get("rest_goes_to") not in (None, "deleted"):
            where = f"keep.{key}.rest_goes_to"
            yield from _refers(raw, where, rule["rest_goes_to"], "elsewhere", also='"deleted" or ')
        for number, step in enumerate(_list(rule.get("steps"))):
            place = step.get("rest_goes_to") if isinstance(step, Mapping) else None
            if place not in (None, "deleted"):
                where = f"keep.{key}.steps.{number}.rest_goes_to"
                yield from _refers(raw, where, place, "elsewhere", also='"deleted" or ')
    given = raw.get("remedy")
    remedy: Mapping[str, Any] = given if isinstance(given, Mapping) else {}
    chosen = remedy.get("next_build")
    if chosen is not None:
        yield from _refers(raw, "remedy.next_build", chosen, "builds")
    elif remedy.get("kind", "next box") == "next box":
        needed = "must name the build to buy when one is full, unless kind is another"
        yield "remedy.next_build", None, needed


def _refers(raw: Mapping[str, Any], key: str, name: Any, section: str, also: str = "") -> Any:
    known = [k for k, _ in _tables(raw, section)]
    if isinstance(name, str) and name not in known:
        listed = ", ".join(f"{k:.40}" for k in known[:12]) or "none is there"
        rule = f"must be {also}one of [{section}]: {listed}{nearest(name, known)}"
        yield key, name, rule


def _date_faults(raw: Mapping[str, Any]) -> Any:
    start, months = _day(raw.get("start_date")), raw.get("horizon_months", HORIZON_MONTHS)
    if start is None or isinstance(months, bool) or not isinstance(months, int):
        return
    end = start.year * 12 + start.month + months
    for key, work in _tables(raw, "work"):
        ends = _day(work.get("end_date"))
        if ends is not None and ends <= start:
            yield (
                f"work.{key}.end_date",
                ends,
                f"must be later than the scenario's start_date, {start}",
            )
        yield from _change_faults(work, f"work.{key}", "the work", start, end)
    team = raw.get("team")
    if isinstance(team, Mapping):
        yield from _change_faults(team, "team", "the team", start, end)


def _change_faults(
    changing: Mapping[str, Any], where: str, what: str, start: date, end_month: int
) -> Any:
    for number, change in enumerate(_list(changing.get("changes"))):
        day = _day(change.get("from_date")) if isinstance(change, Mapping) else None
        key = f"{where}.changes.{number}.from_date"
        if day is not None and day <= start:
            rule = f"must be later than the scenario's start_date, {start}; change {what} itself instead"
            yield key, day, rule
        elif day is not None and day.year * 12 + day.month >= end_month:
            yield (
                key,
                day,
                "lies after the last month looked at, so it would change nothing: remove it",
            )


def _repeated_names(raw: Mapping[str, Any]) -> Any:
    seen: dict[str, str] = {}
    for section in ("builds", "options"):
        for key, table in _tables(raw, section):
            name = table.get("name", key)
            name = name.strip().casefold() if isinstance(name, str) else ""
            where = f"{section}.{key}"
            if not name:
                yield f"{where}.name", name, "must not be empty"
            elif name in seen:
                yield f"{where}.name", name, f"is already the name of {seen[name]}; choose another"
            seen.setdefault(name, where)


def _swaps_for_nothing(raw: Mapping[str, Any]) -> Any:
    sizes_tb = {key: _size_tb(table) for key, table in _tables(raw, "drives")}
    for key, build in _tables(raw, "builds"):
        names = (build.get(field) for field in ("swap_to", "drives", "old_drives"))
        larger_tb, *replaced_tb = (
            sizes_tb.get(name) if isinstance(name, str) else None for name in names
        )
        smallest_tb = min((tb for tb in replaced_tb if tb is not None), default=None)
        if larger_tb is not None and smallest_tb is not None and larger_tb <= smallest_tb:
            rule = (
                f"must be a class of larger drives: these have {larger_tb:g} TB, the smallest of"
                f" those they would replace {smallest_tb:g} TB"
            )
            yield f"builds.{key}.swap_to", build["swap_to"], rule


def _size_tb(drive_class: Mapping[str, Any]) -> float | None:
    """The size as written or the middle of its range; None where the loader will refuse it."""
    declaration = declared(DriveClass, "size_tb")
    assert declaration is not None
    with contextlib.suppress(PydanticCustomError):
        return middle(declaration.checked(drive_class.get("size_tb")))
    return None


def _tables(raw: Mapping[str, Any], section: str) -> list[tuple[str, Mapping[str, Any]]]:
    found = raw.get(section)
    if not isinstance(found, Mapping):
        return []
    return [(str(key), value) for key, value in found.items() if isinstance(value, Mapping)]


def _day(value: Any) -> date | None:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, str):  # a date in quotes is taken too, so it must not slip past
        with contextlib.suppress(ValueError):
            return date.fromisoformat(value)
    return value if isinstance(value, date) else None


def _list(value: Any) -> list[Any]:
    return list(value) if isinstance(value, (list, tuple)) else []
