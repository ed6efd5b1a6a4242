"""Builds: a box, the drives in it, how it grows and what stands around it."""

from typing import Annotated

from pydantic import model_validator

from storagecalc.models.layouts import layout
from storagecalc.study.scenario.quantity import Amount, Quantity, Table

BAYS = Quantity(
    label="drive bays", unit="bays", lowest=1, highest=60, step=1, whole=True,
    find_out="the data sheet",
)  # fmt: skip
DRIVES_AT_FIRST = Quantity(
    label="drives at first", unit="drives", lowest=1, highest=60, step=1, whole=True,
    find_out="your choice",
)  # fmt: skip
NOISE = Quantity(
    label="noise one metre away, drives running", unit="dBA", lowest=10, highest=95, step=1,
    find_out="the data sheet as sound pressure at 1 m; 5.0 bels of sound power are about 42 dBA",
)  # fmt: skip
POWER = Quantity(
    label="power without drives", unit="W", lowest=0, highest=2000, step=5,
    find_out="the data sheet or a plug meter",
)  # fmt: skip


class Shelf(Table):
    """A shelf of further bays: a pool of its own beside the box."""

    bays: Annotated[int, BAYS]
    price: Annotated[
        Amount,
        Quantity(
            label="price of the empty shelf", unit="money", lowest=0, highest=100_000, step=50,
            find_out="a quote",
        ),
    ]  # fmt: skip
    drives_at_first: Annotated[int, DRIVES_AT_FIRST]
    shelves_at_most: Annotated[
        int,
        Quantity(
            label="shelves the box accepts", unit="shelves", lowest=1, highest=8, step=1,
            whole=True, find_out="the data sheet",
        ),
    ] = 1  # fmt: skip
    power_w: Annotated[Amount, POWER] = 30.0
    noise_dba: Annotated[Amount, NOISE] = 40.0


class Build(Table):
    """One way to hold the footage, costed for the same footage as every other."""

    drives: str
    bays: Annotated[int, BAYS]
    drives_at_first: Annotated[int, DRIVES_AT_FIRST]
    redundancy: str
    box_price: Annotated[
        Amount,
        Quantity(
            label="price of the empty box", unit="money", lowest=0, highest=200_000, step=50,
            find_out="a quote",
        ),
    ]  # fmt: skip
    name: str | None = None
    hot_spares: Annotated[
        int,
        Quantity(
            label="hot spares", unit="drives", lowest=0, highest=8, step=1, whole=True,
            find_out="your choice: a spare starts its rebuild at once but takes a bay",
        ),
    ] = 0  # fmt: skip
    drives_per_step: Annotated[
        int,
        Quantity(
            label="drives added at once", unit="drives", lowest=1, highest=24, step=1, whole=True,
            find_out="what the box can add to a pool: one by one, or groups",
        ),
    ] = 1  # fmt: skip
    order_at_fraction: Annotated[
        Amount,
        Quantity(
            label="order the next step at this share of plannable space", unit="fraction",
            lowest=0.2, highest=1, step=0.01, find_out="a house rule: earlier is calmer and dearer",
            choice=True,
        ),
    ] = 0.9  # fmt: skip
    lead_time_months: Annotated[
        Amount,
        Quantity(
            label="from order to ready", unit="months", lowest=0, highest=24, step=1,
            find_out="ask the dealer what the last orders took",
        ),
    ] = 2.0  # fmt: skip
    box_power_w: Annotated[Amount, POWER] = 50.0
    box_noise_dba: Annotated[Amount, NOISE] = 42.0
    box_link_gbit_s: Annotated[
        Amount,
        Quantity(
            label="network link of the box", unit="Gbit/s", lowest=0.1, highest=400, step=1,
            find_out="the port in use, not the fastest one fitted",
        ),
    ] = 10.0  # fmt: skip
    depth_mm: Annotated[
        Amount,
        Quantity(
            label="depth with plugs and cable bend", unit="mm", lowest=50, highest=1300, step=10,
            find_out="the drawing, plus about 80 mm for plugs",
        ),
    ] = 500.0  # fmt: skip
    weight_kg: Annotated[
        Amount,
        Quantity(
            label="weight with all drives", unit="kg", lowest=0.5, highest=200, step=1,
            find_out="the data sheet, plus about 0.7 kg a drive",
        ),
    ] = 20.0  # fmt: skip
    box_life_years: Annotated[
        Amount,
        Quantity(
            label="age at which the box is replaced", unit="years", lowest=2, highest=15, step=1,
            find_out="house rule; ask how long the maker mends it",
        ),
    ] = 8.0  # fmt: skip
    shelf: Shelf | None = None

    @model_validator(mode="after")
    def _fits(self) -> "Build":
        self._check_pool("the box", self.drives_at_first, self.bays, self.hot_spares)
        if self.shelf is not None:
            self._check_pool("the shelf", self.shelf.drives_at_first, self.shelf.bays, 0)
        return self

    def _check_pool(self, place: str, drives: int, bays: int, hot_spares: int) -> None:
        if drives > bays:
            raise ValueError(f"{place} starts with {drives} drives but has only {bays} bays")
        if self.redundancy == "striped mirrors" and self.drives_per_step % 2:
            raise ValueError(
                f"striped mirrors grow by pairs: drives_per_step must be even, got"
                f" {self.drives_per_step}"
            )
        try:
            layout(redundancy=self.redundancy, drive_count=drives, hot_spares=hot_spares)
        except ValueError as reason:
            raise ValueError(f"{place} cannot be laid out: {reason}") from None
