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
from storagecalc.study.axes import ByPosition, by_position
from storagecalc.study.capacity.space import Space
from storagecalc.study.footage.footage import by_month
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.scenario import Scenario

# RFC 791 and RFC 9293 with the time stamps of RFC 7323, which operating systems switch on.
IP_HEADER_BYTES = 20
TCP_HEADER_BYTES = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """Speed of a build as bought, each an array of shape (positions,).

    ``desk_share_mb_s`` is what each desk gets when as many as edit at the start pull all they can.
    ``limited_by`` names by position what gives out first: "the pool", "the box link" or
    "the desk link".
    ``editors_by_month`` are the people who edit at once, shape (positions, months), and
    ``streams_short_from_months`` tells when they first play more streams than there are, infinite
    where never.
    """

    pool_mb_s: ByPosition
    box_link_mb_s: ByPosition
    desk_link_mb_s: ByPosition
    stream_mb_s: ByPosition
    streams: ByPosition
    desk_share_mb_s: ByPosition
    editors_by_month: FloatArray
    streams_short_from_months: ByPosition
    limited_by: ByPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class Desks:
    """What the desks ask for, the same of every build: arrays of shape (positions,) and, by month,
    (positions, months)."""

    stream_mb_s: FloatArray
    link_mb_s: FloatArray
    editors_by_month: FloatArray
    streams_by_month: FloatArray


def desks(drawn: Scenario) -> Desks:
    """Streams, links and people at the desks.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    """
    network = drawn.network
    editors = _editors_by_month(drawn)
    return Desks(
        stream_mb_s=by_position(mb_s_from_mbit_s(network.stream_mbit_s)),
        link_mb_s=by_position(_goodput(network.desk_link_gbit_s, network.mtu_bytes)),
        editors_by_month=editors,
        streams_by_month=editors * by_position(drawn.team.streams_per_editor)[:, None],
    )


def speed(drawn: Scenario, build: Build, space: Space, asked: Desks) -> Speed:
    """Streams that pool and link of a build carry at once.

    Parameters
    ----------
    drawn
        A scenario at its middle: no draws.
    build, space
        The build and its capacity.
    asked
        What the desks ask for.
    """
    pool = by_position(_pool_mb_s(drawn, build, space))
    box = by_position(_goodput(build.box_link_gbit_s, drawn.network.mtu_bytes))
    desk, stream = asked.link_mb_s, asked.stream_mb_s
    streams = streams_at_once(pool_mb_s=pool, link_mb_s=box, stream_mb_s=stream)
    carried = np.where(desk >= stream, streams, 0.0)
    return Speed(
        pool_mb_s=pool,
        box_link_mb_s=box,
        desk_link_mb_s=desk,
        stream_mb_s=stream,
        streams=carried,
        desk_share_mb_s=_desk_share_mb_s(asked.editors_by_month[:, 0], np.minimum(pool, box), desk),
        editors_by_month=asked.editors_by_month,
        streams_short_from_months=_short_from_months(asked.streams_by_month, carried),
        limited_by=_limit(pool, box, desk, stream),
    )


def _editors_by_month(drawn: Scenario) -> FloatArray:
    """People who edit at once, shape (positions, months)."""
    editors = np.asarray(by_month(drawn, drawn.team, "editors"), dtype=np.float64)
    shape = (*editors.shape[:-1], drawn.horizon_months)
    spread: FloatArray = np.broadcast_to(editors, shape).reshape(-1, drawn.horizon_months)
    return spread


def _desk_share_mb_s(
    editors: FloatArray, link_mb_s: FloatArray, desk_mb_s: FloatArray
) -> FloatArray:
    """What one desk gets; nobody at work counts as one."""
    desks = np.maximum(1, np.rint(editors))
    pulling = np.arange(desks.max()) < desks[:, None]
    shares = fair_shares_mb_s(link_mb_s=link_mb_s, demands_mb_s=pulling * desk_mb_s[:, None])
    share: FloatArray = shares[..., 0]
    return share


def _short_from_months(asked_by_month: FloatArray, streams: FloatArray) -> FloatArray:
    short = asked_by_month > streams[:, None]
    months: FloatArray = np.where(short.any(axis=-1), short.argmax(axis=-1), np.inf)
    return months


def _goodput(link_gbit_s: float, mtu_bytes: int) -> FloatArray:
    goodput: FloatArray = tcp_goodput_mb_s(
        link_gbit_s=link_gbit_s,
        mtu_bytes=mtu_bytes,
        ip_header_bytes=IP_HEADER_BYTES,
        tcp_header_bytes=TCP_HEADER_BYTES,
    )
    return goodput


def _pool_mb_s(drawn: Scenario, build: Build, space: Space) -> FloatArray:
    drives = drawn.drives[build.drives]
    box = space.pools.layouts[0]
    data_drives = np.ravel(box.group_count * (box.drives_per_group - box.parity_drives))[0]
    pool: FloatArray = pool_read_mb_s(
        data_drives=float(data_drives),
        read_chunk_mb=drawn.network.read_chunk_mb,
        seek_ms=drives.seek_ms,
        rpm=drives.spindle_rpm,
        media_mb_s=drives.media_mb_s,
    )
    return pool


def _limit(pool: FloatArray, box: FloatArray, desk: FloatArray, stream: FloatArray) -> Any:
    """What gives out first, by position."""
    shared = np.where(pool < box, "the pool", "the box link")
    return np.where(desk < stream, "the desk link", shared)
