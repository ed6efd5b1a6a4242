"""Studios for the ledger: the one worked out by hand, with prices that move and things that end."""

import copy
from collections.abc import Mapping
from typing import Any

from study.small import SMALL

from storagecalc import Scenario
from storagecalc.study.scenario.load import scenario_from

MOVING = {
    "drive_change_per_year": {"low": -0.2, "middle": -0.05, "high": 0.1},
    "drive_shock_per_year": {"low": 0.1, "middle": 0.2, "high": 0.3},
    "box_change_per_year": 0.03, "inflation_per_year": 0.04, "electricity_change_per_year": 0.05,
    "box_value_kept_per_year_fraction": 0.6, "drive_value_kept_per_year_fraction": 0.8,
    "drive_sale_fraction": 0.5,
}  # fmt: skip
BASE = SMALL | {
    "horizon_months": 72,
    "discount_rate_per_year": 0.05,
    "prices": MOVING,
    "filling": {"formatting_fraction": 0.02, "snapshot_fraction": 0.05, "free_fraction": 0.1},
    "remedy": {"kind": "next box", "next_build": "box", "migration_h": 8},
}
SHORT = {"service_life_years": 2.3, "warranty_years": 0.9}
TWENTY = {
    "size_tb": {"low": 15, "middle": 20, "high": 26}, "price": 250, "warranty_years": 2,
    "failures_per_drive_year": {"low": 0.01, "middle": 0.02, "high": 0.06}, "power_w": 12,
    "service_life_years": 3,
}  # fmt: skip
OLD = {"size_tb": 8, "price": 90, "failures_per_drive_year": 0.1, "power_w": 11,
       "warranty_years": 5, "service_life_years": 6}  # fmt: skip
SHORTAGES = {
    "flood": {"from_date": "2027-04-20", "price_factor": {"low": 1.2, "middle": 1.5, "high": 2.5},
              "months": {"low": 4, "middle": 9.5, "high": 20}, "recovery_months": 5.5,
              "probability_fraction": 0.6},
    "boom": {"from_date": "2027-09-01", "price_factor": 2, "months": 7, "drives": ["ten"]},
    "glut": {"from_date": "2029-02-01", "price_factor": 0.4, "months": 12.3,
             "recovery_months": {"low": 2, "middle": 6, "high": 12}, "drives": ["twenty", "old"]},
}  # fmt: skip
SHELF = {"bays": 6, "price": 400, "drives_at_first": 4, "shelves_at_most": 2, "power_w": 25}


def owned(*lots: tuple[int, Any], **figures: Any) -> dict[str, Any]:
    """A box that is owned, of the drives that are owned, by lots of a count and an age."""
    table = {
        "drives": "old", "bays": 8, "redundancy": "single parity", "box_age_years": 2,
        "box_price": 900, "box_power_w": 70, "box_failures_per_year": 0.1,
        "box_warranty_years": 2.5, "box_life_years": 4.2,
        "lots": [{"count": count, "age_years": age} for count, age in lots],
    }  # fmt: skip
    return {"old": table | figures}


def kind(*, ten: Mapping[str, Any] = SHORT, **tables: Mapping[str, Any]) -> Scenario:
    """The studio worked out by hand, filling slowly, prices moving, with some keys changed."""
    raw = copy.deepcopy(BASE)
    raw["work"]["shoots"]["shoot_days_per_month"] = {"low": 2, "middle": 3, "high": 5}
    raw["drives"] = {"ten": raw["drives"]["ten"] | ten, "twenty": TWENTY, "old": OLD}
    raw["builds"]["box"] |= {
        "lead_time_months": {"low": 0.5, "middle": 2, "high": 4}, "order_at_fraction": 0.85,
        "box_life_years": 4.5, "box_failures_per_year": 0.05, "box_warranty_years": 1.4,
    }  # fmt: skip
    for name, changes in tables.items():
        if name == "box":
            raw["builds"]["box"] |= changes
        else:
            raw[name] = raw.get(name, {}) | changes
    return scenario_from(raw, source="by ledger")
