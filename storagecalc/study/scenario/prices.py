"""What all builds share: network, place, filling, rebuilds, prices, running costs, remedy."""

from typing import Annotated, Literal

from storagecalc.study.scenario.quantity import Amount, Quantity, Range, Table

# Price lists show falls of 9 to 14 in a hundred a year from 2010 to 2023 and a steep rise since
# late 2025: a wide guess, mean -8 and standard deviation 10 in a hundred a year.
DRIVE_PRICE_DRIFT = Range(low=-0.2, middle=-0.08, high=0.05)


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


class Place(Table):
    """Where the box stands."""

    desk_m: Annotated[
        Amount,
        Quantity(
            label="distance to the nearest desk", unit="m", lowest=0.3, highest=100, step=0.5,
            find_out="a tape measure; walls between count extra and are left out here",
        ),
    ] = 3.0  # fmt: skip
    breaker_a: Annotated[
        Amount,
        Quantity(
            label="breaker of the circuit", unit="A", lowest=1, highest=125, step=1,
            find_out="the distribution board; ask a licensed electrician",
        ),
    ] = 16.0  # fmt: skip
    mains_v: Annotated[
        Amount,
        Quantity(
            label="mains voltage", unit="V", lowest=100, highest=240, step=10,
            status="common practice", find_out="120 V or 230 V by country",
        ),
    ] = 230.0  # fmt: skip
    other_load_w: Annotated[
        Amount,
        Quantity(
            label="everything else on that circuit", unit="W", lowest=0, highest=10_000, step=50,
            find_out="plug meter, or the sum of the labels",
        ),
    ] = 800.0  # fmt: skip
    temperature_rise_k: Annotated[
        Amount,
        Quantity(
            label="how much warmer the air may leave", unit="K", lowest=1, highest=30, step=1,
            status="common practice", find_out="5 to 10 K is usual",
        ),
    ] = 8.0  # fmt: skip


class Filling(Table):
    """What is taken off the space before it can be planned with."""

    formatting_fraction: Annotated[
        Amount,
        Quantity(
            label="lost to formatting", unit="fraction", lowest=0, highest=0.3, step=0.01,
            find_out="space shown when empty against drives less parity, both in TB",
        ),
    ] = 0.02  # fmt: skip
    snapshot_fraction: Annotated[
        Amount,
        Quantity(
            label="reserved for snapshots", unit="fraction", lowest=0, highest=0.5, step=0.01,
            find_out="the setting of the box, or the space snapshots take now",
        ),
    ] = 0.05  # fmt: skip
    free_fraction: Annotated[
        Amount,
        Quantity(
            label="kept free so that the box stays fast", unit="fraction", lowest=0, highest=0.5,
            step=0.01, status="common practice",
            find_out="the manual; 10 to 20 in a hundred is usual",
        ),
    ] = 0.15  # fmt: skip


class Rebuild(Table):
    """How long the box runs with a drive missing."""

    rebuild_speed_fraction: Annotated[
        Amount,
        Quantity(
            label="share of a drive's rate that a rebuild gets", unit="fraction", lowest=0.02,
            highest=1, step=0.05, find_out="the last rebuild: its hours against size over rate",
        ),
    ] = 0.3  # fmt: skip
    swap_wait_h: Annotated[
        Amount,
        Quantity(
            label="until a new drive is in, without any spare", unit="h", lowest=0, highest=2000,
            step=12, find_out="how long the last drive took to come, and who is in at the weekend",
        ),
    ] = 72.0  # fmt: skip
    cold_swap_h: Annotated[
        Amount,
        Quantity(
            label="until somebody has put in a spare from the cupboard", unit="h", lowest=0,
            highest=500, step=4, find_out="who notices, and how soon they are there, nights too",
        ),
    ] = 16.0  # fmt: skip
    repair: Literal["parallel", "one at a time"] = "parallel"


class Prices(Table):
    """How prices move; today's prices stand with the things themselves."""

    drive_change_per_year: Annotated[
        Amount,
        Quantity(
            label="change of drive prices a year", unit="fraction", lowest=-0.6, highest=0.6,
            step=0.01, find_out="your own invoices; they fell for decades and rose in 2026",
        ),
    ] = DRIVE_PRICE_DRIFT  # fmt: skip
    box_change_per_year: Annotated[
        Amount,
        Quantity(
            label="change of box and shelf prices a year", unit="fraction", lowest=-0.3,
            highest=0.4, step=0.01, find_out="your own invoices",
        ),
    ] = 0.02  # fmt: skip
    inflation_per_year: Annotated[
        Amount,
        Quantity(
            label="rise of wages and other costs a year", unit="fraction", lowest=-0.05,
            highest=0.3, step=0.005, find_out="the central bank's aim, or your last pay round",
        ),
    ] = 0.025  # fmt: skip
    electricity_change_per_year: Annotated[
        Amount,
        Quantity(
            label="change of the electricity price a year", unit="fraction", lowest=-0.2,
            highest=0.3, step=0.005, find_out="the last three bills",
        ),
    ] = 0.03  # fmt: skip
    box_value_kept_per_year_fraction: Annotated[
        Amount,
        Quantity(
            label="share of its value a used box keeps each year", unit="fraction", lowest=0,
            highest=0.95, step=0.05, find_out="what used boxes are offered for; 0 leaves it out",
        ),
    ] = 0.0  # fmt: skip


class Running(Table):
    """What it costs to run the box."""

    electricity_price_per_kwh: Annotated[
        Amount,
        Quantity(
            label="electricity price", unit="money per kWh", lowest=0.01, highest=2, step=0.01,
            find_out="the bill, all fees in",
        ),
    ]  # fmt: skip
    labour_price_per_h: Annotated[
        Amount,
        Quantity(
            label="an hour of whoever looks after it", unit="money per h", lowest=0, highest=500,
            step=5, find_out="wage with all charges, or a day rate over eight",
        ),
    ]  # fmt: skip
    care_h_per_month: Annotated[
        Amount,
        Quantity(
            label="care of the box a month", unit="h", lowest=0, highest=200, step=0.5,
            find_out="two weeks of honest notes",
        ),
    ] = 3.0  # fmt: skip
    work_per_order_h: Annotated[
        Amount,
        Quantity(
            label="work around each order", unit="h", lowest=0, highest=200, step=1,
            find_out="quotes, unpacking, fitting, checking: the last time",
        ),
    ] = 4.0  # fmt: skip


class Remedy(Table):
    """What is paid for footage a build cannot hold; the same for every build."""

    kind: Literal["next box", "held elsewhere", "early cull"] = "next box"
    next_build: str | None = None
    migration_h: Annotated[
        Amount,
        Quantity(
            label="work to bring a next box in", unit="h", lowest=0, highest=1000, step=4,
            find_out="planning, copying, checking, telling everyone",
        ),
    ] = 24.0  # fmt: skip
    elsewhere_price_per_tb_month: Annotated[
        Amount,
        Quantity(
            label="holding a TB elsewhere for a month", unit="money", lowest=0.1, highest=500,
            step=0.5, find_out="a rented store's price list, or what loose drives would cost",
        ),
    ] = 20.0  # fmt: skip
    cull_price_per_tb: Annotated[
        Amount,
        Quantity(
            label="loss from giving up a TB before its time", unit="money", lowest=0.1,
            highest=100_000, step=10, find_out="what reuse of old footage earned, per TB",
        ),
    ] = 250.0  # fmt: skip


class Elsewhere(Table):
    """A place finished work goes to under a keep rule."""

    price_per_tb_month: Annotated[
        Amount,
        Quantity(
            label="price of a TB a month there", unit="money", lowest=0, highest=500, step=0.5,
            find_out="the price list, or tapes and handling over their years",
        ),
    ]  # fmt: skip
    fetch_price_per_tb: Annotated[
        Amount,
        Quantity(
            label="price of fetching a TB back from there", unit="money", lowest=0, highest=1000,
            step=1, find_out="the price list: retrieval and transfer together; 0 where it is yours",
        ),
    ] = 0.0  # fmt: skip
    fetch_h_per_tb: Annotated[
        Amount,
        Quantity(
            label="work of fetching a TB back from there", unit="h", lowest=0, highest=100,
            step=0.25, find_out="finding, loading and checking it: the last time, waiting left out",
        ),
    ] = 0.5  # fmt: skip
    media_price_per_tb: Annotated[
        Amount,
        Quantity(
            label="drives on a shelf or tapes for one copy of a TB", unit="money", lowest=0,
            highest=500, step=1, find_out="a quote over what one of them holds; 0 where rented",
        ),
    ] = 0.0  # fmt: skip
    handling_h_per_tb: Annotated[
        Amount,
        Quantity(
            label="work of bringing one copy of a TB there", unit="h", lowest=0, highest=50,
            step=0.25, find_out="writing, checking and labelling: the last time",
        ),
    ] = 0.0  # fmt: skip
    copies: Annotated[
        int,
        Quantity(
            label="copies kept there", unit="copies", lowest=1, highest=4, step=1, whole=True,
            find_out="two where it is drives on a shelf or tape: one of them will not read",
        ),
    ] = 1  # fmt: skip
