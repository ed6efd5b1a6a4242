"""Drive prices in the draws: strays year by year, shortages that may come, quotes that hold."""

import math

import numpy as np
import pytest
from study.small import FURTHER, outcomes_by_key, with_tables

from storagecalc import evaluate
from storagecalc.study.money.price_paths import price_paths
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.quantity import entries

DRAWS = 2000
STILL = {"prices.drive_change_per_year": 0.0}
FLOOD = {
    "from_date": "2028-03-10", "months": {"low": 6, "middle": 12, "high": 24},
    "price_factor": {"low": 1.2, "middle": 1.5, "high": 2.2}, "recovery_months": 6,
    "probability_fraction": 0.3,
}  # fmt: skip


@pytest.fixture(scope="module")
def flooded(demo):
    """The demo with a shortage that may come, and a second class of drives."""
    other = demo.as_written()["drives"]["tb16"]
    return with_tables(demo, {"shortages": {"flood": FLOOD}, "drives.other": other})


def drawn(scenario, draws=DRAWS, seed=0, first=0, last=None):
    return sampler(scenario, draws=draws, seed=seed).futures(first, last or draws)


def paths(scenario, **how):
    """Relative prices of each class in every future, shape (draws, months)."""
    found = price_paths(drawn(scenario, **how)).drive_price_by_class
    return {name: path[0] for name, path in found.items()}


def costs(evaluation):
    return {each.key: each.money.net_present_cost_by_draw for each in evaluation.builds}


def bought(scenario, what="drives"):
    """Price of one by month, of all that is bought at the middle of every range."""
    (build,) = evaluate(scenario).builds
    found = [each for each in build.money.purchases if each.what == what]
    return {each.month: each.cost / each.count for each in found}


def test_each_year_strays_by_its_own_normal_number(demo):
    """Deviation and mean of every year's change, correlation of the years: all within five
    standard errors; stratified draws come nearer still."""
    (path, *_) = paths(demo.varied({**STILL, "prices.drive_shock_per_year": 0.15})).values()
    changes = np.diff(np.log(path[:, ::12]), axis=1)
    assert changes.shape == (DRAWS, 6)
    np.testing.assert_allclose(changes.std(axis=0), 0.15, rtol=5 / math.sqrt(2 * DRAWS))
    assert np.all(np.abs(changes.mean(axis=0)) < 5 * 0.15 / math.sqrt(DRAWS))
    apart = np.corrcoef(changes.T)[np.triu_indices(6, k=1)]
    assert np.all(np.abs(apart) < 5 / math.sqrt(DRAWS))


def test_one_market_for_all_classes_and_half_of_it_above_the_trend(flooded):
    scenario = flooded.varied({"prices.drive_change_per_year": -0.1})
    first, *others = paths(scenario).values()
    assert others
    for other in others:
        np.testing.assert_array_equal(other, first)
    assert np.mean(first[:, 72] > 0.9**6) == pytest.approx(0.5, abs=0.05)


def test_the_point_and_what_is_not_drawn_keep_to_the_trend(demo, flooded):
    smooth = demo.varied({"prices.drive_shock_per_year": 0})
    for straying in (demo, flooded):
        middle = price_paths(sampler(straying, draws=50).middle()).drive_price_by_class
        for path in middle.values():
            np.testing.assert_allclose(path[0, 0], 0.95 ** (np.arange(84) / 12), rtol=1e-12)
    for one, other in zip(evaluate(smooth).builds, evaluate(demo, draws=20).builds, strict=True):
        assert one.money.net_present_cost.point == other.money.net_present_cost.point


def test_without_a_shock_nothing_is_drawn(demo):
    still = demo.varied({"prices.drive_shock_per_year": 0})
    assert drawn(still).prices.drive_stray_shares_by_year is None
    assert drawn(demo).prices.drive_stray_shares_by_year.shape == (1, DRAWS, 7)


def test_strays_and_luck_change_no_other_stream(demo, flooded):
    still = demo.varied({"prices.drive_shock_per_year": 0})
    values = {entry.key: entry.value for entry in entries(drawn(flooded, draws=50))}
    for entry in entries(drawn(still, draws=50)):
        if entry.key != "prices.drive_shock_per_year":
            np.testing.assert_array_equal(values[entry.key], entry.value, err_msg=entry.key)
    both = flooded.varied({"shortages.boom": {**FLOOD, "months": 3}})
    one, other = (drawn(each, draws=50).shortages["flood"] for each in (flooded, both))
    np.testing.assert_array_equal(one.luck_fraction, other.luck_fraction)
    boom = drawn(both, draws=50).shortages["boom"]
    assert not np.array_equal(boom.luck_fraction, other.luck_fraction)


def test_a_seed_has_its_own_market_and_a_longer_horizon_the_same(demo):
    longer = demo.varied({"horizon_months": 108})
    for name, path in paths(demo, draws=30).items():
        np.testing.assert_array_equal(paths(demo, draws=30)[name], path)
        np.testing.assert_allclose(paths(longer, draws=30)[name][:, :84], path, rtol=1e-12)
        assert not np.allclose(paths(demo, draws=30, seed=1)[name], path)


def test_futures_in_blocks_are_the_same_futures(flooded, monkeypatch):
    whole = paths(flooded, draws=50)
    for name, path in whole.items():
        parts = [paths(flooded, draws=50, first=a, last=b)[name] for a, b in ((0, 7), (7, 50))]
        np.testing.assert_array_equal(np.concatenate(parts), path)
    at_once = costs(evaluate(flooded, draws=50))
    monkeypatch.setattr("storagecalc.study.evaluate.CELLS_AT_ONCE", 7 * 84)
    for key, cost in costs(evaluate(flooded, draws=50)).items():
        np.testing.assert_allclose(cost, at_once[key], rtol=1e-12)


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("prices.drive_shock_per_year", [0.0, 0.1, 0.3]),
        ("prices.drive_change_per_year", [-0.2, 0.1]),
        ("shortages.flood.price_factor", [0.5, 1.0, 3.0]),
        ("shortages.flood.months", [1.0, 12.0, 30.0]),
        ("shortages.flood.recovery_months", [0.0, 4.5]),
        ("shortages.flood.probability_fraction", [0.0, 0.4, 0.6, 1.0]),
    ],
)
def test_a_grid_equals_one_scenario_after_another(flooded, key, values):
    grid = evaluate(flooded, draws=20, positions={key: values})
    for place, value in enumerate(values):
        alone = evaluate(flooded.varied({key: value}), draws=20)
        for one, other in zip(grid.at(place).builds, alone.builds, strict=True):
            assert one.money.net_present_cost.point == pytest.approx(
                other.money.net_present_cost.point, rel=1e-12
            )
            np.testing.assert_allclose(
                one.money.net_present_cost_by_draw, other.money.net_present_cost_by_draw, rtol=1e-12
            )


def test_a_shortage_comes_in_its_share_of_futures(flooded):
    """In three of ten; the month before it and the end of the horizon know nothing of it."""
    with_it = paths(flooded.varied({"shortages.flood.price_factor": 2.0}))["tb16"]
    factors = with_it / paths(flooded.varied({"shortages.flood.price_factor": 1.0}))["tb16"]
    comes = factors[:, 14] > 1.5  # March 2028, if it starts in January 2027
    assert flooded.start_date.isoformat() == "2027-01-01"
    assert comes.mean() == pytest.approx(0.3, abs=1 / DRAWS)
    np.testing.assert_allclose(factors[:, :14], 1.0, rtol=1e-12)
    np.testing.assert_allclose(factors[~comes], 1.0, rtol=1e-12)
    np.testing.assert_allclose(factors[comes, 14], 2.0, rtol=1e-12)


@pytest.mark.parametrize(("chance", "comes"), [(0.0, 1), (0.5, 1), (0.51, 3), (1.0, 3)])
def test_at_the_middle_it_comes_where_that_is_likelier_than_not(small, chance, comes):
    flood = {"from_date": "2027-02-01", "months": 100, "price_factor": 3.0}
    scenario = with_tables(small, {"shortages": {"f": {**flood, "probability_fraction": chance}}})
    prices = bought(scenario)
    assert prices.pop(0) == 100
    assert set(prices.values()) == {100 * comes}


def test_a_shortage_by_hand(small):
    """Drives at 100 are added every month from the third on: dear in April and May, then back in
    two steps; only the classes it names."""
    flood = {"from_date": "2027-04-15", "months": 2, "price_factor": 1.9, "recovery_months": 2}
    scenario = with_tables(small, {"shortages": {"flood": flood}})
    expected = {0: 100, 3: 190, 4: 190, 5: 160, 6: 130, 7: 100}
    months = bought(scenario)
    assert {3, 4, 5, 6} <= months.keys()
    assert months == pytest.approx({month: expected.get(month, 100) for month in months})
    other = small.as_written()["drives"]["ten"]
    named = with_tables(scenario, {"drives.other": other, "shortages.flood.drives": ["other"]})
    assert set(bought(named).values()) == {100}


def test_two_shortages_at_once_multiply(small):
    one = {"from_date": "2027-04-01", "months": 1, "price_factor": 1.5}
    both = {"one": one, "two": {**one, "from_date": "2027-03-01", "months": 9, "price_factor": 0.8}}
    assert bought(with_tables(small, {"shortages": both}))[3] == pytest.approx(120)


def test_a_quote_holds_until_the_month_of_its_date_is_over(small):
    """Prices rise by six tenths a year; after the quote the market of month 0 goes on."""
    rising = {"prices.drive_change_per_year": 0.6}
    quoted = small.varied({**rising, "drives.ten.price_holds_until_date": "2027-05-20"})
    for month, price in bought(quoted).items():
        assert price == pytest.approx(100 if month <= 4 else 100 * 1.6 ** (month / 12))
    always = small.varied({**rising, "drives.ten.price_holds_until_date": "2040-01-01"})
    assert set(bought(always).values()) == {100}


def test_a_quote_shuts_out_strays_and_shortages_too(flooded):
    quoted = flooded.varied({"drives.tb16.price_holds_until_date": "2028-12-01"})
    held, free = paths(quoted, draws=30), paths(flooded, draws=30)
    np.testing.assert_array_equal(held["tb16"][:, :24], 1.0)
    np.testing.assert_array_equal(held["tb16"][:, 24:], free["tb16"][:, 24:])
    others = held.keys() - {"tb16"}
    assert others
    for name in others:
        np.testing.assert_array_equal(held[name], free[name])


def test_a_box_may_be_quoted_and_its_drives_and_shelf_not(small):
    rising = {"prices.box_change_per_year": 0.4, "prices.drive_change_per_year": 0.6}
    until = {"builds.box.box_price_holds_until_date": "2028-04-30"}
    shelf = {"bays": 6, "price": 400, "drives_at_first": 4}
    scenario = with_tables(small.varied({**FURTHER, **rising}), {"builds.box.shelf": shelf})
    found = outcomes_by_key(sampler(scenario.varied(until)).middle())["box"]
    further = found.flow.holdings[1]
    boxes = (further.cost_by_purchase["box"] / 1000)[0, 0]
    months = np.flatnonzero(boxes)
    assert min(months) < 16 <= max(months)
    counts = further.bought_by_month["box"][0, 0]
    for month in months:
        price = 1.0 if month < 16 else 1.4 ** (month / 12)
        assert boxes[month] == pytest.approx(price * counts[month])
    (month,) = bought(scenario, "shelf")
    assert bought(scenario.varied(until), "shelf")[month] == pytest.approx(
        400 * 1.4 ** (month / 12)
    )
    assert bought(scenario.varied(until)) == bought(scenario)


def test_a_dearer_shortage_that_ends_before_the_horizon_is_never_cheaper(flooded):
    comes = flooded.varied({"shortages.flood.probability_fraction": 1.0})
    cheap, dear = (
        costs(evaluate(comes.varied({"shortages.flood.price_factor": factor}), draws=60))
        for factor in (1.1, 1.8)
    )
    for key, cost in cheap.items():
        assert np.all(dear[key] >= cost - 1e-6)
        assert np.any(dear[key] > cost + 10)
