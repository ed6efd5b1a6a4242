"""The network: what one desk needs from the box, and what the cable carries."""

from storagecalc.study.scenario.declare import count, quantity
from storagecalc.study.scenario.quantity import Amount, Range, Table

# Boxes differ, and few say; it decides how many streams the drives carry.
READ_CHUNK_MB = Range(low=2.0, middle=8.0, high=16.0)


class Network(Table):
    """What one desk needs from the box, and what the cable carries."""

    stream_mbit_s: Amount = quantity("Mbit/s", 0.1, 60_000, step=10, default=400.0).named(
        "rate of one editor's stream",
        find_out="the rate of the format edited, times the layers played at once",
    )
    desk_link_gbit_s: Amount = quantity("Gbit/s", 0.1, 400, default=1.0).named(
        "network link of a desk", find_out="network settings of the desk"
    )
    read_chunk_mb: Amount = quantity("MB", 0.004, 256, default=READ_CHUNK_MB).named(
        "amount read at a time for one stream",
        find_out="read-ahead setting of the box; many are between 1 and 16 MB",
    )
    mtu_bytes: int = count("bytes", 576, 9216, step=100, default=1500).named(
        "largest network packet",
        find_out="network settings; 1500 unless changed",
        status="common practice",
    )
