"""A studio small enough to work out by hand: 10 TB a month, kept for ever, drives of 10 TB."""

from collections.abc import Mapping
from typing import Any

from storagecalc import Scenario
from storagecalc.study.evaluate import outcomes
from storagecalc.study.outcome import Outcome
from storagecalc.study.scenario.load import scenario_from

# 10 TB a month, kept for ever, nothing stored; drives of 10 TB, no losses on the ladder but parity.
SMALL = {
    "title": "by hand", "currency": "EUR", "start_date": "2027-01-01", "horizon_months": 24,
    "discount_rate_per_year": 0.0, "prices_are": "a guess",
    "work": {"shoots": {
        "keep": "all", "shoot_days_per_month": 10, "cameras": 1, "hours_per_camera_day": 10,
        "rate_mbit_s": 10 * 8e6 / (10 * 10 * 3600), "proxies_and_exports_fraction": 0,
    }},
    "keep": {"all": {}},
    "team": {"editors": 0},
    "drives": {"ten": {
        "size_tb": 10, "price": 100, "failures_per_drive_year": 0.012, "power_w": 10,
        "warranty_years": 1, "service_life_years": 10,
    }},
    "builds": {"box": {
        "drives": "ten", "bays": 8, "drives_at_first": 4, "redundancy": "single parity",
        "box_price": 1000, "box_power_w": 60, "order_at_fraction": 1.0, "lead_time_months": 0,
        "box_life_years": 10, "box_failures_per_year": 0,
    }},
    "filling": {"formatting_fraction": 0, "snapshot_fraction": 0, "free_fraction": 0},
    "prices": {
        "drive_change_per_year": 0, "drive_shock_per_year": 0, "box_change_per_year": 0,
        "inflation_per_year": 0, "electricity_change_per_year": 0,
    },
    "running": {
        "electricity_price_per_kwh": 1, "labour_price_per_h": 10, "care_h_per_month": 1,
        "work_per_order_h": 2,
    },
    "remedy": {"kind": "held elsewhere", "elsewhere_price_per_tb_month": 5},
}  # fmt: skip

# The next box is one like the first; a quarter of its care for each.
FURTHER = {
    "remedy.kind": "next box", "remedy.next_build": "box", "remedy.migration_h": 8,
    "running.further_box_care_fraction": 0.25,
}  # fmt: skip


def further(small: Scenario, changes: Mapping[str, Any]) -> Scenario:
    """The same studio where a full box is followed by another like it."""
    return small.varied({**FURTHER, **changes})


def owned(*lots: tuple[int, Any], drives: str = "ten", **figures: Any) -> dict[str, Any]:
    """The table of an owned box of eight bays, a year old, by lots of a count and an age."""
    return {
        "drives": drives, "bays": 8, "redundancy": "none", "box_age_years": 1, "box_price": 1000,
        "lots": [{"count": count, "age_years": age} for count, age in lots],
        "box_life_years": 10, "box_failures_per_year": 0, "box_power_w": 60, **figures,
    }  # fmt: skip


def with_tables(scenario: Scenario, tables: Mapping[str, Any]) -> Scenario:
    """The scenario with whole tables put in by dotted key; None takes one out."""
    raw = scenario.as_written()
    for dotted, value in tables.items():
        *way, last = dotted.split(".")
        table = raw
        for part in way:
            table = table.setdefault(part, {})
        table[last] = value
    return scenario_from(raw, source="with tables")


def outcomes_by_key(drawn: Scenario) -> dict[str, Outcome]:
    """What every alternative comes to, by its key."""
    return {each.alternative.key: each for each in outcomes(drawn)}
