"""Examples for ``models/throughput.py``."""

from house.examples import Example

LINK = {
    "link_gbit_s": 10.0,
    "mtu_bytes": 1500.0,
    "ip_header_bytes": 20.0,
    "tcp_header_bytes": 32.0,
}
OTHER_LINK = {
    "link_gbit_s": 25.0,
    "mtu_bytes": 9000.0,
    "ip_header_bytes": 40.0,
    "tcp_header_bytes": 20.0,
}
DRIVE = {"seek_ms": 8.5, "rpm": 7200.0, "media_mb_s": 180.0}
OTHER_DRIVE = {"seek_ms": 9.5, "rpm": 5400.0, "media_mb_s": 150.0}

EXAMPLES = {
    "tcp_goodput_mb_s": Example(base=LINK, other=OTHER_LINK, vectors=list(LINK)),
    "fair_shares_mb_s": Example(
        base={"link_mb_s": 100.0, "demands_mb_s": [20.0, 90.0, 60.0]},
        other={"link_mb_s": 120.0, "demands_mb_s": [30.0, 90.0, 60.0]},
        vectors=["link_mb_s", "demands_mb_s"],
        gives_array=True,
    ),
    "seek_bound_mb_s": Example(
        base={"chunk_mb": 1.0, **DRIVE},
        other={"chunk_mb": 2.0, **OTHER_DRIVE},
        vectors=["chunk_mb", *DRIVE],
    ),
    "pool_read_mb_s": Example(
        base={"data_drives": 6, "read_chunk_mb": 8.0, **DRIVE},
        other={"data_drives": 8, "read_chunk_mb": 16.0, **OTHER_DRIVE},
        vectors=["data_drives", "read_chunk_mb", *DRIVE],
    ),
    # Pool and link limit in turn, so each has a say only where the other is wide.
    "streams_at_once": Example(
        base={"pool_mb_s": 700.0, "link_mb_s": 1180.0, "stream_mb_s": 50.0},
        other={"pool_mb_s": 900.0, "link_mb_s": 117.0, "stream_mb_s": 90.0},
        vectors=["pool_mb_s", "link_mb_s", "stream_mb_s"],
    ),
    "transfer_h": Example(
        base={"volume_tb": 20.0, "mb_s": 110.0},
        other={"volume_tb": 30.0, "mb_s": 90.0},
        vectors=["volume_tb", "mb_s"],
    ),
}
