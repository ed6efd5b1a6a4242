"""A studio with one range, begun with the command that starts a file: followed in plain arithmetic
over check, table and JSON to the texts and drawings of the owner's page."""

import html
import json
import math
import tomllib
from datetime import date
from functools import cache

import pytest
import tomli_w
from views.drawings import elements, lane, places, texts

from storagecalc import evaluate, load_scenario
from storagecalc.study.decision.room import twenty_futures
from storagecalc.study.decision.verdict import gap_by_draw, verdict
from storagecalc.views.charts.lanes import lanes, lanes_frame
from storagecalc.views.cli import main
from storagecalc.views.page.first_page import owners_answer, page_frames
from storagecalc.views.text.difference import year_parts
from storagecalc.views.text.lanes import lanes_summary

MONTHS, LEAD, HOUR = 48, 2, 45
LOW, MIDDLE, HIGH, MOST_DAYS = 5, 6, 7.4, 31
CHANGES = {
    "start_date": date(2027, 4, 1), "horizon_months": MONTHS, "discount_rate_per_year": 0.06,
    "keep": {"films": {}}, "needs": {"headroom_months": 32},
    "work.films": {
        "keep": "films", "shoot_days_per_month": {"low": LOW, "middle": MIDDLE, "high": HIGH},
        "cameras": 2, "hours_per_camera_day": 1.5, "rate_mbit_s": 100, "stored_today_tb": 8,
        "proxies_and_exports_fraction": 0.2,
    },
    "team.working_tb_per_editor": 0.5, "network.read_chunk_mb": 8,
    "drives.large.failures_per_drive_year": 0.02,
    "builds": {
        "whole": {
            "drives": "large", "bays": 8, "drives_at_first": 8, "redundancy": "single parity",
            "box_price": 1500, "order_at_fraction": 0.9,
        },
        "grown": {
            "drives": "large", "bays": 6, "drives_at_first": 3, "redundancy": "single parity",
            "box_price": 1200, "order_at_fraction": 0.75,
        },
    },
    "prices.drive_change_per_year": -0.1, "prices.drive_shock_per_year": 0,
    "prices.box_change_per_year": 0,
    "prices.inflation_per_year": 0, "prices.electricity_change_per_year": 0,
    "running.further_box_care_fraction": 0.25,
    "remedy": {"kind": "held elsewhere", "elsewhere_price_per_tb_month": 6},
}  # fmt: skip
# Box price, drives at first, bays, order point.
BUILDS = {"whole": (1500, 8, 8, 0.9), "grown": (1200, 3, 6, 0.75)}
# What a drive adds: 12 TB less formatting, snapshots and the space kept free.
DRIVE_TB = 12 * 0.98 * 0.95 * 0.85
# A shoot day: two cameras, one hour and a half each at 12.5 MB/s, and a fifth for proxies.
DAY_TB = 2 * 1.5 * 3600 * 12.5e-6 * 1.2


def days(share):
    """The shoot days a month that a share of the futures stay below: between none and 31."""
    low, middle, high = (math.log(each / (MOST_DAYS - each)) for each in (LOW, MIDDLE, HIGH))
    odds, skew = math.log(share / (1 - share)), 1 - 2 * (middle - low) / (high - low)
    z = middle + (high - low) * odds * (1 + 2.5 * skew * (share - 0.5)) / (2 * math.log(9))
    return MOST_DAYS / (1 + math.exp(-z))


FUTURES = [days((number + 0.5) / 2000) for number in range(2000)]


def held(day_count):
    """At the end of each month: 8 TB stored, half a TB in work, and what is shot."""
    return [8.5 + DAY_TB * day_count * (month + 1) for month in range(MONTHS)]


def first(held_tb, limit_tb):
    return next((month for month, tb in enumerate(held_tb) if tb > limit_tb), math.inf)


def steps(build, day_count):
    """The months in which one more drive is ordered."""
    _, drives, bays, point = BUILDS[build]
    tb = held(day_count)
    found = [first(tb, point * DRIVE_TB * (count - 1)) for count in range(drives, bays)]
    return [month for month in found if month < MONTHS]


def factor(month):
    return 1.06 ** (-month / 12)


def drive_price(month):
    return 300 * 0.9 ** (month / 12)


@cache
def paid(build, day_count):
    """What is paid month by month in today's money, and what is left at the end (negative)."""
    box, drives, _, _ = BUILDS[build]
    orders, told = steps(build, day_count), []
    for month, tb in enumerate(held(day_count)):
        standing = drives + sum(month >= at + LEAD for at in orders)
        cost = 3 * HOUR + 4 * tb  # care, and the copy
        cost += (50 + 7.5 * standing) * 0.730 * 0.3
        cost += 6 * max(0.0, tb - DRIVE_TB * (standing - 1))
        cost += orders.count(month) * (drive_price(month) + 4 * HOUR)
        cost += (month >= 36) * 0.03 / 12 * box
        cost += (month == 0) * (box + drives * 300 + 4 * HOUR)
        told.append(cost * factor(month))
    # A used drive is worth no more than a new one costs by then.
    last = drive_price(MONTHS - 1)
    worth = (box + last * drives + 4 * HOUR) * 0.7 ** (MONTHS / 12)
    worth += sum((last + 4 * HOUR) * 0.7 ** ((MONTHS - at) / 12) for at in orders)
    return told, -worth * factor(MONTHS - 1)


def total(build, day_count):
    by_month, worth = paid(build, day_count)
    return sum(by_month) + worth


def mean(values):
    return sum(values) / len(values)


def fraction(wanted):
    return mean([bool(wanted(day_count)) for day_count in FUTURES])


def loss(build):
    """Two drives of one pool down at once: small chances, added up month by month."""
    _, drives, _, _ = BUILDS[build]
    rebuild_h = 72 + 12e6 / (0.3 * 180) / 3600
    counts = [
        drives + sum(month >= at + LEAD for at in steps(build, MIDDLE)) for month in range(MONTHS)
    ]
    return sum(n * (n - 1) * 0.02**2 * rebuild_h / 8760 / 12 for n in counts)


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("mill") / "mill_lane.toml"
    assert main(["new", str(path), "--title", "Mill lane (invented)"]) == 0
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


@pytest.fixture(scope="module")
def page(evaluation):
    return owners_answer(evaluation, page_frames([evaluation]))


def test_check_finds_the_range_to_matter_and_nothing_wrong(file, capsys):
    assert main(["check", str(file)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Mill lane (invented): nothing wrong."
    row = next(line for line in lines if line.endswith("  work.films.shoot_days_per_month"))
    assert row.startswith("Shoot days a month, “films”")
    assert "5 to 7.4 days" in row
    assert "your range" in row


def test_json_has_the_costs_of_the_sheet(file, capsys):
    assert main(["compare", str(file), "--json"]) == 0
    builds = {build["name"]: build for build in json.loads(capsys.readouterr().out)["builds"]}
    for name in BUILDS:
        told, costs = builds[name], sorted(total(name, day_count) for day_count in FUTURES)
        assert told["net_present_cost"] == pytest.approx(total(name, MIDDLE), rel=1e-9)
        assert told["net_present_cost_mean"] == pytest.approx(mean(costs), rel=1e-4)
        assert told["net_present_cost_p10"] == pytest.approx(costs[200], rel=1e-3)
        assert told["net_present_cost_p90"] == pytest.approx(costs[1800], rel=1e-3)
        assert told["net_present_cost_by_cause"]["worth at the end"] == pytest.approx(
            mean([paid(name, day_count)[1] for day_count in FUTURES]), rel=1e-3
        )
        assert told["box_loss_probability"] == pytest.approx(loss(name), rel=0.02)
        assert [row["month"] for row in told["purchases"] if row["month"]] == [
            month for month in steps(name, MIDDLE) for _ in ("drive", "work")
        ]


def test_the_table_has_the_upfront_costs_and_the_dates(file, capsys):
    assert main(["compare", str(file)]) == 0
    lines = capsys.readouterr().out.splitlines()
    paid_now = next(line for line in lines if line.startswith("to pay on day one"))
    whole, grown = 1500 + 8 * 300 + 4 * HOUR, 1200 + 3 * 300 + 4 * HOUR
    assert paid_now.split()[-4:] == ["EUR", f"{whole:,}", "EUR", f"{grown:,}"]
    # April 2027 and so many months.
    full = [first(held(each), 2 * DRIVE_TB) for each in (MIDDLE, HIGH, LOW)]
    assert full == [10, 8, 12]
    assert any("February 2028 (December 2027 to April 2028)" in line for line in lines)
    assert pytest.approx(fraction(lambda n: held(n)[31] <= 5 * DRIVE_TB), abs=0.005) == 0.91
    assert any("meets it (91 of 100)" in line for line in lines)


def test_the_four_answers_are_those_of_the_sheet(page):
    texts_of = page["texts"]
    costs = sorted(total("grown", day_count) for day_count in FUTURES)
    assert texts_of["pay now value"] == "EUR 2,280"
    assert texts_of["over value"] == "EUR 15,300"
    assert round(mean(costs), -2) == 15_300
    assert texts_of["over note"].startswith("14,000 to 17,000 in 8 of 10 futures;")
    assert [round(costs[place], -3) for place in (200, 1800)] == [14_000, 17_000]
    # In two of ten futures it is full by month 9, and an order takes two months.
    assert first(held(days(0.8)), 2 * DRIVE_TB) - LEAD == 7
    price = mean([drive_price(steps("grown", day_count)[0]) for day_count in FUTURES])
    assert texts_of["next order value"] == "By November 2027"
    assert texts_of["next order note"] == (
        "One more drive, EUR 290 then; earlier if it is 75 % full."
    )
    assert round(price, -1) == 290
    assert "5 in 10,000 within four years" in texts_of["main risk note"]
    assert round(1e4 * loss("grown")) == 5
    less = fraction(lambda n: total("grown", n) < total("whole", n))
    gap = mean([total("whole", n) - total("grown", n) for n in FUTURES])
    assert (round(gap), round(100 * less)) == (544, 90)
    assert texts_of["reason"] == (
        "It costs EUR 544 less than “whole” on average (less in 90 of 100 futures), and meets all"
        " needs in 91 of 100 futures."
    )


def full_months(build):
    """The months in which it is full after all its steps, in twenty futures, the earliest first."""
    most = DRIVE_TB * (BUILDS[build][2] - 1)
    return sorted(first(held(days((dot + 0.5) / 20)), most) for dot in range(20))


def test_a_lane_has_its_twenty_dots_and_its_orders(evaluation, page):
    for build in evaluation.builds:
        assert list(twenty_futures(build.capacity.headroom_months_by_draw)) == full_months(
            build.key
        )
    drawn = lanes(evaluation, 1132, lanes_frame([evaluation]))
    axis = lane(drawn, "grown")
    edge = max(float(line[1]["x2"]) for line in elements(axis, "line"))
    beyond = [x for x, _ in places(axis) if x > edge]
    assert (len(places(axis)), len(beyond)) == (20, 2)
    assert full_months("grown")[-2:] == [math.inf, math.inf]
    assert "2 of 20" in texts(axis)
    assert "18 of 20" in texts(lane(drawn, "whole"))
    assert full_months("grown")[9] == 39  # July 2030
    assert page["texts"]["lanes title"] == (
        "“grown” is full by July 2030 in ten of twenty futures; “whole” is full before April 2031"
        " in two."
    )
    later = [sorted(steps("grown", n)[step] for n in FUTURES)[999] for step in (1, 2)]
    assert later == [13, 20]  # May and December 2028
    assert "3 drives now, 1 drive by Nov 2027, 1 drive May 2028, 1 drive Dec 2028" in (
        lanes_summary(evaluation)
    )


def test_footage_at_the_end_is_what_was_shot_in_four_years(evaluation):
    ends = [held(each)[-1] for each in (LOW, HIGH)]
    assert ends == [pytest.approx(8.5 + 48 * each * 0.162) for each in (LOW, HIGH)]
    assert [round(end, 1) for end in ends] == [47.4, 66.0]
    assert "47.4 TB to 66 TB in 8 of 10 futures" in lanes_summary(evaluation)


def test_differences_by_year_and_the_twenty_dots_of_money(evaluation, page):
    found = verdict(evaluation)
    parts = year_parts(evaluation.scenario, found)
    for year in range(4):
        sums = (
            [sum(paid(name, n)[0][12 * year : 12 * year + 12]) for n in FUTURES] for name in BUILDS
        )
        whole, grown = map(mean, sums)
        assert parts.amounts[year] == pytest.approx(grown - whole, abs=1)
    assert parts.names[0] == ("2027/28",)
    assert parts.words == ("−1,321", "+593", "+37", "+224", "−77", "−544")
    gaps = sorted(total("whole", n) - total("grown", n) for n in FUTURES)
    dots = twenty_futures(gap_by_draw(found.recommended.build, found.nearest_other))
    assert dots == pytest.approx([gaps[50 + 100 * dot] for dot in range(20)], rel=0.03)
    assert sum(gaps[50 + 100 * dot] > 0 for dot in range(20)) == 18
    assert page["texts"]["gap title"] == "“whole” costs more in 18 of 20 futures."


@pytest.mark.slow
def test_the_report_says_the_same(file, page, tmp_path):
    report = tmp_path / "mill_lane.html"
    assert main(["report", str(file), "--to", str(report)]) == 0
    words = html.unescape(report.read_text(encoding="utf-8"))
    for part in ("recommendation", "reason", "over note", "next order value", "lanes title"):
        assert page["texts"][part] in words
