"""Work: what is recorded, by whom, and how long it is kept."""

from datetime import date
from functools import cache
from itertools import pairwise
from typing import Annotated, Any

from pydantic import AfterValidator, Field, PrivateAttr, model_validator

from storagecalc.models.formats import recording_formats
from storagecalc.models.tables import table
from storagecalc.study.scenario.declare import count, described, fraction, quantity
from storagecalc.study.scenario.nearest import nearest
from storagecalc.study.scenario.quantity import Amount, Range, Table, middle, upper

# What the table of example curves writes for a place; the keep rule says which one.
SOMEWHERE = "elsewhere"
# Guesses that move the space most are ranges, so that nobody takes them for known.
BESIDE = Range(low=0.05, middle=0.15, high=0.4)
WORKING_TB = Range(low=0.25, middle=0.5, high=1.0)

SHOOT_DAYS = quantity("days", 0, 31).named(
    "shoot days a month", find_out="the booking calendar of the last twelve months"
)
CAMERAS = quantity("cameras", 0, 60).named("cameras on a shoot day", find_out="the call sheets")
CAMERA_HOURS = quantity("h", 0, 24, step=0.25).named(
    "hours recorded by each camera on a shoot day",
    find_out="the lengths of the clips on the last ten cards, added up",
)
RATE = quantity("Mbit/s", 0.01, 60_000, step=10).named(
    "recording rate", find_out="a file's size in megabits divided by its length in seconds"
)
STILLS = quantity("stills", 0, 50_000, step=50).named(
    "stills kept from a shoot day", find_out="file counts of the last ten shoots"
)
EDITORS = quantity("people", 0, 200).named(
    "people who edit at once", find_out="count the desks on a busy day"
)
WORKING_COPIES = quantity("TB", 0, 50, step=0.25).named(
    "working copies, caches and renders of each",
    find_out="size of the project and cache folders of one desk",
)


def _known_format(key: str) -> str:
    known = [each.key for each in recording_formats()]
    if key not in known:
        raise ValueError(f"must be a key from storagecalc formats{nearest(key, known)}")
    return key


Format = Annotated[str, AfterValidator(_known_format)]


FORMAT = described(
    "recording format",
    find_out="a key from storagecalc formats; where cameras record, give it or rate_mbit_s",
    default=None,
)
FROM_DATE = described("month from which the change holds", find_out="the day is set to the first")


class Change(Table):
    """What changes in a kind of work from a date on; what is not named goes on as before."""

    from_date: Annotated[date, FROM_DATE]
    format: Annotated[Format | None, FORMAT] = None
    rate_mbit_s: Annotated[Amount, RATE] = None
    shoot_days_per_month: Annotated[Amount, SHOOT_DAYS] = None
    cameras: Annotated[Amount, CAMERAS] = None
    hours_per_camera_day: Annotated[Amount, CAMERA_HOURS] = None
    stills_per_shoot_day: Annotated[Amount, STILLS] = None

    @model_validator(mode="after")
    def _one_rate(self) -> "Change":
        if self.format is not None and self.rate_mbit_s is not None:
            raise ValueError("give a format or a rate_mbit_s, not both")
        if len(self.model_fields_set) < 2:
            raise ValueError("names no key that changes; add one, or remove the change")
        return self


class Work(Table):
    """One kind of work: what a shoot day brings home and which keep rule it falls under."""

    keep: str = described("keep rule it falls under", find_out="the NAME of a table [keep.NAME]")
    shoot_days_per_month: Annotated[Amount, SHOOT_DAYS]
    cameras: Annotated[Amount, CAMERAS] = 1.0
    hours_per_camera_day: Annotated[Amount, CAMERA_HOURS] = 0.0
    format: Annotated[Format | None, FORMAT] = None
    rate_mbit_s: Annotated[Amount, RATE] = None
    real_rate_fraction: Amount = fraction(0.3, 1.5, step=0.05, default=1.0).named(
        "real rate as a share of the nominal one",
        find_out="sizes of ten files, divided by length times nominal rate",
    )
    stills_per_shoot_day: Annotated[Amount, STILLS] = 0.0
    still_mb: Amount = quantity("MB", 0.1, 1000, step=5, default=45.0).named(
        "size of one still", find_out="a folder's size divided by its file count"
    )
    proxies_and_exports_fraction: Amount = fraction(0, 3, step=0.05, default=BESIDE).named(
        "proxies, renders and exports beside the recordings",
        find_out="folder sizes of three finished jobs",
    )
    growth_per_year: Amount = fraction(-0.5, 1, step=0.01, default=0.0).named(
        "growth of this work a year", find_out="shoot days of the last three years"
    )
    stored_today_tb: Amount = quantity("TB", 0, 5000, default=0.0).named(
        "footage of this kind stored today", find_out="folder sizes on the storage you have"
    )
    stored_oldest_months: int = count("months", 1, 240, default=24).named(
        "age of the oldest footage stored today", find_out="dates of the oldest folders"
    )
    jobs_per_month: Amount = quantity("jobs", 0.1, 300, step=0.5, default=None).named(
        "jobs a month, if the footage comes in lumps",
        find_out="jobs of the last two years, divided by 24",
    )
    job_size_spread_fraction: Amount = fraction(0, 3, step=0.1, default=0.5).named(
        "how far a job's size strays from the mean job",
        find_out="folder sizes of ten jobs: standard deviation divided by mean",
    )
    start_date: date | None = described(
        "first month of this work", find_out="left out: from the start on", default=None
    )
    end_date: date | None = described(
        "month in which this work ends", find_out="left out: it goes on", default=None
    )
    changes: tuple[Change, ...] = Field(default=())
    # Drawn, never written: 1 in every month until study/sampling.py has drawn the jobs.
    _lump_factors: Any = PrivateAttr(default=1.0)

    @property
    def lump_factors(self) -> Any:
        """What each month brings in each future as a multiple of its mean; 1 where undrawn.

        Returns
        -------
        array
            Shape (positions, draws, months), or the number 1.
        """
        return self._lump_factors

    def with_lump_factors(self, factors: Any) -> "Work":
        """The same work with its jobs drawn.

        Parameters
        ----------
        factors
            Multiples of the mean month, shape (positions, draws, months).
        """
        lumpy = self.model_copy()
        lumpy._lump_factors = factors
        return lumpy

    @model_validator(mode="after")
    def _agrees(self) -> "Work":
        if self.format is not None and self.rate_mbit_s is not None:
            raise ValueError("give a format or a rate_mbit_s, not both")
        filmed = upper(self.hours_per_camera_day) > 0
        if filmed and self.format is None and self.rate_mbit_s is None:
            raise ValueError(
                "hours_per_camera_day is above 0, so it needs a format (storagecalc formats lists"
                " them) or a rate_mbit_s"
            )
        return self

    @model_validator(mode="after")
    def _ends_last(self) -> "Work":
        if self.start_date and self.end_date and self.end_date <= self.start_date:
            raise ValueError(
                f"end_date {self.end_date} must be later than start_date {self.start_date}"
            )
        for day in _days_in_order(self.changes):
            if self.end_date and day >= self.end_date:
                raise ValueError(f"a change on {day} comes after the work's end_date")
        return self


class Step(Table):
    """From this age on, this share of what was recorded is still on the box."""

    after_months: int = count("months", 1, 600).named(
        "age at which it is thinned",
        find_out="the contract, or when you last went back to a job",
        status="choice",
    )
    keep_fraction: Amount = fraction(0, 1, step=0.05).named(
        "share still on the box", find_out="size of a finished job before and after clearing up"
    )
    rest_goes_to: str = described(
        "where the rest goes",
        find_out='the NAME of a table [elsewhere.NAME], or "deleted"',
        default="deleted",
    )


class KeepRule(Table):
    """How a kind of work is thinned with age; without steps everything stays.

    ``like`` names an example curve of the table instead of steps; ``rest_goes_to`` then says where
    that curve sends what it does not delete.
    """

    steps: tuple[Step, ...] = Field(default=())
    like: str | None = described(
        "example curve it follows",
        find_out="instead of steps, until you know how much of your old jobs is left",
        default=None,
    )
    rest_goes_to: str | None = described(
        "where that example sends what it moves away",
        find_out='the NAME of a table [elsewhere.NAME], or "deleted"; only beside like',
        default=None,
    )
    fetched_back_fraction_per_year: Amount = fraction(0, 1, step=0.01, default=0.02).named(
        "share of the archive that is fetched back in a year",
        find_out="how often old jobs were asked for again last year, by size",
    )

    @property
    def curve(self) -> tuple[Step, ...]:
        """The steps that hold: those written, or those of the example it is like."""
        return self.steps if self.like is None else _example_steps(self.like, self.rest_goes_to)

    @property
    def places(self) -> frozenset[str]:
        """Where footage goes that is not deleted."""
        return frozenset(step.rest_goes_to for step in self.curve) - {"deleted"}

    @model_validator(mode="after")
    def _in_order(self) -> "KeepRule":
        ages = [step.after_months for step in self.steps]
        if ages != sorted(set(ages)):
            raise ValueError("steps must stand in order of after_months, each age once")
        return self

    @model_validator(mode="after")
    def _falls(self) -> "KeepRule":
        shares = [1.0, *(middle(step.keep_fraction) for step in self.steps)]
        if any(later > earlier for earlier, later in pairwise(shares)):
            raise ValueError("keep_fraction can only fall with age: what is gone stays gone")
        return self

    @model_validator(mode="after")
    def _one_curve(self) -> "KeepRule":
        if self.like is None:
            if self.rest_goes_to is not None:
                raise ValueError("rest_goes_to belongs in the steps, or beside like")
            return self
        known = example_curves()
        if self.like not in known:
            listed = ", ".join(f'"{name}"' for name in known)
            raise ValueError(f"like must be one of {listed}{nearest(self.like, known)}")
        if self.steps:
            raise ValueError("give steps or like, not both")
        goes_somewhere = any(row["rest_goes_to"] == SOMEWHERE for row in known[self.like])
        if goes_somewhere and self.rest_goes_to is None:
            raise ValueError(
                f'"{self.like}" moves footage away: say where with rest_goes_to: a NAME of'
                ' [elsewhere] or "deleted"'
            )
        if self.rest_goes_to is not None and not goes_somewhere:
            raise ValueError(f'"{self.like}" moves nothing away: leave rest_goes_to out')
        return self


class Archive(Table):
    """An archive: a place that finished work goes to."""

    price_per_tb_month: Amount = quantity("money", 0, 500, step=0.5).named(
        "price of a TB a month in the archive",
        find_out="the price list; for your own archive, what a month of it costs",
    )
    fetch_price_per_tb: Amount = quantity("money", 0, 1000, default=0.0).named(
        "price of fetching a TB back",
        find_out="the price list: retrieval and transfer together; 0 if the archive is your own",
    )
    fetch_h_per_tb: Amount = quantity("h", 0, 100, step=0.25, default=0.5).named(
        "work of fetching a TB back",
        find_out="how long finding, loading and checking took the last time, without the wait",
    )
    media_price_per_tb: Amount = quantity("money", 0, 500, default=0.0).named(
        "drives on a shelf or tapes for one copy of a TB",
        find_out="the price of one, divided by the TB it holds; 0 if rented",
    )
    handling_h_per_tb: Amount = quantity("h", 0, 50, step=0.25, default=0.0).named(
        "work of putting one copy of a TB there",
        find_out="how long writing, checking and labelling took the last time",
    )
    copies: int = count("copies", 1, 4, default=1).named(
        "copies kept there",
        find_out="your choice: two for drives on a shelf or tapes, as one of them may not read",
        status="choice",
    )


class TeamChange(Table):
    """What changes in the team from a date on; what is not named goes on as before."""

    from_date: Annotated[date, FROM_DATE]
    editors: Annotated[Amount, EDITORS] = None
    working_tb_per_editor: Annotated[Amount, WORKING_COPIES] = None

    @model_validator(mode="after")
    def _changes_something(self) -> "TeamChange":
        if len(self.model_fields_set) < 2:
            raise ValueError("names no key that changes; add one, or remove the change")
        return self


class Team(Table):
    """The people who edit at once, and what each keeps open beside the footage."""

    editors: Annotated[Amount, EDITORS] = 1.0
    working_tb_per_editor: Annotated[Amount, WORKING_COPIES] = WORKING_TB
    streams_per_editor: Amount = quantity("streams", 0, 20, default=1.0).named(
        "streams each of them plays at once",
        find_out="1 where the stream's rate already counts every layer",
    )
    changes: tuple[TeamChange, ...] = Field(default=())

    @model_validator(mode="after")
    def _check_dates(self) -> "Team":
        _days_in_order(self.changes)
        return self


@cache
def example_curves() -> dict[str, tuple[Any, ...]]:
    """The rows of each example keep curve by its name, in the order of the table."""
    found: dict[str, tuple[Any, ...]] = {}
    for row in table("keep_curves"):
        found[row["key"]] = (*found.get(row["key"], ()), row)
    return found


@cache
def _example_steps(like: str, place: str | None) -> tuple[Step, ...]:
    return tuple(
        Step(
            after_months=int(row["after_months"]),
            keep_fraction=float(row["keep_fraction"]),
            rest_goes_to=place if row["rest_goes_to"] == SOMEWHERE and place else "deleted",
        )
        for row in example_curves()[like]
        if row["after_months"]
    )


def _days_in_order(changes: tuple[Any, ...]) -> list[date]:
    days = [change.from_date for change in changes]
    if days != sorted(set(days)):
        raise ValueError("changes must stand in order of their from_date, each date once")
    return days
