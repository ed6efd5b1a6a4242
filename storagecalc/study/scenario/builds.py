"""Builds: a box, the drives in it, how it grows and what stands around it."""

from typing import Annotated, Literal

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
            find_out="a quote; for a box you own what its successor would cost",
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
    cold_spares: Annotated[
        int,
        Quantity(
            label="spare drives in the cupboard", unit="drives", lowest=0, highest=8, step=1,
            whole=True, find_out="your choice: no bay taken, but somebody has to come and swap",
        ),
    ] = 0  # fmt: skip
    grows_by: Literal["one drive", "groups", "whole pools", "swapping"] = "one drive"
    drives_per_step: Annotated[
        int,
        Quantity(
            label="drives added at once, where it grows by groups", unit="drives", lowest=1,
            highest=24, step=1, whole=True, find_out="the manual: what a pool accepts",
        ),
    ] = 1  # fmt: skip
    swap_to: str | None = None
    old_drives: str | None = None
    old_drive_count: Annotated[
        int,
        Quantity(
            label="drives you own that go in at first", unit="drives", lowest=0, highest=60, step=1,
            whole=True, find_out="what lies in the old box; all drives then count as the smallest",
        ),
    ] = 0  # fmt: skip
    old_drive_age_years: Annotated[
        Amount,
        Quantity(
            label="age of the drives you own", unit="years", lowest=0, highest=15, step=0.5,
            find_out="the invoice, or the hours each drive reports over 8,760",
        ),
    ] = 4.0  # fmt: skip
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
    box_age_years: Annotated[
        Amount,
        Quantity(
            label="age of the box, if you own it", unit="years", lowest=0, highest=15, step=0.5,
            find_out="the invoice; it is then not bought on day one, but when it is worn out",
        ),
    ] = None  # fmt: skip
    box_warranty_years: Annotated[
        Amount,
        Quantity(
            label="warranty of the box", unit="years", lowest=0, highest=10, step=1,
            find_out="the invoice or the data sheet",
        ),
    ] = 3.0  # fmt: skip
    box_failures_per_year: Annotated[
        Amount,
        Quantity(
            label="boxes that fail in a year, of one", unit="per year", lowest=0, highest=0.5,
            step=0.01, find_out="nobody prints it; your own boxes of the last ten years",
        ),
    ] = 0.03  # fmt: skip
    shelf: Shelf | None = None

    @property
    def drive_classes(self) -> tuple[str, ...]:
        """The class it is bought with, that of drives owned before, and the one to swap to."""
        classes = (self.drives, self.old_drives, self.swap_to)
        return tuple(dict.fromkeys(each for each in classes if each is not None))

    @model_validator(mode="after")
    def _fits(self) -> "Build":
        self._check_pool("the box", self.drives_at_first, self.bays, self.hot_spares)
        if self.shelf is not None:
            self._check_pool("the shelf", self.shelf.drives_at_first, self.shelf.bays, 0)
        return self

    @model_validator(mode="after")
    def _grows(self) -> "Build":
        in_groups = self.grows_by == "groups"
        if in_groups != (self.drives_per_step > 1):
            raise ValueError(
                'drives_per_step is the size of a group: give it, above 1, with grows_by = "groups"'
            )
        pairwise = self.redundancy == "striped mirrors"
        if pairwise and (self.grows_by == "one drive" or (self.drives_per_step % 2 and in_groups)):
            raise ValueError('striped mirrors grow by pairs: grows_by = "groups" of an even number')
        shelf_grows = self.shelf is not None and self.shelf.drives_at_first < self.shelf.bays
        grows = self.drives_at_first < self.bays or shelf_grows
        if self.redundancy == "mirror" and self.grows_by in ("one drive", "groups") and grows:
            raise ValueError(
                "a mirror gains no space from more drives: fill its bays at first, or choose"
                ' grows_by = "whole pools" or "swapping"'
            )
        if self.grows_by == "swapping" and self.swap_to is None:
            raise ValueError("grows_by swapping needs swap_to: the class of the larger drives")
        if bool(self.old_drives) != bool(self.old_drive_count):
            raise ValueError("old_drives and old_drive_count belong together: give both or none")
        if self.old_drive_count > self.drives_at_first:
            raise ValueError(
                f"old_drive_count is {self.old_drive_count}, more than drives_at_first, which is"
                f" {self.drives_at_first}: old drives are among those that go in at first"
            )
        return self

    def _check_pool(self, place: str, drives: int, bays: int, hot_spares: int) -> None:
        if drives > bays:
            raise ValueError(f"{place} starts with {drives} drives but has bays for {bays} only")
        try:
            layout(redundancy=self.redundancy, drive_count=drives, hot_spares=hot_spares)
        except ValueError as reason:
            raise ValueError(f"{place} cannot be laid out: {reason}") from None


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
