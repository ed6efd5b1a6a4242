"""What a studio owns before the start: boxes with the drives in them, and how old they are."""

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field, model_validator

from storagecalc.study.scenario.builds import (
    BAYS,
    BOX_FAILURES,
    BOX_LIFE,
    BOX_PRICE,
    BOX_WARRANTY,
    DEPTH,
    HOT_SPARES,
    NOISE,
    POWER,
    WEIGHT,
    Build,
    check_pool,
)
from storagecalc.study.scenario.declare import count, described, quantity
from storagecalc.study.scenario.quantity import Amount, Table

# What a build that goes on in an owned box has from its table, where it does not say so itself.
OF_THE_BOX = (
    "box_power_w", "box_noise_dba", "depth_mm", "weight_kg", "box_life_years",
    "box_warranty_years", "box_failures_per_year",
)  # fmt: skip


class Lot(Table):
    """Drives of one age in a box you own."""

    count: int = count("drives", 1, 60).named("drives of one age", find_out="look into the box")
    age_years: Amount = quantity("years", 0, 15, step=0.5).named(
        "age of these drives",
        find_out="the invoice, or the hours each drive reports over 8,760",
    )


class Owned(Table):
    """A box you own, with its drives: to go on in, to take the drives from, or to keep."""

    drives: str = described("class of drives in it", find_out="the NAME of a table [drives.NAME]")
    bays: Annotated[int, BAYS]
    redundancy: str = described(
        "what stands in for a broken drive", find_out="the settings of the box"
    )
    box_age_years: Amount = quantity("years", 0, 15, step=0.5).named(
        "age of the box", find_out="the invoice"
    )
    box_price: Annotated[Amount, BOX_PRICE]
    name: str | None = described(
        "name shown for it", find_out="your words; left out: its key", default=None
    )
    hot_spares: Annotated[int, HOT_SPARES] = 0
    box_power_w: Annotated[Amount, POWER] = 50.0
    box_noise_dba: Annotated[Amount, NOISE] = 42.0
    depth_mm: Annotated[Amount, DEPTH] = 500.0
    weight_kg: Annotated[Amount, WEIGHT] = 20.0
    box_life_years: Annotated[Amount, BOX_LIFE] = 8.0
    box_warranty_years: Annotated[Amount, BOX_WARRANTY] = 3.0
    box_failures_per_year: Annotated[Amount, BOX_FAILURES] = 0.03
    lots: tuple[Lot, ...] = Field(min_length=1)

    @property
    def drive_count(self) -> int:
        """Drives of all ages in it."""
        return sum(lot.count for lot in self.lots)

    @model_validator(mode="after")
    def _fits(self) -> "Owned":
        drives = self.drive_count
        if drives > self.bays:
            raise ValueError(
                f"the box has {self.bays} bays, too few for the {drives} drives of its lots: change"
                " one of them"
            )
        check_pool(
            self.redundancy, drives, self.hot_spares, place="the box", count="the drives of lots"
        )
        return self


def left_to_its_box(build: Build, field: str) -> bool:
    """Whether a build, as written, leaves a figure to the table of the box that it goes on in."""
    unwritten = field in OF_THE_BOX and field not in build.model_fields_set
    return build.starts_in is not None and unwritten


def moved_lots(owned: Mapping[str, Owned], build: Build) -> tuple[Lot, ...]:
    """Drives owned before that go in at first: lot after lot, as many as there is room for."""
    found, room = [], build.drives_at_first
    for lot in owned[build.drives_from].lots if build.drives_from is not None else ():
        if room:
            found.append(lot.model_copy(update={"count": min(lot.count, room)}))
            room -= found[-1].count
    return tuple(found)


def moved_drive_count(owned: Mapping[str, Owned], build: Build) -> int:
    """How many drives owned before go in at first."""
    return sum(lot.count for lot in moved_lots(owned, build))


def moved_class(owned: Mapping[str, Owned], build: Build) -> str | None:
    """The class of the drives owned before; None where there are none."""
    return None if build.drives_from is None else owned[build.drives_from].drives


def drive_classes(owned: Mapping[str, Owned], build: Build) -> tuple[str, ...]:
    """The class a build is bought with, that of drives owned before, and the one to swap to."""
    classes = (build.drives, moved_class(owned, build), build.swap_to)
    return tuple(dict.fromkeys(each for each in classes if each is not None))
