"""Builds: a box, the drives in it, how it grows and what stands around it."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, model_validator

from storagecalc.models.layouts import layout
from storagecalc.study.scenario.declare import count, described, fraction, quantity
from storagecalc.study.scenario.quantity import Amount, Table

BAYS = count("bays", 1, 60).named("drive bays", find_out="the data sheet")
DRIVES_AT_FIRST = count("drives", 1, 60).named(
    "drives at first",
    find_out="your choice, from what the layout needs up to the bays",
    status="choice",
)
NOISE = quantity("dBA", 10, 95).named(
    "noise one metre away, drives running",
    find_out="the data sheet as sound pressure at 1 m; 5.0 bels of sound power are about 42 dBA",
)
POWER = quantity("W", 0, 2000, step=5).named(
    "power without drives", find_out="the data sheet or a plug meter"
)
HOT_SPARES = count("drives", 0, 8).named(
    "hot spares",
    find_out="your choice: its rebuild starts at once, but it takes a bay",
    status="choice",
)
BOX_PRICE = quantity("money", 0, 200_000, step=50, floor=50).named(
    "price of the empty box",
    find_out="a quote; for a box you own, what its successor would cost",
)
DEPTH = quantity("mm", 50, 1300, step=10).named(
    "depth with plugs and cable bend", find_out="the drawing, plus about 80 mm for plugs"
)
WEIGHT = quantity("kg", 0.5, 200).named(
    "weight with all drives", find_out="the data sheet, plus about 0.7 kg a drive"
)
BOX_LIFE = quantity("years", 2, 15).named(
    "age at which the box is replaced",
    find_out="your house rule; ask how long the maker repairs it",
)
BOX_WARRANTY = quantity("years", 0, 10).named(
    "warranty of the box", find_out="the invoice or the data sheet"
)
BOX_FAILURES = quantity("per year", 0, 0.5, step=0.01).named(
    "failures of the box a year",
    find_out="no data sheet says; count failures of your boxes in the last ten years",
)


class Shelf(Table):
    """A shelf of further bays: a pool of its own beside the box."""

    bays: Annotated[int, BAYS]
    price: Amount = quantity("money", 0, 100_000, step=50, floor=50).named(
        "price of the empty shelf", find_out="a quote"
    )
    drives_at_first: Annotated[int, DRIVES_AT_FIRST]
    shelves_at_most: int = count("shelves", 1, 8, default=1).named(
        "shelves to buy at most",
        find_out="your choice, up to what the data sheet allows",
        status="choice",
    )
    power_w: Annotated[Amount, POWER] = 30.0
    noise_dba: Annotated[Amount, NOISE] = 40.0


class Build(Table):
    """One way to hold the footage, costed for the same footage as every other."""

    drives: str = described("class of drives in it", find_out="the NAME of a table [drives.NAME]")
    bays: Annotated[int, BAYS]
    drives_at_first: Annotated[int, DRIVES_AT_FIRST]
    redundancy: str = described(
        "what stands in for a broken drive",
        find_out="your choice: more redundancy survives more broken drives, but takes space",
    )
    box_price: Annotated[Amount, BOX_PRICE]
    box_price_holds_until_date: date | None = described(
        "last month in which the box can be had at that price",
        find_out="the quote; left out: the price moves from the first month on",
        default=None,
    )
    name: str | None = described(
        "name shown for the build", find_out="your words; left out: its key", default=None
    )
    hot_spares: Annotated[int, HOT_SPARES] = 0
    cold_spares: int = count("drives", 0, 8, default=0).named(
        "spare drives in the cupboard",
        find_out="your choice: it takes no bay, but somebody has to come and swap it in",
        status="choice",
    )
    grows_by: Literal["one drive", "groups", "whole pools", "swapping"] = described(
        "how it takes more drives",
        find_out="the manual says what a pool accepts",
        default="one drive",
    )
    drives_per_step: int = count("drives", 1, 24, default=1).named(
        "drives added at once, where it grows by groups",
        find_out="your choice, within what the manual allows",
        status="choice",
    )
    plan: Literal["rule", "best"] = described(
        "who says what it orders when",
        find_out='"rule": order_at_fraction, as the studio does; "best": the cheapest list of'
        " orders for the footage to come, of its own box and shelf and any class of [drives], in"
        " place of drives, drives_at_first (then the fewest in a pool) and swap_to",
        default="rule",
    )
    swap_to: str | None = described(
        "class of the larger drives",
        find_out='the NAME of a table [drives.NAME]; needed where grows_by is "swapping"',
        default=None,
    )
    starts_in: str | None = described(
        "box you own that it goes on in",
        find_out="the NAME of a table [owned.NAME]: bought anew when it is worn out, not on day"
        " one; its power, noise, depth, weight, life, warranty and failures need not be written"
        " here again",
        default=None,
    )
    drives_from: str | None = described(
        "box you own whose drives go in at first",
        find_out="the NAME of a table [owned.NAME]: as many as go in at first, lot after lot; all"
        " drives then count as the smallest",
        default=None,
    )
    keeps: tuple[str, ...] = Field(
        default=(),
        title="boxes you own that stay beside it, with their drives",
        description="NAMES of tables [owned.NAME]: their space counts, and they cost care, power"
        " and what fails; what is ordered at first then stands after the lead time",
    )
    keeps_months: int | None = count("months", 1, 240, default=None).named(
        "months for which they stay",
        find_out="your choice; left out: until the box is worn out",
        status="choice",
    )
    order_at_fraction: Amount = fraction(0.2, 1, step=0.01, default=0.8).named(
        "order the next step at this share of the newest box's plannable space",
        find_out="your house rule: earlier is safer and costs more",
        status="choice",
    )
    lead_time_months: Amount = quantity("months", 0, 24, default=2.0).named(
        "time from order to ready", find_out="ask the dealer what the last orders took"
    )
    box_power_w: Annotated[Amount, POWER] = 50.0
    box_noise_dba: Annotated[Amount, NOISE] = 42.0
    box_link_gbit_s: Amount = quantity("Gbit/s", 0.1, 400, default=10.0).named(
        "network link of the box", find_out="the port in use, not the fastest one fitted"
    )
    depth_mm: Annotated[Amount, DEPTH] = 500.0
    weight_kg: Annotated[Amount, WEIGHT] = 20.0
    box_life_years: Annotated[Amount, BOX_LIFE] = 8.0
    box_warranty_years: Annotated[Amount, BOX_WARRANTY] = 3.0
    box_failures_per_year: Annotated[Amount, BOX_FAILURES] = 0.03
    shelf: Shelf | None = None

    @model_validator(mode="after")
    def _fits(self) -> "Build":
        _check_bays("the box", self.drives_at_first, self.bays)
        self._check_pool("the box", self.drives_at_first, self.hot_spares)
        return self

    @model_validator(mode="after")
    def _shelf_fits(self) -> "Build":
        if self.shelf is not None:
            _check_bays("the shelf", self.shelf.drives_at_first, self.shelf.bays)
            self._check_pool("the shelf", self.shelf.drives_at_first, 0)
        return self

    @model_validator(mode="after")
    def _further_pools_fit(self) -> "Build":
        if self.grows_by == "whole pools" and 2 * self.drives_at_first <= self.bays:
            further = (
                'grows_by = "whole pools" adds pools as large as the first, without hot spares;'
                " change that, hot_spares or drives_at_first: such a pool"
            )
            self._check_pool(further, self.drives_at_first, 0)
        return self

    @model_validator(mode="after")
    def _grows_in_groups(self) -> "Build":
        if (self.grows_by == "groups") != (self.drives_per_step > 1):
            raise ValueError(
                'drives_per_step above 1 goes with grows_by = "groups": give both or neither, got'
                f" {self._how()}"
            )
        return self

    @model_validator(mode="after")
    def _steps_bring_space(self) -> "Build":
        if self.grows_by in ("one drive", "groups"):
            for place, drives, bays in self._places():
                if drives < bays:
                    self._check_steps(f"{place} has {bays} bays and {drives} drives at first")
        return self

    @model_validator(mode="after")
    def _swaps_to_something(self) -> "Build":
        if self.grows_by == "swapping" and self.swap_to is None:
            raise ValueError('grows_by = "swapping" needs swap_to, the class of the larger drives')
        return self

    @model_validator(mode="after")
    def _plans_without_pools(self) -> "Build":
        if self.plan == "best" and self.grows_by == "whole pools":
            raise ValueError(
                'plan = "best" cannot plan whole pools: choose another grows_by, or plan = "rule"'
            )
        return self

    @model_validator(mode="after")
    def _keeps_for_some_months(self) -> "Build":
        if self.keeps_months is not None and not self.keeps:
            raise ValueError("keeps_months needs keeps, the boxes that stay so long: write both")
        return self

    @model_validator(mode="after")
    def _keeps_each_once(self) -> "Build":
        if len(set(self.keeps)) < len(self.keeps):
            raise ValueError("keeps names a box twice: write each once")
        return self

    @model_validator(mode="after")
    def _keeps_no_box_it_goes_on_in(self) -> "Build":
        _check_kept("starts_in", self.starts_in, self.keeps, "goes on in it")
        return self

    @model_validator(mode="after")
    def _keeps_no_box_it_empties(self) -> "Build":
        _check_kept("drives_from", self.drives_from, self.keeps, "takes its drives")
        return self

    def _how(self) -> str:
        return f'grows_by = "{self.grows_by}" and drives_per_step = {self.drives_per_step}'

    def _places(self) -> list[tuple[str, int, int]]:
        """The box and its shelf with their drives at first and their bays."""
        found = [("the box", self.drives_at_first, self.bays)]
        if self.shelf is not None:
            found.append(("the shelf", self.shelf.drives_at_first, self.shelf.bays))
        return found

    def _check_steps(self, place: str) -> None:
        if self.redundancy == "striped mirrors" and self.drives_per_step % 2:
            raise ValueError(
                f'{place}, but striped mirrors grow by pairs: write grows_by = "groups" and an even'
                f" drives_per_step, got {self._how()}"
            )
        if self.redundancy == "mirror":
            raise ValueError(
                f"{place}, but a mirror gains no space from more drives: fill its bays at first, or"
                ' choose grows_by = "whole pools" or "swapping"'
            )

    def _check_pool(self, place: str, drives: int, hot_spares: int) -> None:
        check_pool(self.redundancy, drives, hot_spares, place=place, count="drives_at_first")


def check_pool(redundancy: str, drives: int, hot_spares: int, *, place: str, count: str) -> None:
    """Raises where drives cannot be laid out, in words that name the key with their count."""
    try:
        layout(redundancy=redundancy, drive_count=drives, hot_spares=hot_spares)
    except ValueError as reason:
        rule = str(reason).replace("drive_count", count)
        raise ValueError(f"{place} cannot be laid out: {rule}") from None


def _check_bays(place: str, drives: int, bays: int) -> None:
    if drives > bays:
        raise ValueError(
            f"{place} has {bays} bays, too few for its drives_at_first, which is {drives}:"
            " choose fewer drives or more bays"
        )


def _check_kept(key: str, box: str | None, keeps: tuple[str, ...], said: str) -> None:
    if box in keeps:
        raise ValueError(
            f'keeps and {key} both name "{box}", but what {said} leaves nothing to keep beside it:'
            " choose one of the two"
        )


class Filling(Table):
    """What is taken off the space before you can plan with it."""

    formatting_fraction: Amount = fraction(0, 0.3, step=0.01, default=0.02).named(
        "share lost to formatting",
        find_out="space shown when empty, compared with the drives less parity, both in TB",
    )
    snapshot_fraction: Amount = fraction(0, 0.5, step=0.01, default=0.05).named(
        "share reserved for snapshots",
        find_out="the setting of the box, or the space snapshots take now",
    )
    free_fraction: Amount = fraction(0, 0.5, step=0.01, default=0.15).named(
        "share kept free so that the box stays fast",
        find_out="the manual; 10 to 20 % is usual",
        status="common practice",
    )
