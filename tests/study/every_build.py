"""Builds of every shape, drawn by a fixed seed: most fit, many cannot be built."""

import random
from collections.abc import Iterator
from typing import Any

from study.small import SMALL, owned

from storagecalc.models.layouts import REDUNDANCIES

# Classes beside the ten of the small studio: smaller and owned, larger, and no longer sold.
TEN = SMALL["drives"]["ten"]
CLASSES = {
    "ten": TEN,
    "four": {**TEN, "size_tb": 4, "service_life_years": 3},
    "twenty": {**TEN, "size_tb": {"low": 12, "middle": 20, "high": 24}},
    "ending": {**TEN, "available_until_date": "2027-09-01"},
}
# Boxes that are owned: as good as new, with drives of two ages, full of worn-out ones, and mirrors.
OWNED = {
    "new": owned((4, 0), redundancy="single parity", box_age_years=0, bays=4),
    "mixed": owned((1, {"low": 1, "middle": 2, "high": 2.8}), (3, 9.5), redundancy="double parity",
                   hot_spares=0, box_age_years=9),
    "worn out": owned((3, 9), drives="four", box_age_years=12, bays=12),
    "a.b": owned((6, 1), drives="four", redundancy="striped mirrors", box_age_years=9.7, bays=7),
}  # fmt: skip
REMEDIES = ("next box", "next box", "next box", "held elsewhere", "early cull")
# Where growth is no word, it is by groups of so many.
GROWTHS = ("one drive", "one drive", "whole pools", "swapping", 2, 2, 3, 4, 5, 6, 8, 24)
MEMBERS = {"mirror": (2, 2, 3, 9, 10), "striped mirrors": (2, 4, 6, 10, 11)}
HABITS = (
    {"move_off_after_months": 6, "to": "shelf"},
    {"cull_sooner_months": 3},
    {"proxies_and_exports_fraction": 0.1},
)


def builds(count: int, *, seed: int) -> Iterator[dict[str, Any]]:
    """Tables of builds, the same for the same seed."""
    chance, planning = random.Random(seed), random.Random(f"plans {seed}")
    return (_perhaps_planned(_build(chance), planning) for _ in range(count))


def studio(tables: list[dict[str, Any]], *, seed: int) -> dict[str, Any]:
    """The small studio with these builds, one of them the next box, and perhaps an option."""
    chance = random.Random(seed)
    named = {f"b{number}": table for number, table in enumerate(tables)}
    remedy: dict[str, Any] = {"kind": chance.choice(REMEDIES)}
    if remedy["kind"] == "early cull" and any(table.get("plan") == "best" for table in tables):
        remedy["kind"] = "held elsewhere"
    if remedy["kind"] == "next box":
        remedy["next_build"] = chance.choice(list(named))
    work = {**SMALL["work"]["shoots"], "shoot_days_per_month": chance.choice((1, 10, 31))}
    habits = chance.sample(HABITS, chance.choice((0, 0, 1, 3)))
    return {
        **SMALL,
        "horizon_months": chance.choice((12, 24, 48)),
        "needs": {"headroom_months": 12, "loss_probability": 0.01, "upfront_cost": 4000},
        "work": {"shoots": {**work, "growth_per_year": {"low": -0.2, "middle": 0, "high": 0.3}}},
        "keep": {"all": {"steps": [{"after_months": 9, "keep_fraction": 0.7}]}},
        "elsewhere": {"shelf": {"price_per_tb_month": 1}},
        "drives": CLASSES,
        "owned": OWNED,
        "builds": named,
        "options": {
            f"o{number}": {"build": chance.choice(list(named)), **habit}
            for number, habit in enumerate(habits)
        },
        "remedy": remedy,
    }


def _build(chance: random.Random) -> dict[str, Any]:
    redundancy, grows_by = chance.choice(REDUNDANCIES), chance.choice(GROWTHS)
    hot_spares = chance.choice((0, 0, 0, 1, 2))
    bays, first = _bays_and_first(chance, redundancy, 36)
    table = {
        **SMALL["builds"]["box"],
        "drives": chance.choice(("ten", "ten", "ten", "ending")),
        "redundancy": redundancy,
        "bays": bays,
        "drives_at_first": min(first + hot_spares, bays),
        "hot_spares": hot_spares,
        "cold_spares": chance.choice((0, 0, 1)),
        "lead_time_months": chance.choice((0, 2, {"low": 1, "middle": 3, "high": 9})),
        "order_at_fraction": chance.choice((0.2, 0.8, 1)),
    }
    in_groups = isinstance(grows_by, int)
    table |= {"grows_by": "groups", "drives_per_step": grows_by} if in_groups else {
        "grows_by": grows_by
    }  # fmt: skip
    if chance.random() < (0.9 if grows_by == "swapping" else 0.1):
        table["swap_to"] = chance.choice(("twenty", "twenty", "twenty", "four"))
    table |= _from_before(chance)
    if chance.random() < 0.4:
        table["shelf"] = _shelf(chance, redundancy)
    return table


def _perhaps_planned(table: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """Half of those whose best plan is found at once follow it."""
    shelf = table.get("shelf", {"bays": 1, "shelves_at_most": 1})
    is_quick = table["bays"] * shelf["bays"] ** shelf["shelves_at_most"] <= 4000
    return {**table, "plan": "best"} if chance.random() < 0.5 and is_quick else table


def _from_before(chance: random.Random) -> dict[str, Any]:
    """Drives that move, a box that goes on, boxes that stay; a few at odds with each other."""
    found: dict[str, Any] = {}
    if chance.random() < 0.25:
        found["drives_from"] = chance.choice(list(OWNED))
    if chance.random() < 0.2:
        name = chance.choice([*OWNED, found.get("drives_from", "new")])
        found["starts_in"] = name
        found["bays"] = OWNED[name]["bays"] + chance.choice((0, 0, 0, 0, 0, 1))
    if chance.random() < 0.3:
        found["keeps"] = chance.sample(list(OWNED), chance.choice((1, 1, 2)))
        if chance.random() < 0.6:
            found["keeps_months"] = chance.choice((1, 7, 30, 240))
    return found


def _shelf(chance: random.Random, redundancy: str) -> dict[str, Any]:
    bays, first = _bays_and_first(chance, redundancy, 24)
    most = chance.choice((1, 2, 8))
    return {"bays": bays, "drives_at_first": first, "price": 300, "shelves_at_most": most}


def _bays_and_first(chance: random.Random, redundancy: str, most: int) -> tuple[int, int]:
    """Bays, and drives to begin with: often what suits the redundancy, or all bays, or too many."""
    bays = chance.randint(1, most)
    suited = chance.choice(MEMBERS.get(redundancy, (3, 4, 5, 6)))
    first = chance.choice((suited, suited, suited, bays, chance.randint(1, bays), bays + 1))
    if first == suited or chance.random() < 0.1:
        bays = max(bays, suited)
    return bays, first
