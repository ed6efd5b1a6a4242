"""Streams in every future: each as if it had been written so."""

import numpy as np
import pytest
from study.small import with_tables

from storagecalc import evaluate
from storagecalc.study.decision.needs import standings
from storagecalc.study.sampling import sampler

DOUBT = {"low": 200, "middle": 400, "high": 900}
CHUNK = {"low": 1, "middle": 4, "high": 16}
DRAWS = 25


@pytest.fixture
def doubtful(small):
    return small.varied(
        {"network.stream_mbit_s": DOUBT, "network.read_chunk_mb": CHUNK,
         "network.desk_link_gbit_s": 10, "needs.streams": 3}
    )  # fmt: skip


def test_streams_in_each_future_are_those_of_its_own_numbers(doubtful):
    speed = evaluate(doubtful, draws=DRAWS).builds[0].speed
    network = sampler(doubtful, draws=DRAWS).futures(0, DRAWS).network
    for draw in range(DRAWS):
        one = doubtful.varied(
            {f"network.{name}": float(getattr(network, name)[0, draw, 0])
             for name in ("stream_mbit_s", "read_chunk_mb")}
        )  # fmt: skip
        assert speed.streams_by_draw[draw] == evaluate(one).builds[0].speed.streams.point
    assert len(set(speed.streams_by_draw.tolist())) > 3


def test_streams_are_whole_and_their_spread_is_that_of_the_futures(doubtful):
    streams = evaluate(doubtful, draws=DRAWS).builds[0].speed.streams
    by_draw = evaluate(doubtful, draws=DRAWS).builds[0].speed.streams_by_draw
    assert np.all(by_draw == np.floor(by_draw))
    assert streams.p10 <= streams.p50 <= streams.p90
    assert streams.mean == pytest.approx(by_draw.mean())
    assert streams.p90 == np.sort(by_draw)[int(np.ceil(0.9 * DRAWS)) - 1]


def test_the_need_for_streams_is_met_in_the_futures_that_have_them(doubtful):
    evaluation = evaluate(doubtful, draws=DRAWS)
    (need,) = (each for each in standings(evaluation)[0].needs if each.need == "streams")
    by_draw = evaluation.builds[0].speed.streams_by_draw
    assert need.met_fraction == pytest.approx((by_draw >= 3).mean())


def test_one_stream_by_hand(small):
    """10 Gbit/s of box and desk carry 1177 MB/s of payload; streams of 8,000 Mbit/s are 1000 MB/s:
    the pool of three data drives does less, and none is played."""
    fast = small.varied({"network.stream_mbit_s": 8000, "network.desk_link_gbit_s": 10})
    speed = evaluate(fast).builds[0].speed
    assert speed.stream_mb_s == 1000
    assert speed.box_link_mb_s == pytest.approx(1250 * 1448 / 1538, rel=1e-3)
    assert (speed.streams.point, speed.limited_by) == (0, "the drives")


@pytest.mark.parametrize("confidence", [0.8, 0.92])
def test_streams_that_are_sure_hold_in_as_many_futures_as_the_studio_asks(doubtful, confidence):
    asked = doubtful.varied({"needs.confidence_fraction": confidence})
    speed = evaluate(asked, draws=DRAWS).builds[0].speed
    assert (speed.streams_by_draw >= speed.sure_streams).mean() >= confidence
    assert (speed.streams_by_draw > speed.sure_streams).mean() <= confidence


def test_the_part_that_carries_least_is_the_limit(small):
    """1 Gbit/s are 117.7 MB/s of payload, less than the pool; a desk's link is for one stream."""
    slow = small.varied({"builds.box.box_link_gbit_s": 1, "network.desk_link_gbit_s": 10})
    speed = evaluate(slow.varied({"network.stream_mbit_s": 400})).builds[0].speed
    assert (speed.limited_by, speed.streams.point) == ("the box link", 2)
    desk = slow.varied({"network.desk_link_gbit_s": 1, "builds.box.box_link_gbit_s": 10,
                        "network.stream_mbit_s": 200})  # fmt: skip
    assert evaluate(desk).builds[0].speed.limited_by == "the drives"
    narrow = evaluate(desk.varied({"network.stream_mbit_s": 960})).builds[0].speed
    assert (narrow.limited_by, narrow.streams.point) == ("the desk link", 0)


def test_each_desk_gets_its_share_of_what_pool_and_box_carry_at_the_start(small):
    """Four people at first and twelve later share 117.7 MB/s by four; nobody counts as one."""
    shared = with_tables(
        small,
        {"team": {"editors": 4, "changes": [{"from_date": "2028-01-01", "editors": 12}]},
         "builds.box.box_link_gbit_s": 1, "network.desk_link_gbit_s": 10},
    )  # fmt: skip
    speed = evaluate(shared).builds[0].speed
    assert speed.pool_mb_s > speed.box_link_mb_s
    assert speed.desk_share_mb_s == pytest.approx(speed.box_link_mb_s / 4)
    alone = evaluate(with_tables(shared, {"team": {"editors": 0}})).builds[0].speed
    assert alone.desk_share_mb_s == pytest.approx(alone.box_link_mb_s)


def test_streams_are_short_once_people_times_their_streams_are_more(small):
    """Two are carried; two people with one stream each are served, from March with two are not."""
    team = {"editors": 2, "changes": [{"from_date": "2027-03-01", "editors": 3}]}
    carried = with_tables(
        small,
        {"team": team, "builds.box.box_link_gbit_s": 1, "network.desk_link_gbit_s": 10,
         "network.stream_mbit_s": 400},
    )  # fmt: skip
    assert evaluate(carried).builds[0].speed.streams_short_from_months == 2
    twice = carried.varied({"team.streams_per_editor": 2})
    assert evaluate(twice).builds[0].speed.streams_short_from_months == 0
