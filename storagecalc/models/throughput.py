"""How fast data move: what a link carries, how loads share it, and drives that seek.

All rates are ceilings by arithmetic. File sharing, encryption, small files and delay take
their share too: measure before promising.
"""

from typing import Any

import numpy as np

from storagecalc.models.checks import FloatArray, checked
from storagecalc.models.units import (
    MB_PER_TB,
    SECONDS_PER_HOUR,
    WHOLE_TOLERANCE,
    mb_s_from_mbit_s,
    plain,
)

MBIT_PER_GBIT = 1000.0
MS_PER_S = 1000.0
MS_PER_MIN = 60_000.0
# Preamble and start 8, header 14, check sequence 4, gap between frames 12.
ETHERNET_OVERHEAD_BYTES = 38


def tcp_goodput_mb_s(
    *, link_gbit_s: Any, mtu_bytes: Any, ip_header_bytes: Any, tcp_header_bytes: Any
) -> Any:
    """The most that TCP can carry over an Ethernet link, after all headers.

    Formula: ``link * 1000 / 8 * (mtu - ip - tcp) / (mtu + 38)``.

    Parameters
    ----------
    link_gbit_s
        Link speed, Gb/s, 0 or more.
    mtu_bytes
        Largest packet inside one frame, bytes (1500, or 9000 where every device agrees on it).
    ip_header_bytes
        Header of the network layer, bytes, 0 or more (20 for version 4, 40 for version 6).
    tcp_header_bytes
        Header of TCP, bytes, 0 or more (20, or 32 with time stamps).

    Returns
    -------
    float or numpy array
        MB/s, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range, or the headers fill the packet.

    References
    ----------
    C. Popoviciu et al., RFC 5180, "IPv6 Benchmarking Methodology for Network Interconnect Devices",
    IETF, 2008, appendix A.1, for the bytes around a frame.

    Examples
    --------
    A link of 8 Gb/s is 1000 MB/s on the wire; frames of 1000 bytes, of which 100 and 38 are not
    data.

    >>> round(tcp_goodput_mb_s(
    ...     link_gbit_s=8, mtu_bytes=962, ip_header_bytes=50, tcp_header_bytes=50
    ... ), 6)
    862.0
    """
    link_mb_s = mb_s_from_mbit_s(checked("link_gbit_s", link_gbit_s, at_least=0) * MBIT_PER_GBIT)
    packet = checked("mtu_bytes", mtu_bytes, above=0)
    headers = checked("ip_header_bytes", ip_header_bytes, at_least=0)
    headers = headers + checked("tcp_header_bytes", tcp_header_bytes, at_least=0)
    if np.greater_equal(headers, packet).any():
        raise ValueError(
            "mtu_bytes must be more than ip_header_bytes and tcp_header_bytes together, "
            f"got {np.min(packet - headers):g} bytes for data"
        )
    return link_mb_s * (packet - headers) / (packet + ETHERNET_OVERHEAD_BYTES)


def fair_shares_mb_s(*, link_mb_s: Any, demands_mb_s: Any) -> FloatArray:
    """What each of several loads gets of one link: max-min fair shares.

    No load gets more than it asks for; those that do not get all they ask for get equal shares.
    The level of these is the greatest of ``(link - sum of the k smallest) / (n - k)``, k from 0 to
    n - 1, and each share the lesser of demand and level. TCP comes near this where delays are
    alike and each load is one connection.

    Parameters
    ----------
    link_mb_s
        What the link carries, MB/s, 0 or more: a number or an array of the demands' leading axes.
    demands_mb_s
        What each load could use, MB/s, 0 or more, along the last axis.

    Returns
    -------
    numpy array
        Shares, MB/s, in the order of the demands.

    Raises
    ------
    ValueError
        Where an argument is outside its range or there is no demand.

    References
    ----------
    S. Keshav, "An Engineering Approach to Computer Networking", Addison-Wesley, 1997, pp. 215-217.

    Examples
    --------
    >>> fair_shares_mb_s(link_mb_s=100, demands_mb_s=[20, 90, 60]).tolist()
    [20.0, 40.0, 40.0]
    """
    demands: FloatArray = np.asarray(checked("demands_mb_s", demands_mb_s, at_least=0))
    if demands.ndim == 0 or demands.shape[-1] == 0:
        raise ValueError(
            f"demands_mb_s must hold at least one demand on its last axis, got {demands_mb_s!r:.60}"
        )
    link = np.asarray(checked("link_mb_s", link_mb_s, at_least=0))[..., np.newaxis]
    ascending = np.sort(demands, axis=-1)
    taken_by_smaller = np.cumsum(ascending, axis=-1) - ascending
    sharers = np.arange(demands.shape[-1], 0, -1)
    level = ((link - taken_by_smaller) / sharers).max(axis=-1, keepdims=True)
    shares: FloatArray = np.minimum(demands, level)
    return shares


def seek_bound_mb_s(*, chunk_mb: Any, seek_ms: Any, rpm: Any, media_mb_s: Any) -> Any:
    """Read rate of one spinning drive that seeks before every chunk.

    Formula: ``chunk / (seek + half a turn + chunk / media rate)``, half a turn being
    ``30 / rpm`` seconds. Holds for several readers in turn; a single reader hardly seeks.

    Parameters
    ----------
    chunk_mb
        MB read from the drive at one place, above 0.
    seek_ms
        Mean seek, ms, 0 or more.
    rpm
        Turns a minute, above 0.
    media_mb_s
        Rate while reading on, MB/s, above 0: the average over the surface, not the outer tracks.

    Returns
    -------
    float or numpy array
        MB/s, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    R. H. Arpaci-Dusseau, A. C. Arpaci-Dusseau, "Operating Systems: Three Easy Pieces",
    Arpaci-Dusseau Books, chapters 37 and 38.

    Examples
    --------
    5 ms seek, 5 ms half a turn, 10 ms reading: half the media rate.

    >>> seek_bound_mb_s(chunk_mb=2, seek_ms=5, rpm=6000, media_mb_s=200)
    100.0
    """
    chunk = checked("chunk_mb", chunk_mb, above=0)
    half_turn_ms = MS_PER_MIN / checked("rpm", rpm, above=0) / 2.0
    reading_ms = chunk / checked("media_mb_s", media_mb_s, above=0) * MS_PER_S
    place_ms = checked("seek_ms", seek_ms, at_least=0) + half_turn_ms
    return chunk / (place_ms + reading_ms) * MS_PER_S


def pool_read_mb_s(
    *, data_drives: Any, read_chunk_mb: Any, seek_ms: Any, rpm: Any, media_mb_s: Any
) -> Any:
    """Read rate of a pool of spinning drives that serves several streams in turn.

    Each read of one stream is split evenly over the data drives, and each drive seeks for its
    piece: ``data_drives`` times `seek_bound_mb_s` of the piece. So the read-ahead decides, not the
    drive's label, and twice the drives bring less than twice the rate.

    Parameters
    ----------
    data_drives
        Drives that hold data in one stripe, without parity and spares, at least 1.
    read_chunk_mb
        MB read for one stream before the next has its turn (the read-ahead), above 0.
    seek_ms, rpm, media_mb_s
        As for `seek_bound_mb_s`.

    Returns
    -------
    float or numpy array
        MB/s, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    Two drives at half the media rate, each reading 2 MB at a place.

    >>> pool_read_mb_s(data_drives=2, read_chunk_mb=4, seek_ms=5, rpm=6000, media_mb_s=200)
    200.0
    """
    drives = checked("data_drives", data_drives, at_least=1)
    chunk = checked("read_chunk_mb", read_chunk_mb, above=0)
    piece_mb_s = seek_bound_mb_s(
        chunk_mb=chunk / drives, seek_ms=seek_ms, rpm=rpm, media_mb_s=media_mb_s
    )
    return drives * piece_mb_s


def streams_at_once(*, pool_mb_s: Any, link_mb_s: Any, stream_mb_s: Any) -> Any:
    """Whole streams that pool and link carry at the same time.

    Formula: ``min(pool, link) / stream`` rounded down. It leaves nothing for a copy, a rebuild or a
    second reader beside the streams.

    Parameters
    ----------
    pool_mb_s, link_mb_s
        What the pool reads and the link carries, MB/s, 0 or more.
    stream_mb_s
        One stream, MB/s, above 0.

    Returns
    -------
    float or numpy array
        A whole number, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    >>> streams_at_once(pool_mb_s=1500, link_mb_s=1250, stream_mb_s=250)
    5.0
    """
    pool = checked("pool_mb_s", pool_mb_s, at_least=0)
    carried = np.minimum(pool, checked("link_mb_s", link_mb_s, at_least=0))
    streams = carried / checked("stream_mb_s", stream_mb_s, above=0)
    return plain(np.floor(streams * (1.0 + WHOLE_TOLERANCE)))


def transfer_h(*, volume_tb: Any, mb_s: Any) -> Any:
    """Hours to move a volume at a steady rate.

    Formula: ``volume * 10**6 / rate / 3600``.

    Parameters
    ----------
    volume_tb
        TB to move, 0 or more.
    mb_s
        Rate, MB/s, above 0: of the slowest part on the way, in that direction.

    Returns
    -------
    float or numpy array
        Hours, in the common shape of the arguments.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    Examples
    --------
    >>> transfer_h(volume_tb=3.6, mb_s=100)
    10.0
    """
    volume_mb = checked("volume_tb", volume_tb, at_least=0) * MB_PER_TB
    return volume_mb / checked("mb_s", mb_s, above=0) / SECONDS_PER_HOUR
