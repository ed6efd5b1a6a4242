"""A studio before a price jump, begun with the command that starts a file: its best plan, found
among all lists of orders in plain arithmetic, and followed to JSON, sentences and the owner's page.
"""

import itertools
import json
import tomllib
from datetime import date
from functools import cache

import pytest
import tomli_w
from views.page.walk import words_in
from views.test_sheet_of_two import FUTURES, HIGH, LOW, MIDDLE, days, factor

from storagecalc import evaluate, load_scenario
from storagecalc.views.cli import main
from storagecalc.views.page.first_page import plan_part
from storagecalc.views.text.decision import first_page
from storagecalc.views.text.plan import plan_sentences, plan_table

MONTHS, LEAD, HOUR, RENT = 36, 2, 45, 9
JUMP_FROM, JUMP_MONTHS, JUMP = 7, 14, 1.8
FIRST, BAYS = 3, 6
CHANGES = {
    "start_date": date(2027, 4, 1), "horizon_months": MONTHS, "discount_rate_per_year": 0.06,
    "keep": {"films": {}}, "needs": {},
    "work.films": {
        "keep": "films", "shoot_days_per_month": {"low": LOW, "middle": MIDDLE, "high": HIGH},
        "cameras": 2, "hours_per_camera_day": 1.5, "rate_mbit_s": 96, "stored_today_tb": 8,
        "proxies_and_exports_fraction": 0.2,
    },
    "team.working_tb_per_editor": 0.5, "network.read_chunk_mb": 8,
    "drives.large.failures_per_drive_year": 0.02,
    "builds": {
        "planned": {
            "plan": "best", "drives": "large", "bays": BAYS, "drives_at_first": FIRST,
            "redundancy": "single parity", "box_price": 1200,
        },
    },
    "prices.drive_change_per_year": -0.1, "prices.drive_shock_per_year": 0,
    "prices.box_change_per_year": 0,
    "prices.inflation_per_year": 0, "prices.electricity_change_per_year": 0,
    "shortages.flood": {
        "from_date": date(2027, 11, 1), "months": JUMP_MONTHS, "price_factor": JUMP,
    },
    "running.further_box_care_fraction": 0.25,
    "remedy": {"kind": "held elsewhere", "elsewhere_price_per_tb_month": RENT},
}  # fmt: skip
# What a drive adds: 12 TB less formatting, snapshots and the space kept free.
DRIVE_TB = 12 * 0.98 * 0.95 * 0.85
# A shoot day: two cameras, one hour and a half each at 12 MB/s, and a fifth for proxies.
DAY_TB = 2 * 1.5 * 3600 * 12e-6 * 1.2


def held(day_count):
    """At the end of each month: 8 TB stored, half a TB in work, and what is shot."""
    return [8.5 + DAY_TB * day_count * (month + 1) for month in range(MONTHS)]


def price(month):
    short = JUMP_FROM <= month < JUMP_FROM + JUMP_MONTHS
    return 300 * 0.9 ** (month / 12) * (JUMP if short else 1)


def worth(paid, month):
    return 0.7 ** ((MONTHS - month) / 12) * min(paid, price(MONTHS - 1))


@cache
def of_a_drive(month):
    """A drive ordered in a month: its price and power, less its worth; as a planner counts, with
    the failures of two of seven years that no warranty covers."""
    stands = month + LEAD if month else 0
    power = 7.5 * 0.730 * 0.3
    running = [(power + 0.02 / 12 * 2 / 7 * price(at)) * factor(at) for at in range(stands, MONTHS)]
    return price(month) * factor(month) + sum(running) - worth(price(month), month) * factor(35)


@cache
def of_an_order(month):
    work = 4 * HOUR
    return work * factor(month) - work * 0.7 ** ((MONTHS - month) / 12) * factor(35)


def rent(orders, tb, each=RENT):
    """What finds no room, by month: a box of the first drives, and those that came later."""
    told = []
    for month, held_tb in enumerate(tb):
        standing = sum(count for at, count in orders if at == 0 or month >= at + LEAD)
        told.append(each * max(0.0, held_tb - DRIVE_TB * (standing - 1)))
    return told


def planner_cost(orders, tb):
    return (
        sum(of_an_order(at) + count * of_a_drive(at) for at, count in orders)
        + sum(cost * factor(month) for month, cost in enumerate(rent(orders, tb)))
    )  # fmt: skip


@cache
def best():
    """The cheapest of all lists of orders that begin with the box; each drive has its month."""
    tb, found = held(days(0.8)), []
    for first in range(FIRST, BAYS + 1):
        for later in range(BAYS - first + 1):
            for months in itertools.combinations_with_replacement(range(1, MONTHS - LEAD), later):
                counts = {at: months.count(at) for at in months}
                orders = ((0, first), *sorted(counts.items()))
                found.append((planner_cost(orders, tb), orders))
    return min(found)[1]


def total(day_count):
    """The net present cost of the plan in one future, as the ledger has it."""
    orders, tb = best(), held(day_count)
    rented, cost = rent(orders, tb), 0.0
    for month in range(MONTHS):
        standing = sum(count for at, count in orders if at == 0 or month >= at + LEAD)
        paid = 3 * HOUR + 4 * tb[month]  # care, and the copy
        paid += (50 + 7.5 * standing) * 0.730 * 0.3 + rented[month]
        paid += sum(count * price(at) + 4 * HOUR for at, count in orders if at == month)
        paid += (month == 0) * 1200
        cost += paid * factor(month)
    left = 1200 * 0.7 ** (MONTHS / 12)
    for at, count in orders:
        left += count * worth(price(at), at) + 4 * HOUR * 0.7 ** ((MONTHS - at) / 12)
    return cost - left * factor(MONTHS - 1)


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("quay") / "quay.toml"
    assert main(["new", str(path), "--title", "The quay (invented)"]) == 0
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    for dotted, value in CHANGES.items():
        *way, last = dotted.split(".")
        table = raw
        for name in way:
            table = table.setdefault(name, {})
        table[last] = value
    path.write_text(tomli_w.dumps(raw), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def evaluation(file):
    return evaluate(load_scenario(file), draws=2000)


def test_the_sheet_buys_ahead_of_the_jump_but_not_everything():
    """A fourth drive at once, for which there is no need before drives are dear; the rest later."""
    (_, first), *later = best()
    needed = next(at for at, tb in enumerate(held(days(0.8))) if tb > DRIVE_TB * (FIRST - 1))
    assert needed > JUMP_FROM
    assert FIRST < first < BAYS
    assert all(at >= JUMP_FROM + JUMP_MONTHS for at, _ in later)


def test_the_plan_is_the_cheapest_of_all_lists(evaluation):
    plan = evaluation.plans["planned"]
    orders = [(order.month, order.count) for order in plan.orders]
    assert orders == [*best()]
    assert plan.line_tb_by_month[-1] == pytest.approx(held(days(0.8))[-1], rel=2e-3)
    assert plan.under_fraction == pytest.approx(0.8, abs=0.003)


def test_its_costs_are_those_of_the_sheet(file, capsys):
    assert main(["compare", str(file), "--json"]) == 0
    (build,) = json.loads(capsys.readouterr().out)["builds"]
    costs = sorted(map(total, FUTURES))
    assert build["net_present_cost"] == pytest.approx(total(MIDDLE), rel=1e-9)
    assert build["net_present_cost_mean"] == pytest.approx(sum(costs) / 2000, rel=1e-4)
    assert build["net_present_cost_p10"] == pytest.approx(costs[200], rel=1e-3)
    assert build["net_present_cost_p90"] == pytest.approx(costs[1800], rel=1e-3)
    assert build["upfront_cost"] == pytest.approx(1200 + best()[0][1] * 300 + 4 * HOUR)


def test_command_and_page_tell_its_orders(file, evaluation, capsys):
    assert main(["plan", str(file), "--json", "--draws", "200"]) == 0
    told = json.loads(capsys.readouterr().out)
    (plan,), (lane,) = told["plans"], told["calendar"]
    for placed, drawn, (at, count) in zip(plan["orders"], lane["orders"], best(), strict=True):
        drives = placed["things"][-1]
        assert (placed["month"], drawn["month"], drives["count"]) == (at, at, count)
        box = 1200 if at == 0 else 0
        assert placed["cost_mean"] == pytest.approx(box + count * price(at))
        assert drawn["cost_mean"] == pytest.approx(placed["cost_mean"])
    rows = plan_table(evaluation).rows
    assert [row[1].split()[0] for row in rows][1:] == [str(count) for _, count in best()[1:]]
    (parts,) = plan_part(evaluation).values()
    assert rows[-1][3] in words_in(parts[1])


def test_the_first_page_tells_the_next_order(evaluation):
    at, count = best()[1]
    page = first_page(evaluation)
    when = f"{date(2027 + (3 + at) // 12, (3 + at) % 12 + 1, 1):%B %Y}"
    assert f"By {when}" in page["next order"]
    drives = "1 drive" if count == 1 else f"{count} drives"
    assert f"{drives} of 12 TB" in page["next order"]
    assert f"order {drives} of 12 TB by {when}" in page["recommendation"]
    assert page["pay now"].startswith(f"To pay now: EUR {1200 + best()[0][1] * 300 + 180:,}.")


def test_who_knew_each_future_would_save_the_difference(file, capsys):
    assert main(["plan", str(file), "--json", "--draws", "10"]) == 0
    (plan,) = json.loads(capsys.readouterr().out)["plans"]
    found = plan["foresight"]
    assert found["futures"] == 4
    assert found["not_knowing_cost_mean"] == pytest.approx(
        found["plan_cost_mean"] - found["foresight_cost_mean"], abs=1e-6
    )
    assert found["not_knowing_cost_p10"] >= 0


def test_sentences_name_the_share_of_futures_that_have_room(evaluation):
    plan = evaluation.plans["planned"]
    share = round(100 * plan.line_fraction)
    assert f"space that {share} of 100 futures do not exceed" in plan_sentences(evaluation)[0]
