"""Streams in every future: each as if it had been written so."""

import numpy as np
import pytest

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
    assert (speed.streams.point, speed.limited_by) == (0, "the pool")
