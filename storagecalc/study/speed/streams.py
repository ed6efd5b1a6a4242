"""How many editors a build serves at once, and what limits them."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray
from storagecalc.models.throughput import (
    fair_shares_mb_s,
    pool_read_mb_s,
    streams_at_once,
    tcp_goodput_mb_s,
)
from storagecalc.models.units import mb_s_from_mbit_s
from storagecalc.study.axes import ByPosition, Spread, at_share, spread, three_axes
from storagecalc.study.capacity.space import Space
from storagecalc.study.footage.footage import by_month
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

# RFC 791 and RFC 9293 with the time stamps of RFC 7323, which operating systems switch on.
IP_HEADER_BYTES = 20
TCP_HEADER_BYTES = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What each part between pool and desk carries, as bought: arrays (positions, draws, 1).

    ``streams`` are those that pool and links carry at once.
    """

    pool_mb_s: FloatArray
    box_link_mb_s: FloatArray
    desk_link_mb_s: FloatArray
    stream_mb_s: FloatArray
    streams: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedResult:
    """Speed of a build as bought: one number (or row of months) a position.

    ``desk_share_mb_s`` is what each desk gets when as many as edit at the start pull all they can.
    ``limited_by`` names by position what gives out first: "the drives", "the box link" or
    "the desk link". ``sure_streams`` hold with the studio's confidence. ``editors_by_month`` are
    the people who edit at once, and ``streams_short_from_months`` tells when they first play more
    streams than those, infinite where never.
    """

    pool_mb_s: ByPosition
    box_link_mb_s: ByPosition
    desk_link_mb_s: ByPosition
    stream_mb_s: ByPosition
    streams: Spread
    streams_by_draw: Any
    sure_streams: ByPosition
    desk_share_mb_s: ByPosition
    editors_by_month: FloatArray
    streams_short_from_months: ByPosition
    limited_by: ByPosition


def rates(drawn: Scenario, build: Build, space: Space) -> Rates:
    """What pool and links of a build carry.

    Parameters
    ----------
    drawn
        A scenario whose ranges are numbers or arrays.
    build, space
        The build and its space.
    """
    network = drawn.network
    pool = three_axes(_pool_mb_s(drawn, build, space))
    box, desk = (
        three_axes(_goodput_mb_s(link_gbit_s, network.mtu_bytes))
        for link_gbit_s in (build.box_link_gbit_s, network.desk_link_gbit_s)
    )
    stream = three_axes(mb_s_from_mbit_s(network.stream_mbit_s))
    streams = streams_at_once(pool_mb_s=pool, link_mb_s=box, stream_mb_s=stream)
    return Rates(
        pool_mb_s=pool,
        box_link_mb_s=box,
        desk_link_mb_s=desk,
        stream_mb_s=stream,
        streams=np.where(desk >= stream, streams, 0.0),
    )


def speed_result(drawn: Scenario, point: Rates, streams_by_draw: FloatArray) -> SpeedResult:
    """What is told of a build's speed.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    point
        Its rates at the middle of every range.
    streams_by_draw
        Streams in every future, shape (positions, draws).
    """
    pool, box, desk, stream = (
        rate[:, 0, 0]
        for rate in (point.pool_mb_s, point.box_link_mb_s, point.desk_link_mb_s, point.stream_mb_s)
    )
    editors = _editors_by_month(drawn)
    played = editors * np.reshape(drawn.team.streams_per_editor, (-1, 1))
    sure = at_share(streams_by_draw, 1.0 - drawn.needs.confidence_fraction)
    return SpeedResult(
        pool_mb_s=pool,
        box_link_mb_s=box,
        desk_link_mb_s=desk,
        stream_mb_s=stream,
        streams=spread(point.streams[..., 0], streams_by_draw),
        streams_by_draw=streams_by_draw,
        sure_streams=sure,
        desk_share_mb_s=_desk_share_mb_s(editors[:, 0], np.minimum(pool, box), desk),
        editors_by_month=editors,
        streams_short_from_months=_short_from_months(played, sure),
        limited_by=_limit(pool, box, desk, stream),
    )


def _editors_by_month(drawn: Scenario) -> FloatArray:
    """People who edit at once, shape (positions, months)."""
    editors = np.asarray(by_month(drawn, drawn.team, "editors"), dtype=np.float64)
    shape = (*editors.shape[:-1], drawn.horizon_months)
    whole: FloatArray = np.broadcast_to(editors, shape).reshape(-1, drawn.horizon_months)
    return whole


def _desk_share_mb_s(
    editors: FloatArray, link_mb_s: FloatArray, desk_mb_s: FloatArray
) -> FloatArray:
    """What one desk gets; nobody at work counts as one."""
    desks = np.maximum(1, np.rint(editors))
    pulling = np.arange(desks.max()) < desks[:, None]
    shares = fair_shares_mb_s(link_mb_s=link_mb_s, demands_mb_s=pulling * desk_mb_s[:, None])
    share: FloatArray = shares[..., 0]
    return share


def _short_from_months(played_by_month: FloatArray, streams: FloatArray) -> FloatArray:
    short = played_by_month > streams[:, None]
    months: FloatArray = np.where(short.any(axis=-1), short.argmax(axis=-1), np.inf)
    return months


def _goodput_mb_s(link_gbit_s: Any, mtu_bytes: int) -> Any:
    return tcp_goodput_mb_s(
        link_gbit_s=link_gbit_s,
        mtu_bytes=mtu_bytes,
        ip_header_bytes=IP_HEADER_BYTES,
        tcp_header_bytes=TCP_HEADER_BYTES,
    )


def _pool_mb_s(drawn: Scenario, build: Build, space: Space) -> Any:
    drives = drawn.drives[build.drives]
    box = space.pools.layouts[0]
    data_drives = np.ravel(box.group_count * (box.drives_per_group - box.parity_drives))[0]
    return pool_read_mb_s(
        data_drives=float(data_drives),
        read_chunk_mb=drawn.network.read_chunk_mb,
        seek_ms=drives.seek_ms,
        rpm=drives.spindle_rpm,
        media_mb_s=drives.media_mb_s,
    )


def _limit(pool: FloatArray, box: FloatArray, desk: FloatArray, stream: FloatArray) -> Any:
    """What gives out first, by position."""
    shared = np.where(pool < box, "the drives", "the box link")
    return np.where(desk < stream, "the desk link", shared)
