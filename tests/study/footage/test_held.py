"""Footage as it comes: what is recorded, a changing team, what is fetched back, example curves."""

import copy
import math
from datetime import date

import numpy as np
import pytest
from study.small import SMALL

from storagecalc import Scenario, ScenarioError, evaluate
from storagecalc.models.tables import table
from storagecalc.study.decision.cautions import assumed, borrowed_curves, cautions
from storagecalc.study.footage.footage import footage
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.footage import example_curves
from storagecalc.study.scenario.load import scenario_from

VAULT = {"price_per_tb_month": 2.0, "fetch_price_per_tb": 30.0, "fetch_h_per_tb": 1.5}


def small(**tables) -> Scenario:
    """The studio worked out by hand, 10 TB a month, with some tables replaced."""
    raw = copy.deepcopy(SMALL) | {"start_date": date(2027, 1, 1)}
    return scenario_from(raw | tables, source="by hand")


def shoots(**keys):
    return {"shoots": SMALL["work"]["shoots"] | keys}


def footage_of(scenario):
    """What is held, moved and fetched at the middle of every range."""
    return footage(sampler(scenario).middle())


# ---------------------------------------------------------------- what is recorded


def test_held_footage_grows_by_what_is_recorded():
    held = evaluate(small()).held_tb_by_month.point
    np.testing.assert_allclose(held, 10.0 * np.arange(1, 25), rtol=1e-12)


def test_what_is_recorded_a_month_is_told_for_the_first_and_the_last_year():
    """10 TB a month; from July 2028 on, half of the last year, three times that."""
    changes = [{"from_date": "2028-07-01", "cameras": 3}]
    recorded = evaluate(small(work=shoots(changes=changes)), draws=3).recorded["shoots"]
    assert recorded.first_year_tb_per_month == pytest.approx(10)
    assert recorded.last_year_tb_per_month == pytest.approx(20)


def test_a_grid_has_what_is_recorded_at_each_position():
    grid = evaluate(small(), positions={"work.shoots.cameras": [1, 2]})
    assert grid.at(1).recorded["shoots"].first_year_tb_per_month == pytest.approx(20)
    still = evaluate(small(), positions={"place.desk_m": [1, 2]})
    assert still.at(1).recorded["shoots"].last_year_tb_per_month == pytest.approx(10)


def test_working_copies_belong_to_the_people_who_edit():
    held = evaluate(small()).held_tb_by_month.point
    three = small().varied({"team.editors": 3, "team.working_tb_per_editor": 2})
    np.testing.assert_allclose(evaluate(three).held_tb_by_month.point - held, 6.0)


def test_dated_changes_and_ends_take_effect_in_their_month():
    raw = small().as_written()
    raw["work"]["shoots"] |= {
        "changes": [{"from_date": "2027-07-01", "cameras": 3}],
        "end_date": "2028-01-01",
    }
    held = evaluate(scenario_from(raw, source="changed")).held_tb_by_month.point
    np.testing.assert_allclose(np.diff(held, prepend=0), [10] * 6 + [30] * 6 + [0] * 12, atol=1e-9)


def test_stills_count_too():
    raw = small().as_written()
    raw["work"]["shoots"] |= {"stills_per_shoot_day": 1000, "still_mb": 50}
    scenario = scenario_from(raw, source="stills")
    more = footage(sampler(scenario).middle()).recorded_tb_by_month
    np.testing.assert_allclose(more, 10 + 10 * 1000 * 50 / 1e6)


# ---------------------------------------------------------------- the team


def team(**keys):
    return {"editors": 2, "working_tb_per_editor": 3, **keys}


def test_dated_changes_of_the_team_bring_working_copies():
    """Two people with 3 TB each, five from July on, and 4 TB each from the next January."""
    changes = [
        {"from_date": date(2027, 7, 1), "editors": 5},
        {"from_date": date(2028, 1, 1), "working_tb_per_editor": 4},
    ]
    changing = evaluate(small(team=team(changes=changes))).held_tb_by_month.point
    without = evaluate(small()).held_tb_by_month.point
    np.testing.assert_allclose(changing - without, [6.0] * 6 + [15.0] * 6 + [20.0] * 12)


def test_dated_changes_of_the_team_bring_streams():
    changes = [{"from_date": date(2028, 3, 1), "editors": 100}]
    result = evaluate(small(team=team(changes=changes)))
    speed = result.builds[0].speed
    np.testing.assert_array_equal(speed.editors_by_month, [2.0] * 14 + [100.0] * 10)
    assert speed.editors_by_month[-1] == 100
    assert 2 <= speed.streams.point < 100
    assert speed.streams_short_from_months == 14
    found = {caution.kind: caution.facts for caution in cautions(result)}
    assert found["streams short"]["from_date"] == date(2028, 3, 1)
    assert found["streams short"]["editors"] == 100


def test_streams_are_counted_for_each_editor():
    """As many people as streams is enough; one more layer each is not, from the first month."""
    streams = evaluate(small()).builds[0].speed.streams.point
    enough = small(team=team(editors=streams))
    assert evaluate(enough).builds[0].speed.streams_short_from_months == math.inf
    assert "streams short" not in {caution.kind for caution in cautions(evaluate(enough))}
    layered = evaluate(enough.varied({"team.streams_per_editor": 2}))
    assert layered.builds[0].speed.streams_short_from_months == 0
    found = {caution.kind: caution.facts for caution in cautions(layered)}
    assert found["streams short"]["from_date"] is None


def test_desks_share_what_there_is_position_by_position():
    scenario = small(network={"desk_link_gbit_s": 10}, team=team())
    positions = {"team.editors": [1.0, 2.0, 7.0]}
    grid = evaluate(scenario, positions=positions)
    for place, editors in enumerate(positions["team.editors"]):
        alone = evaluate(scenario.varied({"team.editors": editors})).builds[0].speed
        assert grid.at(place).builds[0].speed.desk_share_mb_s == alone.desk_share_mb_s
        assert alone.desk_share_mb_s == pytest.approx(
            min(alone.desk_link_mb_s, min(alone.pool_mb_s, alone.box_link_mb_s) / editors)
        )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ([{"from_date": date(2027, 1, 1), "editors": 3}], "change the team itself instead"),
        ([{"from_date": date(2039, 1, 1), "editors": 3}], "would change nothing"),
        ([{"from_date": date(2027, 5, 1)}], "names no key that changes"),
        ([{"from_date": date(2027, 5, 1), "editors": -3}], "from 0 to 200 people"),
        ([{"from_date": date(2027, 5, 1), "editor": 3}], 'did you mean "editors"'),
        (
            [
                {"from_date": date(2027, 6, 1), "editors": 3},
                {"from_date": date(2027, 5, 1), "editors": 4},
            ],
            "in order",
        ),
    ],
)
def test_a_bad_change_of_the_team_is_named(changes, words):
    with pytest.raises(ScenarioError, match=words):
        small(team=team(changes=changes))


# ---------------------------------------------------------------- elsewhere


def leaving(**keys):
    """Everything leaves after six months; 24 of 100 TB there are fetched back in a year."""
    step = {"after_months": 6, "keep_fraction": 0, "rest_goes_to": "vault"}
    return {"all": {"steps": [step], "fetched_back_fraction_per_year": 0.24, **keys}}


def test_what_is_fetched_back_costs_its_price_and_its_hours():
    """Of 10, 20, ... TB there, 2 in 100 are fetched each month, at 30 and 1.5 h of 10 a TB."""
    result = evaluate(small(keep=leaving(), elsewhere={"vault": VAULT}))
    there = sum(10 * max(0, month - 6) for month in range(1, 25))
    by_hand = 2.0 * there + 0.02 * there * (30 + 1.5 * 10)
    assert result.builds[0].money.present_cost_by_category["archive"] == pytest.approx(by_hand)


def test_fetching_follows_wages_and_prices_month_by_month():
    dear = {**SMALL["prices"], "inflation_per_year": 0.1}
    result = evaluate(small(keep=leaving(), elsewhere={"vault": VAULT}, prices=dear))
    there = np.array([10.0 * max(0, month - 6) for month in range(1, 25)])
    each = there * (2.0 + 0.02 * 45) * 1.1 ** (np.arange(24) / 12)
    assert result.builds[0].money.present_cost_by_category["archive"] == pytest.approx(each.sum())


def test_what_was_put_away_before_today_is_not_fetched():
    footage = footage_of(small(keep=leaving(), elsewhere={"vault": VAULT}))
    np.testing.assert_allclose(
        footage.fetched_tb_by_month["vault"], 0.02 * footage.moved_tb_by_month["vault"]
    )
    nothing = footage_of(small(elsewhere={"vault": VAULT}))
    assert not nothing.fetched_tb_by_month["vault"].any()


def test_nothing_fetched_costs_rent_only():
    rent = small(keep=leaving(fetched_back_fraction_per_year=0), elsewhere={"vault": VAULT})
    free = {"vault": {**VAULT, "fetch_price_per_tb": 0, "fetch_h_per_tb": 0}}
    for scenario in (rent, small(keep=leaving(), elsewhere=free)):
        cost = evaluate(scenario).builds[0].money.present_cost_by_category["archive"]
        assert cost == pytest.approx(2.0 * sum(10 * max(0, month - 6) for month in range(1, 25)))


# ---------------------------------------------------------------- example keep curves


@pytest.mark.parametrize("name", example_curves())
def test_an_example_curve_is_what_its_steps_say(name):
    rows = [row for row in table("keep_curves") if row["key"] == name]
    away = any(row["rest_goes_to"] == "elsewhere" for row in rows)
    places = {"vault": VAULT}
    steps = [
        {
            "after_months": int(row["after_months"]),
            "keep_fraction": float(row["keep_fraction"]),
            "rest_goes_to": "vault" if row["rest_goes_to"] == "elsewhere" else "deleted",
        }
        for row in rows
        if row["after_months"]
    ]
    like = {"like": name, **({"rest_goes_to": "vault"} if away else {})}
    work = shoots(stored_today_tb=30)
    borrowed = small(keep={"all": like}, elsewhere=places, work=work, horizon_months=72)
    written = small(keep={"all": {"steps": steps}}, elsewhere=places, work=work, horizon_months=72)
    one, other = evaluate(borrowed), evaluate(written)
    np.testing.assert_array_equal(one.held_tb_by_month.point, other.held_tb_by_month.point)
    assert (
        one.builds[0].money.present_cost_by_category
        == other.builds[0].money.present_cost_by_category
    )
    assert scenario_from(borrowed.as_written(), source="again") == borrowed


def test_the_table_of_example_curves_is_sound():
    assert len(example_curves()) >= 4
    for rows in example_curves().values():
        assert len({row["status"] for row in rows}) == 1
        shares = [1.0, *(float(row["keep_fraction"]) for row in rows if row["keep_fraction"])]
        assert shares == sorted(shares, reverse=True)
        for row in rows:
            assert row["status"] in ("common practice, no source", "invented example")
            assert row["rest_goes_to"] in ("deleted", "elsewhere", "")
            assert all(row[column] for column in ("note", "source", "unit"))
            assert date.fromisoformat(row["date"])


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ({"like": "archive after a yeer"}, 'did you mean "archive after a year"'),
        ({"like": "as ever"}, '"everything kept", "delivered then half"'),
        ({"like": 7}, "text in quotes"),
        ({"like": "archive after a year"}, "say where with rest_goes_to"),
        ({"like": "archive after a year", "rest_goes_to": "volt"}, 'did you mean "vault"'),
        ({"like": "everything kept", "rest_goes_to": "vault"}, "moves nothing away"),
        ({"rest_goes_to": "vault"}, "belongs in the steps"),
        (
            {"like": "everything kept", "steps": [{"after_months": 3, "keep_fraction": 0.5}]},
            "steps or like, not both",
        ),
    ],
)
def test_a_bad_example_is_named(rule, words):
    with pytest.raises(ScenarioError, match=words):
        small(keep={"all": rule}, elsewhere={"vault": VAULT})


def test_an_example_curve_is_told_as_an_assumption():
    result = evaluate(small(keep={"all": {"like": "raw deleted after acceptance"}}))
    (curve,) = borrowed_curves(result)
    assert (curve.rule, curve.like) == ("all", "raw deleted after acceptance")
    assert curve.status == "invented example"
    assert borrowed_curves(evaluate(small())) == ()


def test_defaults_without_effect_are_not_told_as_assumptions():
    def keys(scenario):
        return {entry.key for entry in assumed(evaluate(scenario))}

    spread, back = "job_size_spread_fraction", "fetched_back_fraction_per_year"
    assert not any(key.endswith((spread, back)) for key in keys(small()))
    assert f"work.shoots.{spread}" in keys(small(work=shoots(jobs_per_month=2)))
    like = {"all": {"like": "archive after a year", "rest_goes_to": "vault"}}
    assert f"keep.all.{back}" in keys(small(keep=like, elsewhere={"vault": VAULT}))


# ---------------------------------------------------------------- stored today


@pytest.mark.parametrize("older_months", [0, 20])
def test_a_steady_studio_stays_steady(older_months):
    """10 TB a month, gone after ten months: 4 full months and six at half are 70 TB, for ever.

    Footage older than the curve has left nothing, so saying that there was some changes nothing.
    """
    steps = [{"after_months": 4, "keep_fraction": 0.5}, {"after_months": 10, "keep_fraction": 0}]
    steady = small(
        keep={"all": {"steps": steps}},
        work=shoots(stored_today_tb=70, stored_oldest_months=10 + older_months),
    )
    held_tb = evaluate(steady).held_tb_by_month.point
    np.testing.assert_allclose(held_tb, 70.0, rtol=1e-12)


def test_stored_footage_ages_under_an_example_curve_too():
    """Recorded over the last 12 months, all of it gone to the vault but a twentieth a year on."""
    like = {"all": {"like": "archive after a year", "rest_goes_to": "vault"}}
    idle = shoots(shoot_days_per_month=0, stored_today_tb=12, stored_oldest_months=12)
    result = footage_of(small(keep=like, elsewhere={"vault": VAULT}, work=idle))
    left = [12 - 0.95 * min(month, 12) for month in range(1, 25)]
    np.testing.assert_allclose(result.held_tb_by_month[0, 0], left)
    np.testing.assert_allclose(result.moved_tb_by_month["vault"][0, 0], 12 - np.array(left))
