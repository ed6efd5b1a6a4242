"""Links, shares of a link, drives that seek, streams and transfers."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.throughput import (
    fair_shares_mb_s,
    pool_read_mb_s,
    seek_bound_mb_s,
    streams_at_once,
    tcp_goodput_mb_s,
    transfer_h,
)

LINKS = st.floats(0, 1e5)
DEMANDS = st.lists(st.floats(0, 1e4), min_size=1, max_size=12)
CHUNKS = st.floats(0.001, 64)
SEEKS = st.floats(0, 20)
TURNS = st.floats(4000, 15_000)
MEDIA = st.floats(20, 400)


def goodput(link, mtu=1500, ip=20, tcp=32):
    return tcp_goodput_mb_s(
        link_gbit_s=link, mtu_bytes=mtu, ip_header_bytes=ip, tcp_header_bytes=tcp
    )


def shares(link, demands):
    return fair_shares_mb_s(link_mb_s=link, demands_mb_s=demands)


def seek_bound(chunk, seek, rpm, media):
    return seek_bound_mb_s(chunk_mb=chunk, seek_ms=seek, rpm=rpm, media_mb_s=media)


def pool_read(drives, chunk, seek, rpm, media):
    return pool_read_mb_s(
        data_drives=drives, read_chunk_mb=chunk, seek_ms=seek, rpm=rpm, media_mb_s=media
    )


def streams(pool, link, stream):
    return streams_at_once(pool_mb_s=pool, link_mb_s=link, stream_mb_s=stream)


def shares_poured_in(link, demands):
    """Fair shares as water: all cups rise alike, full ones are set aside, until nothing is left."""
    got = [Fraction(0)] * len(demands)
    left = Fraction(link)
    thirsty = [place for place, demand in enumerate(demands) if demand > 0]
    while thirsty and left > 0:
        rise = min(
            left / len(thirsty), min(Fraction(demands[place]) - got[place] for place in thirsty)
        )
        for place in thirsty:
            got[place] += rise
        left -= rise * len(thirsty)
        thirsty = [place for place in thirsty if got[place] < Fraction(demands[place])]
    return [float(share) for share in got]


def test_by_hand():
    assert goodput(8, 1538, 20, 32) == pytest.approx(1000 * 1486 / 1576, rel=1e-15)
    assert shares(10, [1, 20, 5]).tolist() == [1, 4.5, 4.5]
    # 4 ms seek, 3 ms half a turn, 13 ms for 2.6 MB at 200 MB/s.
    assert seek_bound(2.6, 4, 10_000, 200) == pytest.approx(2600 / 20, rel=1e-14)
    assert pool_read(3, 7.8, 4, 10_000, 200) == pytest.approx(390, rel=1e-14)
    assert streams(1000, 700, 99) == 7.0
    assert transfer_h(volume_tb=36, mb_s=1250) == pytest.approx(8.0, rel=1e-15)


def test_limits():
    assert goodput(0) == 0.0
    assert goodput(8, 1e12) == pytest.approx(1000.0, rel=1e-9)
    assert shares(0, [3, 4]).tolist() == [0, 0]
    assert shares(100, [3, 4]).tolist() == [3, 4]
    assert shares(100, [0, 0]).tolist() == [0, 0]
    assert shares(5, [7]).tolist() == [5]
    assert seek_bound(1e9, 9, 7200, 150) == pytest.approx(150, rel=1e-6)
    assert seek_bound(1e-9, 5, 6000, 150) == pytest.approx(1e-7, rel=1e-6)
    assert streams(100, 100, 101) == 0.0
    assert transfer_h(volume_tb=0, mb_s=1) == 0.0


def test_whole_streams_are_not_lost_to_the_last_binary_digit():
    # In binary 0.3 / 0.1 is less than 3: the third editor has a seat all the same.
    assert 0.3 / 0.1 < 3
    assert streams(0.3, 1.0, 0.1) == 3.0
    assert streams(1250, 1500, 250) == 5.0
    for count in range(1, 400):
        assert streams(count * 0.7, 1e6, 0.7) == count
        assert streams(count * 0.7 * (1 - 1e-6), 1e6, 0.7) == count - 1


@given(LINKS, DEMANDS)
def test_second_route_to_fair_shares_by_pouring(link, demands):
    np.testing.assert_allclose(
        shares(link, demands), shares_poured_in(link, demands), rtol=1e-9, atol=1e-9
    )


@given(CHUNKS, SEEKS, TURNS, MEDIA)
def test_second_route_to_seeks_over_a_second(chunk, seek, rpm, media):
    """Reads in a second, times their size."""
    seconds = Fraction(seek) / 1000 + 30 / Fraction(rpm) + Fraction(chunk) / Fraction(media)
    assert seek_bound(chunk, seek, rpm, media) == pytest.approx(
        float(Fraction(chunk) / seconds), rel=1e-13
    )


@given(st.floats(0.1, 100), st.integers(600, 9000), st.integers(20, 60), st.integers(20, 60))
def test_second_route_to_goodput_frame_by_frame(link, mtu, ip, tcp):
    frames_per_s = link * 1e9 / (8 * (8 + 14 + mtu + 4 + 12))
    assert goodput(link, mtu, ip, tcp) == pytest.approx(
        frames_per_s * (mtu - ip - tcp) / 1e6, rel=1e-13
    )


def test_published_frame_rates_of_a_gigabit_link():
    """RFC 5180, appendix A.1: frames a second by frame size with check sequence."""
    for frame, frames_per_s in [(64, 1_488_095), (512, 234_962), (1280, 96_153), (1518, 81_274)]:
        mtu = frame - 18
        data_bytes_per_s = goodput(1, mtu, 20, 20) * 1e6
        assert data_bytes_per_s / (mtu - 40) == pytest.approx(frames_per_s, abs=1)


@given(LINKS, DEMANDS)
def test_property_fair_shares(link, demands):
    given_out = shares(link, demands)
    assert np.all(given_out >= 0)
    assert np.all(given_out <= np.array(demands))
    total = min(link, math.fsum(demands))
    assert math.fsum(given_out) == pytest.approx(total, rel=1e-9, abs=1e-9)
    # Whoever asks for more gets no less, and those who are cut short get the same.
    order = np.argsort(demands, kind="stable")
    assert np.all(np.diff(given_out[order]) >= -1e-9)
    cut_short = given_out[given_out < np.array(demands) * (1 - 1e-9)]
    assert cut_short.size == 0 or np.ptp(cut_short) <= 1e-9 * (1 + cut_short.max())


@given(CHUNKS, SEEKS, TURNS, MEDIA, st.integers(1, 20))
def test_property_larger_reads_are_faster_and_more_drives_less_than_pay_off(
    chunk, seek, rpm, media, drives
):
    one = pool_read(drives, chunk, seek, rpm, media)
    assert 0 < one < drives * media
    assert one < pool_read(drives, 2 * chunk, seek, rpm, media)
    assert one <= pool_read(2 * drives, chunk, seek, rpm, media) <= 2 * one
    assert one >= pool_read(drives, chunk, seek + 1, rpm, media)


@given(st.floats(0, 1e4), st.floats(0, 1e4), st.floats(0.5, 500))
def test_property_streams_fit_and_one_more_does_not(pool, link, stream):
    count = streams(pool, link, stream)
    assert count == math.floor(count)
    assert count * stream <= min(pool, link) * (1 + 1e-8)
    assert (count + 1) * stream > min(pool, link) * (1 - 1e-8)


def test_arrays_are_what_their_entries_are():
    links = np.array([[50.0], [500.0]])
    demands = np.array([[10.0, 80.0, 30.0], [400.0, 300.0, 10.0]])
    whole = shares(links, demands)
    assert whole.shape == (2, 2, 3)
    for row, column in np.ndindex(2, 2):
        np.testing.assert_allclose(
            whole[row, column], shares(links[row, 0], demands[column]), rtol=1e-14
        )
    assert goodput([1.0, 10.0])[1] == goodput(10.0)
    assert pool_read([[4], [8]], [1.0, 2.0], 8, 7200, 200).shape == (2, 2)
    assert streams([[300.0], [900.0]], 600.0, [100.0, 250.0]).tolist() == [[3, 1], [6, 2]]


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: goodput(-1), "link_gbit_s"),
        (lambda: goodput(1, 0), "mtu_bytes"),
        (lambda: goodput(1, 52, 20, 32), "mtu_bytes"),
        (lambda: goodput(1, 1500, -20), "ip_header_bytes"),
        (lambda: goodput(1, 1500, 20, math.nan), "tcp_header_bytes"),
        (lambda: shares(-1, [1]), "link_mb_s"),
        (lambda: shares(1, []), "demands_mb_s"),
        (lambda: shares(1, 5), "demands_mb_s"),
        (lambda: shares(1, [-5]), "demands_mb_s"),
        (lambda: seek_bound(0, 1, 7200, 100), "chunk_mb"),
        (lambda: seek_bound(1, -1, 7200, 100), "seek_ms"),
        (lambda: seek_bound(1, 1, 0, 100), "rpm"),
        (lambda: seek_bound(1, 1, 7200, 0), "media_mb_s"),
        (lambda: pool_read(0, 1, 1, 7200, 100), "data_drives"),
        (lambda: pool_read(4, 0, 1, 7200, 100), "read_chunk_mb"),
        (lambda: streams(1, 1, 0), "stream_mb_s"),
        (lambda: streams(-1, 1, 1), "pool_mb_s"),
        (lambda: streams(1, math.inf, 1), "link_mb_s"),
        (lambda: transfer_h(volume_tb=-1, mb_s=1), "volume_tb"),
        (lambda: transfer_h(volume_tb=1, mb_s=0), "mb_s"),
    ],
)
def test_bad_input_is_refused_by_name(call, argument):
    with pytest.raises(ValueError, match=argument):
        call()
