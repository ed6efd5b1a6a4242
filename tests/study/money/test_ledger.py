"""Money against an independent ledger: every category of every future, to a billionth."""

from pathlib import Path

import numpy as np
import pytest
from study.money.agreed import assert_agrees, assert_remedy_agrees, ledgers
from study.money.kinds import BASE, SHELF, SHORT, SHORTAGES, kind, owned
from study.small import SMALL

from storagecalc import evaluate, load_scenario

EXAMPLES = sorted((Path(__file__).parents[3] / "data_examples").glob("*.toml"))

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
