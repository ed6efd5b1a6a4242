"""Money against an independent ledger: every category of every future, to a billionth."""

import copy
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from study.money.ladder import deleted_oldest_first
from study.money.ledger import Ledger, at_draw, row
from study.small import SMALL, outcomes_by_key

from storagecalc import Scenario, evaluate, load_scenario
from storagecalc.study.money.categories import CATEGORIES, NOT_PAID
from storagecalc.study.outcome import Outcome, kept
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.load import scenario_from

EXAMPLES = sorted((Path(__file__).parents[3] / "data_examples").glob("*.toml"))
DRAWS = 6

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


KINDS = {
    "further boxes": lambda: kind(),
    "fast": lambda: kind(
        work={"shoots": SMALL["work"]["shoots"] | {"shoot_days_per_month": 25}},
        box={"cold_spares": 1},
    ),
    "spares": lambda: kind(box={"cold_spares": 1, "hot_spares": 1}),
    "one drive and its spare": lambda: kind(
        work={"shoots": SMALL["work"]["shoots"] | {"shoot_days_per_month": 1}},
        box={"redundancy": "none", "drives_at_first": 1, "bays": 1, "cold_spares": 1},
    ),
    "shelves": lambda: kind(box={"shelf": SHELF}),
    "swap": lambda: kind(box={"swap_to": "twenty", "cold_spares": 1}),
    "swap, then shelf": lambda: kind(box={"swap_to": "twenty", "shelf": SHELF}),
    "swap in long use": lambda: kind(ten={}, box={"swap_to": "twenty", "shelf": SHELF}),
    "whole pools": lambda: kind(box={"grows_by": "whole pools"}),
    "pairs": lambda: kind(
        box={"redundancy": "striped mirrors", "grows_by": "groups", "drives_per_step": 2}
    ),
    "owned": lambda: kind(
        owned=owned((3, 4.2), box_age_years={"low": 1, "middle": 2.2, "high": 3}),
        box={"drives_from": "old", "starts_in": "old"},
    ),
    "owned, of two ages": lambda: kind(
        owned=owned((1, {"low": 2, "middle": 3, "high": 4.5}), (2, 5.6)),
        box={"drives_from": "old", "drives_at_first": 6},
    ),
    "owned, more than go in": lambda: kind(
        owned=owned((3, 1), (4, 5.5), bays=8), box={"drives_from": "old"}
    ),
    "owned, then swapped": lambda: kind(
        owned=owned((2, 5.1)),
        box={"drives_from": "old", "grows_by": "swapping", "swap_to": "twenty"},
    ),
    "owned, swapped, then shelf": lambda: kind(
        owned=owned((2, 2.5)),
        box={"drives_from": "old", "grows_by": "swapping", "swap_to": "twenty", "shelf": SHELF},
    ),
    "all drives owned": lambda: kind(owned=owned((4, 1)), box={"drives_from": "old"}),
    "kept until worn out": lambda: kind(
        owned=owned((3, 1), (1, 4.9), bays=5, redundancy="double parity"),
        box={"keeps": ["old"], "cold_spares": 1},
    ),
    "kept to the end": lambda: kind(
        owned=owned((2, 5.2), redundancy="none", box_age_years=2.5),
        box={"keeps": ["old"], "keeps_months": 72, "shelf": SHELF},
    ),
    "kept for a time": lambda: kind(
        owned=owned((4, 4.4), bays=5, hot_spares=1, box_age_years=3.9),
        box={"keeps": ["old"], "keeps_months": 31, "swap_to": "twenty"},
    ),
    "two kept": lambda: kind(
        owned={**owned((4, {"low": 3, "middle": 4, "high": 5}), redundancy="striped mirrors"),
               "older": owned((2, 6), redundancy="mirror", drives="ten")["old"]},
        box={"keeps": ["older", "old"], "keeps_months": 20, "drives_at_first": 6},
    ),
    "kept, its drives in use": lambda: kind(
        owned={**owned((4, 2)), "older": owned((3, 1.5), box_age_years=1)["old"]},
        box={"keeps": ["older"], "drives_from": "old", "starts_in": "old", "cold_spares": 1},
    ),
    "kept, the first drives to come": lambda: kind(
        owned={**owned((3, 5.9)), "older": owned((3, 1.5), box_age_years=1)["old"]},
        box={"keeps": ["older"], "drives_from": "old", "starts_in": "old"},
    ),
    "kept, its space rented": lambda: kind(
        owned=owned((3, 2)), box={"keeps": ["old"]}, remedy={"kind": "held elsewhere"},
    ),
    "kept, then deleted early": lambda: kind(
        owned=owned((3, 2)), box={"keeps": ["old"]}, remedy={"kind": "early cull"},
        keep={"all": {"steps": [{"after_months": 30, "keep_fraction": 0.5}]}},
    ),
    "kept beside one of two": lambda: kind(
        owned=owned((3, 2)),
        builds={"box": {**BASE["builds"]["box"], "lead_time_months": 3},
                "other": {**BASE["builds"]["box"], "keeps": ["old"], "lead_time_months": 3}},
        options={"sooner": {"build": "other", "cull_sooner_months": 3}},
        keep={"all": {"steps": [{"after_months": 25, "keep_fraction": 0.6}]}},
        remedy={"next_build": "other"},
    ),
    "shortages and quotes": lambda: kind(
        box={"swap_to": "twenty", "shelf": SHELF,
             "box_price_holds_until_date": "2028-12-15"},
        ten={**SHORT, "price_holds_until_date": "2027-07-31"},
        shortages=SHORTAGES,
    ),
    "shortages of what is owned and further boxes": lambda: kind(
        owned=owned((3, 4.2)), box={"drives_from": "old"}, shortages=SHORTAGES,
    ),
    "shortages and a quote where it goes on": lambda: kind(
        owned=owned((2, 3.1), box_age_years=3.4),
        box={"drives_from": "old", "starts_in": "old", "box_price_holds_until_date": "2028-02-10"},
        shortages=SHORTAGES,
    ),
    "shortages of what is kept": lambda: kind(
        owned=owned((3, 4.6), (1, 2), box_age_years=3.4),
        box={"keeps": ["old"], "keeps_months": 60, "box_price_holds_until_date": "2028-02-10"},
        shortages=SHORTAGES,
    ),
    "held elsewhere": lambda: kind(remedy={"kind": "held elsewhere"}),
    "deleted early": lambda: kind(
        remedy={"kind": "early cull"},
        keep={"all": {"steps": [{"after_months": 30, "keep_fraction": 0.5}]}},
    ),
    "copies, costs and moving off": lambda: kind(
        copies={
            "near": {"another_building": False, "price": 700, "capacity_tb": 90, "life_years": 2.5},
            "far": {"another_building": True, "price_per_tb_month": 3},
        },
        costs={
            "switch": {"price": 900, "life_years": 2.6},
            "insurance": {"price": {"low": 5, "middle": 9, "high": 20}, "every_months": 5},
            "electrician": {"price": 500, "from_date": "2028-04-01", "builds": ["box"]},
            "not here": {"price": 500, "builds": ["other"]},
        },
        elsewhere={"vault": {"price_per_tb_month": 2, "fetch_price_per_tb": 7, "copies": 2,
                             "media_price_per_tb": 11, "handling_h_per_tb": 0.3}},
        options={
            "off": {"build": "box", "to": "vault", "move_off_after_months": 20},
            "sooner": {"build": "box", "cull_sooner_months": 9},
        },
        keep={"all": {"steps": [{"after_months": 25, "keep_fraction": 0.6},
                                {"after_months": 40, "keep_fraction": 0.3,
                                 "rest_goes_to": "vault"}]}},
        builds={"box": {**BASE["builds"]["box"]},
                "other": {**BASE["builds"]["box"], "drives_at_first": 8}},
    ),
}  # fmt: skip


def ledgers(scenario: Scenario) -> Iterator[tuple[str, int, Outcome, Ledger]]:
    """Every alternative in each of a few futures, with a ledger of its own."""
    drawn = sampler(scenario, draws=DRAWS).futures(0, DRAWS)
    for key, outcome in outcomes_by_key(drawn).items():
        for draw in range(DRAWS):
            yield key, draw, outcome, ledger(outcome, draw)


def ledger(outcome: Outcome, draw: int, *, further: bool = True) -> Ledger:
    drawn, grown, footage = at_draw(outcome.drawn, draw), outcome.grown, outcome.footage
    climb = grown.further if further else None
    prices, shortages = outcome.drawn.prices, outcome.drawn.shortages
    return Ledger(
        drawn=drawn,
        build_key=outcome.alternative.build_key,
        held=row(footage.held_tb_by_month, draw),
        own_ordered=row(grown.own.steps_ordered_by_month, draw),
        further_ordered=None if climb is None else row(climb.steps_ordered_by_month, draw),
        strays=row(prices.drive_stray_shares_by_year, draw),
        luck={key: row(each.luck_fraction, draw)[0] for key, each in shortages.items()},
        footage={
            "deleted_early": row(footage.deleted_early_tb_by_month, draw),
            "too_much": too_much(outcome, drawn, draw),
            "there": {key: row(tb, draw) for key, tb in footage.moved_tb_by_month.items()},
            "in": {key: row(tb, draw) for key, tb in footage.moved_in_tb_by_month.items()},
            "back": {key: row(tb, draw) for key, tb in footage.fetched_tb_by_month.items()},
        },
    )


def too_much(outcome: Outcome, drawn: Scenario, draw: int) -> list[float]:
    """TB beyond the most the build can hold, where that is deleted."""
    if drawn.remedy.kind != "early cull":
        return [0.0] * drawn.horizon_months
    footage = outcome.footage
    most = row(outcome.grown.most_tb_by_month, draw)
    most = most * drawn.horizon_months if len(most) == 1 else most
    working = row(footage.working_tb_by_month, draw)
    return deleted_oldest_first(
        [row(tb, draw) for tb in footage.intake_tb_by_work.values()],
        [row(share, draw) for share in footage.keep_fraction_by_work.values()],
        [max(limit - tb, 0.0) for limit, tb in zip(most, working, strict=True)],
    )


def assert_agrees(outcome: Outcome, draw: int, found: Ledger, where: str) -> None:
    future = kept(outcome, DRAWS)
    total = future.net_present_cost[0, draw, 0]
    by_hand = found.present_by_category()
    for category, cost in future.present_cost_by_category.items():
        here = by_hand.get(category, 0.0)
        near = pytest.approx(here, rel=1e-9, abs=1e-9 * abs(total))
        assert cost[0, draw, 0] == near, f"{where}: {category}"
        if category != NOT_PAID:
            months = row(outcome.flow.cost_by_category[category], draw)
            np.testing.assert_allclose(
                months, found.cost[category], rtol=1e-9, atol=1e-9, err_msg=f"{where}: {category}"
            )
    assert set(by_hand) <= set(CATEGORIES)
    years = found.present_by_year()
    paid = future.present_cost_by_year[0, draw]
    np.testing.assert_allclose(paid, years, rtol=1e-9, atol=1e-9 * abs(total), err_msg=where)
    assert total == pytest.approx(sum(by_hand.values()), rel=1e-9), where
    assert future.upfront_cost[0, draw, 0] == pytest.approx(found.upfront, rel=1e-9), where


def assert_remedy_agrees(outcome: Outcome, draw: int, found: Ledger, where: str) -> None:
    """Further boxes with all they need, rent, and what is deleted early for want of space."""
    alone = ledger(outcome, draw, further=False)
    rest = [name for name in found.cost if name not in ("rent", "deleted early")]
    remedy = sum(found.present(found.cost[name]) - alone.present(alone.cost[name]) for name in rest)
    price = found.drawn.remedy.cull_price_per_tb
    early = [
        price * tb * up for tb, up in zip(found.footage["too_much"], found.general, strict=True)
    ]
    remedy += found.present(found.cost["rent"]) + found.present(early)
    cost = kept(outcome, DRAWS).remedy_cost[0, draw, 0]
    assert cost == pytest.approx(remedy, rel=1e-9, abs=1e-6), where


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_demos_agree_with_the_ledger_in_every_category(path):
    for key, draw, outcome, found in ledgers(load_scenario(path)):
        assert_agrees(outcome, draw, found, f"{key}, future {draw}")
        assert_remedy_agrees(outcome, draw, found, f"{key}, future {draw}")


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_of_build_agrees_with_the_ledger_in_every_category(name):
    for key, draw, outcome, found in ledgers(KINDS[name]()):
        assert_agrees(outcome, draw, found, f"{key}, future {draw}")
        assert_remedy_agrees(outcome, draw, found, f"{key}, future {draw}")


def test_the_kinds_bring_what_they_are_there_for():
    """Swaps and what they fetch, shelves, worn-out things, further boxes: in some future each."""

    def some(name: str, what: str) -> list[float]:
        return [sum(found.cost[what]) for _, _, _, found in ledgers(KINDS[name]())]

    for name in ("swap", "swap, then shelf", "swap in long use", "owned, then swapped"):
        assert min(some(name, "sales")) < 0, name
    for name in ("shelves", "swap, then shelf", "owned, swapped, then shelf"):
        assert max(some(name, "shelf")) > 0, name
    assert min(some("kept for a time", "sales")) < 0
    assert max(some("kept to the end", "box")) > min(some("kept to the end", "box")) * 1.3
    assert max(some("kept, its space rented", "rent")) > 0
    assert min(some("deleted early", "deleted early")) > 0
    assert max(some("held elsewhere", "rent")) > 0
    boxes = [len(found.boxes) for _, _, _, found in ledgers(KINDS["further boxes"]())]
    assert max(boxes) >= 3
    # Two boxes get something in one month: two orders, each with its work.
    fast = [months for _, _, _, found in ledgers(KINDS["fast"]()) for months in found.boxes]
    lasts, firsts = {months[-1] for months in fast}, {months[0] for months in fast}
    assert lasts & firsts


@pytest.mark.parametrize(
    "name", ["swap, then shelf", "owned, swapped, then shelf", "spares", "kept for a time"]
)
@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("drives.ten.service_life_years", [2.0, 2.4, 6.0]),
        ("builds.box.lead_time_months", [0.0, 3.0, 8.0]),
        ("drives.twenty.size_tb", [11.0, 20.0, 30.0]),
    ],
)
def test_a_grid_of_any_kind_equals_one_scenario_after_another(name, key, values):
    scenario = KINDS[name]()
    grid = evaluate(scenario, draws=4, positions={key: values})
    for place, value in enumerate(values):
        alone = evaluate(scenario.varied({key: value}), draws=4)
        for here, there in zip(grid.at(place).builds, alone.builds, strict=True):
            np.testing.assert_allclose(
                here.money.net_present_cost_by_draw,
                there.money.net_present_cost_by_draw,
                rtol=1e-12,
            )
            for category, cost in there.money.present_cost_by_category.items():
                same = here.money.present_cost_by_category[category]
                assert same == pytest.approx(cost, rel=1e-10, abs=1e-9), category
            assert here.loss.box_loss_probability == pytest.approx(
                there.loss.box_loss_probability, rel=1e-9
            )
