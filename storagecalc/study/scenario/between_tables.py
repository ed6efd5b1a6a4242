"""Rules between the tables of a scenario, read from the raw file.

So that what breaks them is told together with what is wrong inside a table.
"""

import contextlib
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any, TypeAlias

from pydantic_core import PydanticCustomError

from storagecalc.study.scenario.drives import DriveClass
from storagecalc.study.scenario.nearest import nearest
from storagecalc.study.scenario.quantity import declared, middle
from storagecalc.study.scenario.scenario import HORIZON_MONTHS, Scenario

RawTable: TypeAlias = Mapping[Any, Any]
# Dotted key, what stands there, and the rule it breaks.
Breach: TypeAlias = tuple[str, Any, str]


def breaches(raw: RawTable) -> Iterator[Breach]:
    """Every rule between tables that the raw file breaks."""
    yield from _nameless(raw)
    yield from _dangling(raw)
    yield from _date_breaches(raw)
    yield from _repeated_names(raw)
    yield from _swaps_for_nothing(raw)
    yield from _other_boxes(raw)
    yield from _unplanned(raw)


def _nameless(raw: RawTable) -> Iterator[Breach]:
    for section in raw:
        if any(not name.strip() for name, _ in _tables(raw.get(section))):
            yield section, None, "has a table without a name; give it one"


def _dangling(raw: RawTable) -> Iterator[Breach]:
    for key, name, section in _references(raw):
        known = [each for each, _ in _tables(raw.get(section))]
        also = ["deleted"] if key.endswith("rest_goes_to") else []
        if isinstance(name, str) and name not in known + also:
            nothing = f"none is there; write a table [{section}.NAME]"
            listed = ", ".join(f"{each:.40}" for each in known[:12]) or nothing
            either = "".join(f'"{each}" or ' for each in also)
            rule = f"must be {either}one of [{section}]: {listed}{nearest(name, known + also)}"
            yield key, name, rule
    builds = dict(_tables(raw.get("builds")))
    for key, _ in _tables(raw.get("options")):
        if key in builds:
            yield f"options.{key}", None, "has the name of a build; choose another"
    remedy = _table(raw.get("remedy"))
    if remedy.get("next_build") is None and remedy.get("kind", "next box") == "next box":
        rule = "must name the build to buy when one is full, unless remedy.kind is another"
        yield "remedy.next_build", None, rule


def _references(raw: RawTable) -> Iterator[tuple[str, Any, str]]:
    """Every key that names a table: the dotted key, the name, and the section it must be in."""
    for key, build in _tables(raw.get("builds")):
        for field in ("drives", "swap_to"):
            yield f"builds.{key}.{field}", build.get(field), "drives"
        for field in ("starts_in", "drives_from"):
            yield f"builds.{key}.{field}", build.get(field), "owned"
        yield from _listed(f"builds.{key}.keeps", build.get("keeps"), "owned")
    for key, owned in _tables(raw.get("owned")):
        yield f"owned.{key}.drives", owned.get("drives"), "drives"
    for key, option in _tables(raw.get("options")):
        yield f"options.{key}.build", option.get("build"), "builds"
        yield f"options.{key}.to", option.get("to"), "elsewhere"
    for key, work in _tables(raw.get("work")):
        yield f"work.{key}.keep", work.get("keep"), "keep"
    for key, rule in _tables(raw.get("keep")):
        yield f"keep.{key}.rest_goes_to", rule.get("rest_goes_to"), "elsewhere"
        for number, step in _tables(rule.get("steps")):
            where = f"keep.{key}.steps.{number}.rest_goes_to"
            yield where, step.get("rest_goes_to"), "elsewhere"
    for key, cost in _tables(raw.get("costs")):
        yield from _listed(f"costs.{key}.builds", cost.get("builds"), "builds")
    for key, shortage in _tables(raw.get("shortages")):
        yield from _listed(f"shortages.{key}.drives", shortage.get("drives"), "drives")
    yield "remedy.next_build", _table(raw.get("remedy")).get("next_build"), "builds"


def _listed(key: str, names: Any, section: str) -> Iterator[tuple[str, Any, str]]:
    for place, each in enumerate(names if isinstance(names, (list, tuple)) else ()):
        yield f"{key}.{place}", each, section


def _date_breaches(raw: RawTable) -> Iterator[Breach]:
    start, months = _day(raw.get("start_date")), _horizon_months(raw)
    if months is not None:
        yield from _headroom_breaches(_table(raw.get("needs")), months)
    if start is None or months is None:
        return
    end = start.year * 12 + start.month + months
    for key, work in _tables(raw.get("work")):
        ends = _day(work.get("end_date"))
        if ends is not None and ends <= start:
            yield f"work.{key}.end_date", ends, f"must be after the scenario's start_date, {start}"
        yield from _change_breaches(work, f"work.{key}", "the work", start, end)
    for key, cost in _tables(raw.get("costs")):
        yield from _cost_breaches(cost, f"costs.{key}.from_date", start, end)
    yield from _change_breaches(_table(raw.get("team")), "team", "the team", start, end)
    yield from _price_breaches(raw, start, end)


def _horizon_months(raw: RawTable) -> int | None:
    """The horizon as written or left out; None where the loader will refuse it."""
    declaration = declared(Scenario, "horizon_months")
    assert declaration is not None
    with contextlib.suppress(PydanticCustomError):
        return int(declaration.checked(raw.get("horizon_months", HORIZON_MONTHS)))
    return None


def _cost_breaches(cost: RawTable, key: str, start: date, end_month: int) -> Iterator[Breach]:
    day = _day(cost.get("from_date"))
    if day is not None and day < start.replace(day=1):
        yield key, day, f"must not be before the scenario's start_date, {start}"
    elif day is not None and day.year * 12 + day.month >= end_month:
        yield key, day, "lies after the last month looked at, so it would change nothing: remove it"


def _headroom_breaches(needs: RawTable, horizon_months: int) -> Iterator[Breach]:
    asked = needs.get("headroom_months")
    if isinstance(asked, (int, float)) and asked > horizon_months:
        rule = (
            f"must be at most horizon_months, which is {horizon_months}: raise the horizon, or ask"
            " for less"
        )
        yield "needs.headroom_months", asked, rule


def _change_breaches(
    changing: RawTable, where: str, what: str, start: date, end_month: int
) -> Iterator[Breach]:
    for number, change in _tables(changing.get("changes")):
        key = f"{where}.changes.{number}.from_date"
        day, instead = _day(change.get("from_date")), f"change {what} itself instead"
        yield from _later_breaches(key, day, start, end_month, instead)


def _price_breaches(raw: RawTable, start: date, end_month: int) -> Iterator[Breach]:
    """Shortages that do not lie ahead, and quotes that have run out."""
    for key, shortage in _tables(raw.get("shortages")):
        where, day = f"shortages.{key}.from_date", _day(shortage.get("from_date"))
        first, instead = day and day.replace(day=1), "today's prices are those of that month"
        for _, _, rule in _later_breaches(where, first, start, end_month, instead):
            yield where, day, rule
    holds = {"drives": "price_holds_until_date", "builds": "box_price_holds_until_date"}
    for section, field in holds.items():
        for key, table in _tables(raw.get(section)):
            day = _day(table.get(field))
            if day is not None and day < start.replace(day=1):
                rule = f"is before the scenario's start_date, {start}: the quote has run out"
                yield f"{section}.{key}.{field}", day, rule


def _later_breaches(
    key: str, day: date | None, start: date, end_month: int, instead: str
) -> Iterator[Breach]:
    if day is not None and day <= start:
        yield key, day, f"must be after the scenario's start_date, {start}; {instead}"
    elif day is not None and day.year * 12 + day.month >= end_month:
        yield key, day, "lies after the last month looked at, so it would change nothing: remove it"


def _repeated_names(raw: RawTable) -> Iterator[Breach]:
    seen: dict[str, str] = {}
    for section in ("builds", "options"):
        for key, table in _tables(raw.get(section)):
            name = table.get("name", key)
            name = name.strip().casefold() if isinstance(name, str) else ""
            where = f"{section}.{key}"
            if not name:
                yield f"{where}.name", name, "must not be empty"
            elif name in seen:
                yield f"{where}.name", name, f"is already the name of {seen[name]}; choose another"
            seen.setdefault(name, where)


def _swaps_for_nothing(raw: RawTable) -> Iterator[Breach]:
    sizes_tb = {key: _size_tb(table) for key, table in _tables(raw.get("drives"))}
    for key, build in _tables(raw.get("builds")):
        owned = _owned(raw, build.get("drives_from"))
        names = (build.get("swap_to"), build.get("drives"), owned.get("drives"))
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


def _other_boxes(raw: RawTable) -> Iterator[Breach]:
    """A build that goes on in a box it describes as another."""
    for key, build in _tables(raw.get("builds")):
        bays, own = _owned(raw, build.get("starts_in")).get("bays"), build.get("bays")
        if isinstance(bays, int) and isinstance(own, int) and bays != own:
            rule = f"must be {bays}, as in [owned.{build['starts_in']}], which it goes on in"
            yield f"builds.{key}.bays", own, rule


def _unplanned(raw: RawTable) -> Iterator[Breach]:
    """A best plan that starts from what nobody owns, or whose lack of space has no price."""
    kind = _table(raw.get("remedy")).get("kind")
    for key, build in _tables(raw.get("builds")):
        if build.get("plan") != "best":
            continue
        if kind == "early cull":
            rule = (
                'cannot be "best" where remedy.kind is "early cull": a plan weighs space against'
                " the price of holding footage elsewhere, month by month; choose another remedy"
            )
            yield f"builds.{key}.plan", "best", rule
        taken, asked = (
            _lot_drives(_owned(raw, build.get("drives_from"))),
            build.get("drives_at_first"),
        )
        if taken is not None and isinstance(asked, int) and asked > taken:
            rule = (
                f"must be at most {taken}, the drives of [owned.{build['drives_from']}]: a best"
                " plan begins with those and orders the others itself"
            )
            yield f"builds.{key}.drives_at_first", asked, rule


def _lot_drives(owned: RawTable) -> int | None:
    """Drives of all lots; None where there are none that can be counted."""
    counts = [lot.get("count") for _, lot in _tables(owned.get("lots"))]
    numbers = [count for count in counts if isinstance(count, int)]
    return sum(numbers) if numbers and len(numbers) == len(counts) else None


def _owned(raw: RawTable, name: Any) -> RawTable:
    """The table of an owned box; an empty one where there is none of that name."""
    return _table(_table(raw.get("owned")).get(name)) if isinstance(name, str) else {}


def _size_tb(drive_class: RawTable) -> float | None:
    """The size as written or the middle of its range; None where the loader will refuse it."""
    declaration = declared(DriveClass, "size_tb")
    assert declaration is not None
    with contextlib.suppress(PydanticCustomError):
        return middle(declaration.checked(drive_class.get("size_tb")))
    return None


def _tables(found: Any) -> Iterator[tuple[str, RawTable]]:
    """The tables in a section or in a list, with their names or numbers; none of anything else."""
    named = dict(enumerate(found)) if isinstance(found, (list, tuple)) else _table(found)
    yield from ((str(name), table) for name, table in named.items() if isinstance(table, Mapping))


def _table(found: Any) -> RawTable:
    return found if isinstance(found, Mapping) else {}


def _day(value: Any) -> date | None:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, str):  # a date in quotes is taken too, so it must not slip past
        with contextlib.suppress(ValueError):
            return date.fromisoformat(value)
    return value if isinstance(value, date) else None
