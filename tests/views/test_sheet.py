"""One invented studio on a sheet: worked out here in plain arithmetic, then looked for in JSON, in
the tables, in the first page and in the list of orders."""

import json
import math

import pytest

from storagecalc import evaluate
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.cli import as_json
from storagecalc.views.text.capacity import lasting_sentence
from storagecalc.views.text.decision import first_page
from storagecalc.views.text.measures import comparison_table
from storagecalc.views.text.money import cause_table, order_table, year_table

MONTHS = 36
QUAY = {
    "title": "Quay films (invented)", "currency": "EUR", "start_date": "2027-01-01",
    "horizon_months": MONTHS, "discount_rate_per_year": 0.05, "prices_are": "invented",
    "work": {"films": {
        "keep": "all", "shoot_days_per_month": 5, "cameras": 2, "hours_per_camera_day": 2,
        "rate_mbit_s": 80, "proxies_and_exports_fraction": 0.25, "stored_today_tb": 12,
    }},
    "keep": {"all": {}},
    "team": {"editors": 2, "working_tb_per_editor": 0.5},
    "drives": {"ten": {
        "size_tb": 10, "price": 250, "failures_per_drive_year": 0.02, "power_w": 8,
        "media_mb_s": 160, "warranty_years": 1, "service_life_years": 10,
    }},
    "builds": {"box": {
        "drives": "ten", "bays": 6, "drives_at_first": 4, "redundancy": "single parity",
        "box_price": 900, "box_power_w": 30, "box_noise_dba": 40, "order_at_fraction": 0.8,
        "lead_time_months": 2, "box_life_years": 10, "box_warranty_years": 2,
        "box_failures_per_year": 0.03,
    }},
    "filling": {"formatting_fraction": 0.02, "snapshot_fraction": 0.05, "free_fraction": 0.15},
    "prices": {
        "drive_change_per_year": 0, "box_change_per_year": 0, "inflation_per_year": 0,
        "electricity_change_per_year": 0, "drive_shock_per_year": 0,
        "box_value_kept_per_year_fraction": 0.7,
        "drive_value_kept_per_year_fraction": 0.6,
    },
    "running": {
        "electricity_price_per_kwh": 0.3, "labour_price_per_h": 40, "care_h_per_month": 2,
        "work_per_order_h": 3, "further_box_care_fraction": 0.25,
    },
    "remedy": {"kind": "next box", "next_build": "box", "migration_h": 10},
    "costs": {"switch": {"price": 400}, "insurance": {"price": 60, "every_months": 12}},
    "needs": {"headroom_months": 24, "upfront_cost": 2500, "noise_dba": 38},
    "place": {"desk_m": 2},
    "rebuild": {"rebuild_speed_fraction": 0.5, "swap_wait_h": 48},
}  # fmt: skip


def factor(month):
    """What money of a month is worth today, at five in a hundred a year."""
    return 1.05 ** (-month / 12)


def present(paid_by_month):
    return sum(paid * factor(month) for month, paid in paid_by_month.items())


# 20 camera hours a month at 10 MB/s are 0.72 TB, 0.9 TB with proxies; 12 TB and 1 TB are there.
# A month has 730 hours.
HELD = [13 + 0.9 * (month + 1) for month in range(MONTHS)]
# A drive adds 10 TB less formatting, snapshots and the space kept free; one of them is parity.
DRIVE_TB = 10 * 0.98 * 0.95 * 0.85
# Orders go out once more than four fifths are used, and stand two months later.
FIFTH_DRIVE, SIXTH_DRIVE, FURTHER_BOX = (
    next(month for month, held in enumerate(HELD) if held > limit)
    for limit in (0.8 * 3 * DRIVE_TB, 0.8 * 4 * DRIVE_TB, 0.8 * 5 * DRIVE_TB)
)
OWN_DRIVES = [4 + (month >= FIFTH_DRIVE + 2) + (month >= SIXTH_DRIVE + 2) for month in range(36)]
FURTHER = [month >= FURTHER_BOX + 2 for month in range(MONTHS)]
WATTS = [30 + 8 * own + (30 + 8 * 4) * more for own, more in zip(OWN_DRIVES, FURTHER, strict=True)]
BOUGHT = {0: 4, FIFTH_DRIVE: 1, SIXTH_DRIVE: 1, FURTHER_BOX: 4}


def sheet():
    """All costs by cause, each as it is paid, in the money of today."""
    months = range(MONTHS)
    old = {  # drives past their year of warranty
        month: sum(count for bought, count in BOUGHT.items() if month >= bought + 12)
        for month in months
    }
    years_owned = {bought: (MONTHS - bought) / 12 for bought in BOUGHT}
    worth = sum(  # drives with three hours of work an order; two boxes, one with the move
        (250 * count + 120) * 0.6 ** years_owned[bought] for bought, count in BOUGHT.items()
    ) + sum(900 * 0.7 ** years_owned[bought] for bought in (0, FURTHER_BOX))
    worth += 400 * 0.7 ** years_owned[FURTHER_BOX]
    return {
        "box": present({0: 900, FURTHER_BOX: 900}),
        "drives": present({bought: 250 * count for bought, count in BOUGHT.items()}),
        "labour": present(dict.fromkeys(BOUGHT, 120))
        + present({FURTHER_BOX: 400})
        + present({month: 80 + 20 * FURTHER[month] for month in months}),
        "power": present({month: 0.3 * WATTS[month] * 730 / 1000 for month in months}),
        "failures": present(
            {month: old[month] * 0.02 / 12 * 250 + (month >= 24) * 0.03 / 12 * 900
             for month in months}
        ),
        "other costs": 400 + present({0: 60, 12: 60, 24: 60}),
        "worth at the end": -worth * factor(MONTHS - 1),
    }  # fmt: skip


@pytest.fixture(scope="module")
def evaluation():
    return evaluate(scenario_from(QUAY, source="sheet"))


@pytest.fixture(scope="module")
def told(evaluation):
    return json.loads(as_json(evaluation))["builds"][0]


def cell(table, first, column=1):
    return next(row[column] for row in table.rows if row[0] == first)


def test_steps_come_when_the_sheet_says():
    assert (FIFTH_DRIVE, SIXTH_DRIVE, FURTHER_BOX) == (6, 13, 20)


def test_every_cause_and_the_total(told, evaluation):
    by_cause = told["net_present_cost_by_cause"]
    for cause, cost in sheet().items():
        assert by_cause[cause] == pytest.approx(cost, rel=1e-9), cause
    assert not any(cost for cause, cost in by_cause.items() if cause not in sheet())
    total = sum(sheet().values())
    assert told["net_present_cost"] == pytest.approx(total, rel=1e-9)
    assert cell(cause_table(evaluation), "all together") == "EUR 7,370"
    assert round(total, -1) == 7370
    assert first_page(evaluation)["over"].startswith("Over three years: EUR 7,370. ")
    tb_years = sum(held / 12 * factor(month) for month, held in enumerate(HELD))
    assert told["levelised_cost_per_tb_year"] == pytest.approx(total / tb_years, rel=1e-9)
    days = sum(5 * factor(month) for month in range(MONTHS))
    assert told["cost_per_shoot_day"]["films"] == pytest.approx(total / days, rel=1e-9)


def test_space_and_what_a_tb_of_it_costs(told, evaluation):
    table = comparison_table(evaluation)
    assert told["usable_tb"] == pytest.approx(30)
    assert told["usable_tib"] == pytest.approx(30e12 / 2**40)
    assert told["plannable_tb"] == pytest.approx(3 * DRIVE_TB)
    assert told["full_plannable_tb"] == pytest.approx(5 * DRIVE_TB)
    assert told["cost_per_usable_tb"] == pytest.approx((900 + 4 * 250) / 30)
    assert told["full_cost_per_usable_tb"] == pytest.approx((900 + 6 * 250) / 50)
    assert told["cost_per_plannable_tb"] == pytest.approx(1900 / (3 * DRIVE_TB))
    assert cell(table, "usable space as bought") == "30 TB"
    assert cell(table, "space to plan with, as bought") == "23.7 TB"
    assert cell(table, "cost of a usable TB, as bought") == "EUR 63.3"


def test_the_first_order_is_the_sum_of_its_lines_in_all_places(told, evaluation):
    first = 900 + 4 * 250 + 3 * 40 + 400
    assert told["upfront_cost"] == first == 2420
    assert sum(row["cost"] for row in told["purchases"] if row["month"] == 0) == first
    listed = order_table(evaluation, evaluation.builds[0]).rows
    day_one = [row[3] for row in listed if row[0] == "January 2027"]
    assert day_one == ["EUR 900", "EUR 1,000", "EUR 120", "EUR 400"]
    assert first_page(evaluation)["pay now"] == (
        "To pay now: EUR 2,420. 1 box, 4 drives, the work of bringing it in and “switch”."
    )
    assert cell(comparison_table(evaluation), "to pay on day one") == "EUR 2,420"
    assert [row[:2] for row in listed[4:]] == [
        ("July 2027", "1 drive"),
        ("February 2028", "1 drive"),
        ("September 2028", "1 further box with its drives"),
    ]


def test_dates_are_the_same_in_sentence_table_and_json(told, evaluation):
    full = next(month for month, held in enumerate(HELD) if held > 3 * DRIVE_TB)
    last = next(month for month, held in enumerate(HELD) if held > 5 * DRIVE_TB)
    assert (full, last) == (11, 29)
    assert told["first_fill_months"]["p50"] == full
    assert told["headroom_months"]["p50"] == last
    assert told["first_order_by_date"] == "2027-10-01"  # two months before December
    assert first_page(evaluation)["next order"] == (
        "Next order: By October 2027. One more drive, EUR 250 then; earlier if it is 80 % full."
    )
    assert first_page(evaluation)["recommendation"] == (
        "Buy “box” now; order one more drive by October 2027."
    )
    assert lasting_sentence(evaluation, evaluation.builds[0]) == (
        "“box”: as bought it is full in December 2027; with all its own steps it is full in June"
        " 2029."
    )
    table = comparison_table(evaluation)
    assert cell(table, "lasts as bought") == "December 2027"
    assert cell(table, "lasts before a new box is needed") == "June 2029"
    assert cell(table, "next order by") == "October 2027"
    assert told["asked_tb"] == pytest.approx(HELD[23])
    unmet = sum(max(0, held - 5 * DRIVE_TB) for held in HELD)
    assert told["unmet_tb_months"] == pytest.approx(unmet)


def test_the_budget_by_year_is_what_is_paid_in_it(told, evaluation):
    """Money of the year, nothing taken off for what is worth something at the end."""
    orders = {0: 2420 + 60, 6: 370, 12: 60, 13: 370, 20: 1900 + 520, 24: 60}
    years = []
    for year in range(3):
        months = range(12 * year, 12 * year + 12)
        paid = sum(orders.get(month, 0) + 80 + 20 * FURTHER[month] for month in months)
        paid += sum(0.3 * WATTS[month] * 730 / 1000 for month in months)
        old = [sum(n for at, n in BOUGHT.items() if month >= at + 12) for month in months]
        paid += sum(old) * 0.02 / 12 * 250 + (year == 2) * 12 * 0.03 / 12 * 900
        years.append(paid)
    assert told["cost_by_year"] == pytest.approx(years, rel=1e-9)
    assert [row[1] for row in year_table(evaluation).rows] == [
        "EUR 3,980",
        "EUR 4,100",
        "EUR 1,690",
    ]
    assert told["cost_per_year"] == pytest.approx(max(years[1:]))


def test_place_speed_and_drives(told):
    assert told["power_w"] == pytest.approx(sum(WATTS) / MONTHS)
    assert told["peak_power_w"] == max(WATTS) == 140
    assert told["noise_dba"] == pytest.approx(40 - 20 * math.log10(2))
    assert told["rebuild_h"] == pytest.approx(48 + 10e6 / (160 * 0.5) / 3600)
    in_service = [own + 4 * more for own, more in zip(OWN_DRIVES, FURTHER, strict=True)]
    assert told["drive_failures"] == pytest.approx(sum(in_service) * 0.02 / 12)
    assert told["further_boxes"] == 1
    # The month before the further box stands: all of it is in the one pool.
    assert told["lost_at_once_tb"] == pytest.approx(HELD[FURTHER_BOX + 1])


def test_what_the_further_box_costs_is_an_of_which(told):
    """Box, drives, work, care, power and failures of it; what it is worth at the end stays out."""
    later = range(FURTHER_BOX + 2, MONTHS)
    failures = dict.fromkeys(range(FURTHER_BOX + 12, MONTHS), 4 * 0.02 / 12 * 250)
    cost = present({FURTHER_BOX: 1900 + 520}) + present(dict.fromkeys(later, 20))
    cost += present(dict.fromkeys(later, 0.3 * 62 * 730 / 1000)) + present(failures)
    assert told["remedy_cost"] == pytest.approx(cost, rel=1e-9)
