"""The network: what one desk needs from the box, and what the cable carries."""

from typing import Annotated

from storagecalc.study.scenario.quantity import Amount, Quantity, Table


class Network(Table):
    """What one desk needs from the box, and what the cable carries."""

    stream_mbit_s: Annotated[
        Amount,
        Quantity(
            label="rate of one editor's stream", unit="Mbit/s", lowest=0.1, highest=60_000, step=10,
            find_out="the format edited, times the layers played at once",
        ),
    ] = 400.0  # fmt: skip
    desk_link_gbit_s: Annotated[
        Amount,
        Quantity(
            label="link of a desk", unit="Gbit/s", lowest=0.1, highest=400, step=1,
            find_out="network settings of the desk",
        ),
    ] = 1.0  # fmt: skip
    read_chunk_mb: Annotated[
        Amount,
        Quantity(
            label="piece read at a time for one stream", unit="MB", lowest=0.004, highest=256,
            step=1, find_out="read-ahead setting of the box; many are between 1 and 8 MB",
        ),
    ] = 8.0  # fmt: skip
    mtu_bytes: Annotated[
        int,
        Quantity(
            label="largest network packet", unit="bytes", lowest=576, highest=9216, step=100,
            whole=True, status="common practice", find_out="network settings; 1500 unless changed",
        ),
    ] = 1500  # fmt: skip
