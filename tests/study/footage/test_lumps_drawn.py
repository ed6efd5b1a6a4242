"""Lumps in the draws: the same unknowns as before, and in each future jobs of its own."""

import copy
import math
from datetime import date

import numpy as np
import pytest
from study.small import SMALL

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.study.decision.cautions import cautions
from storagecalc.study.footage.footage import footage
from storagecalc.study.sampling import month_spread_fraction, sampler
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.quantity import entries

JOBS = {"work.stage.jobs_per_month": 2.0, "work.documentary.jobs_per_month": 0.7}
DOUBTFUL_JOBS = {"low": 1.2, "middle": 2.0, "high": 3.5}


@pytest.fixture(scope="module")
def lumpy(demo) -> Scenario:
    """The demo with both kinds of work in lumps."""
    return demo.varied(JOBS)


def small(**work) -> Scenario:
    """The studio worked out by hand, 10 TB a month, with some keys of its work replaced."""
    raw = copy.deepcopy(SMALL)
    raw["work"]["shoots"] |= work
    return scenario_from(raw, source="by hand")


def drawn(scenario, draws=200, seed=0):
    return sampler(scenario, draws=draws, seed=seed).futures(0, draws)


def assert_same(one, other):
    """The same futures: held data, cost and headroom of every build, draw by draw."""
    for name in ("point", "p10", "p50", "p90"):
        np.testing.assert_allclose(
            getattr(one.held_tb_by_month, name), getattr(other.held_tb_by_month, name), rtol=1e-12
        )
    for here, there in zip(one.builds, other.builds, strict=True):
        np.testing.assert_allclose(
            here.money.net_present_cost_by_draw, there.money.net_present_cost_by_draw, rtol=1e-9
        )
        np.testing.assert_array_equal(
            here.capacity.headroom_months_by_draw, there.capacity.headroom_months_by_draw
        )
        assert here.speed.streams_short_from_months == there.speed.streams_short_from_months


def test_lumps_leave_the_point_as_it_was(demo, lumpy):
    for one, other in zip(evaluate(demo).builds, evaluate(lumpy, draws=50).builds, strict=True):
        assert one.money.net_present_cost.point == other.money.net_present_cost.point
    np.testing.assert_array_equal(
        evaluate(demo).held_tb_by_month.point, evaluate(lumpy, draws=50).held_tb_by_month.point
    )


def test_lumps_leave_the_mean_held_data_as_it_was(demo, lumpy):
    """Within 5.5 standard errors of the draws' difference: one failure in 10 million seeds."""
    smooth, rough = (footage(drawn(each, 2000)).held_tb_by_month for each in (demo, lumpy))
    apart = rough - smooth
    error = apart.std(axis=1) / math.sqrt(2000)
    assert np.all(np.abs(apart.mean(axis=1)) < 5.5 * error)
    assert np.all(5.5 * error < 0.03 * smooth.mean(axis=1))
    assert np.all(rough.var(axis=1) > smooth.var(axis=1))


def test_one_month_strays_as_the_caution_says(demo):
    """The first month of the demo's stage work, against its smooth footage."""
    rough = demo.varied(JOBS)
    smooth_tb, rough_tb = (
        footage(drawn(each, 4000)).recorded_tb_by_month[0, :, 0]
        for each in (
            demo.varied({"work.documentary.shoot_days_per_month": 0}),
            rough.varied({"work.documentary.shoot_days_per_month": 0}),
        )
    )
    strays = (rough_tb / smooth_tb).std()
    spread = month_spread_fraction(rough.work["stage"])
    assert spread == pytest.approx(math.sqrt((1 + 0.5**2) / 2))
    assert strays == pytest.approx(spread, rel=0.06)
    assert month_spread_fraction(demo.work["stage"]) is None


def test_lumps_change_no_other_stream(demo):
    lumpy = demo.varied({"work.stage.jobs_per_month": DOUBTFUL_JOBS})
    before, after = drawn(demo), drawn(lumpy)
    new = {"work.stage.jobs_per_month"}
    values = {entry.key: entry.value for entry in entries(after)}
    for entry in entries(before):
        np.testing.assert_array_equal(values.pop(entry.key), entry.value, err_msg=entry.key)
    assert set(values) == new
    assert after.work["documentary"].lump_factors == 1.0
    alone = drawn(demo.varied({"work.stage.jobs_per_month": 2.0}))
    both = drawn(demo.varied(JOBS))
    np.testing.assert_array_equal(alone.work["stage"].lump_factors, both.work["stage"].lump_factors)
    assert not np.array_equal(
        both.work["stage"].lump_factors, both.work["documentary"].lump_factors
    )


def test_another_seed_draws_other_jobs(lumpy):
    one, same, other = (drawn(lumpy, seed=seed).work["stage"].lump_factors for seed in (0, 0, 1))
    np.testing.assert_array_equal(one, same)
    assert not np.array_equal(one, other)


@pytest.mark.parametrize("doubtful", [False, True])
@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("work.stage.jobs_per_month", [0.5, 2.0, 40.0]),
        ("work.stage.job_size_spread_fraction", [0.0, 0.5, 1.5]),
        ("work.stage.shoot_days_per_month", [2.0, 9.0]),
        ("team.editors", [2.0, 5.0, 9.0]),
        ("team.changes.0.editors", [6.0, 30.0]),
        ("team.streams_per_editor", [1.0, 2.0]),
        ("team.changes.0.working_tb_per_editor", [0.5, 3.0]),
        ("elsewhere.vault.fetch_price_per_tb", [0.0, 90.0]),
        ("elsewhere.vault.fetch_h_per_tb", [0.0, 4.0]),
        ("keep.own_films.fetched_back_fraction_per_year", [0.0, 0.3]),
    ],
)
def test_a_grid_equals_one_scenario_after_another(lumpy, key, values, doubtful):
    change = {"from_date": date(2029, 3, 1), "editors": 8.0, "working_tb_per_editor": 1.0}
    scenario = lumpy.varied({"team.changes": [change]})
    if doubtful:
        scenario = scenario.varied({"work.stage.jobs_per_month": DOUBTFUL_JOBS})
    grid = evaluate(scenario, draws=20, positions={key: values})
    for place, value in enumerate(values):
        assert_same(grid.at(place), evaluate(scenario.varied({key: value}), draws=20))


def test_grids_in_parts_have_the_same_jobs(lumpy, monkeypatch):
    positions = {"work.stage.jobs_per_month": np.linspace(1, 5, 5)}
    whole = evaluate(lumpy, draws=10, positions=positions)
    monkeypatch.setattr("storagecalc.study.evaluate.CELLS_AT_ONCE", 2 * 10 * 84)
    parts = evaluate(lumpy, draws=10, positions=positions)
    for place in range(5):
        assert_same(whole.at(place), parts.at(place))


def test_more_footage_never_lengthens_headroom_in_any_future(lumpy):
    last = None
    for days in (2.0, 4.0, 7.0):
        result = evaluate(lumpy.varied({"work.stage.shoot_days_per_month": days}), draws=60)
        headroom = np.stack([build.capacity.headroom_months_by_draw for build in result.builds])
        assert last is None or np.all(headroom <= last)
        last = headroom


def test_a_stricter_keep_rule_never_shortens_headroom_in_any_future(lumpy):
    last = None
    for share in (0.9, 0.5, 0.2):
        key = "keep.own_films.steps.0.keep_fraction"
        result = evaluate(lumpy.varied({key: share}), draws=60)
        headroom = np.stack([build.capacity.headroom_months_by_draw for build in result.builds])
        assert last is None or np.all(headroom >= last)
        last = headroom


def test_drawn_jobs_cannot_be_written_into_a_file():
    for name in ("lump_factors", "_lump_factors"):
        with pytest.raises(ScenarioError, match="not a known key"):
            small(**{name: 2.0})
    lumpy = small(jobs_per_month=2)
    assert "lump" not in str(drawn(lumpy).as_written())


@pytest.mark.parametrize("bad", [0, -1, 301, "two", math.nan])
def test_a_count_of_jobs_is_checked(bad):
    with pytest.raises(ScenarioError, match="jobs_per_month"):
        small(jobs_per_month=bad)


def test_lumps_are_told_for_each_kind_of_work(demo, lumpy):
    told = [caution.facts for caution in cautions(evaluate(lumpy)) if caution.kind == "lumps"]
    assert [facts["work"] for facts in told] == ["stage", "documentary"]
    assert told[0]["jobs"] == 2.0
    assert not any(caution.kind == "lumps" for caution in cautions(evaluate(demo)))


def test_a_steady_studio_in_lumps_stays_steady_on_average():
    """Flat to 1 % over 2,000 futures, seen year by year."""
    steps = [{"after_months": 4, "keep_fraction": 0.5}, {"after_months": 10, "keep_fraction": 0}]
    steady = small(stored_today_tb=70, stored_oldest_months=10, jobs_per_month=3)
    steady = steady.varied({"keep.all.steps": steps})
    by_month = footage(drawn(steady, 2000)).held_tb_by_month.mean(axis=1)[0]
    np.testing.assert_allclose(by_month.reshape(2, 12).mean(axis=1), 70.0, rtol=0.01)


def test_two_kinds_of_work_have_jobs_of_their_own():
    """Alike in all that is written, yet their months differ from one another in every future."""
    raw = copy.deepcopy(SMALL)
    shoots = raw["work"]["shoots"] | {"jobs_per_month": 2.0}
    raw["work"] = {"shoots": shoots, "others": dict(shoots)}
    work = drawn(scenario_from(raw, source="by hand"), draws=20).work
    one, other = (work[name].lump_factors for name in ("shoots", "others"))
    assert one.shape == other.shape
    assert np.all(np.any(one != other, axis=-1))


@pytest.mark.parametrize(("first", "last"), [(0, 8), (3, 8), (5, 20)])
def test_some_of_the_futures_have_the_jobs_they_have_among_all(first, last):
    scenario = small(jobs_per_month=2.0)
    part = sampler(scenario, draws=20).futures(first, last).work["shoots"].lump_factors
    whole = drawn(scenario, draws=20).work["shoots"].lump_factors
    np.testing.assert_array_equal(part, whole[:, first:last])
