"""Work: what is recorded, by whom, and how long it is kept."""

from datetime import date
from functools import cache
from itertools import pairwise
from typing import Annotated, Any

from pydantic import AfterValidator, Field, PrivateAttr, model_validator

from storagecalc.models.formats import recording_formats
from storagecalc.models.tables import table
from storagecalc.study.scenario.quantity import Amount, Quantity, Table, middle, nearest, upper

# What the table of example curves writes for a place; the keep rule says which one.
SOMEWHERE = "elsewhere"

SHOOT_DAYS = Quantity(
    label="shoot days a month", unit="days", lowest=0, highest=31, step=1,
    find_out="the booking calendar of the last twelve months",
)  # fmt: skip
CAMERAS = Quantity(
    label="cameras on a shoot day", unit="cameras", lowest=0, highest=60, step=1,
    find_out="the call sheets",
)  # fmt: skip
CAMERA_HOURS = Quantity(
    label="hours recorded by each camera on a shoot day", unit="h", lowest=0, highest=24, step=0.25,
    find_out="the last ten cards: their clips' lengths added up",
)  # fmt: skip
RATE = Quantity(
    label="recording rate", unit="Mbit/s", lowest=0.01, highest=60_000, step=10,
    find_out="a file's size in megabits divided by its length in seconds",
)  # fmt: skip
STILLS = Quantity(
    label="stills kept from a shoot day", unit="stills", lowest=0, highest=50_000, step=50,
    find_out="file counts of the last ten shoots",
)  # fmt: skip
EDITORS = Quantity(
    label="people who edit at once", unit="people", lowest=0, highest=200, step=1,
    find_out="count the desks on a busy day",
)  # fmt: skip
WORKING_COPIES = Quantity(
    label="working copies, caches and renders of each", unit="TB", lowest=0, highest=50,
    step=0.25, find_out="size of the project and cache folders of one desk",
)  # fmt: skip


def _known_format(key: str) -> str:
    known = [each.key for each in recording_formats()]
    if key not in known:
        raise ValueError(f"must be a recording format of the table{nearest(key, known)}")
    return key


Format = Annotated[str, AfterValidator(_known_format)]


class Change(Table):
    """What changes in a kind of work from a date on; what is not named goes on as before."""

    from_date: date
    format: Format | None = None
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

    keep: str
    shoot_days_per_month: Annotated[Amount, SHOOT_DAYS]
    cameras: Annotated[Amount, CAMERAS] = 1.0
    hours_per_camera_day: Annotated[Amount, CAMERA_HOURS] = 0.0
    format: Format | None = None
    rate_mbit_s: Annotated[Amount, RATE] = None
    real_rate_fraction: Annotated[
        Amount,
        Quantity(
            label="real rate as a share of the nominal one", unit="fraction", lowest=0.3,
            highest=1.5, step=0.05,
            find_out="sizes of ten real files against length times nominal rate",
        ),
    ] = 1.0  # fmt: skip
    stills_per_shoot_day: Annotated[Amount, STILLS] = 0.0
    still_mb: Annotated[
        Amount,
        Quantity(
            label="size of one still", unit="MB", lowest=0.1, highest=1000, step=5,
            find_out="a folder's size divided by its file count",
        ),
    ] = 45.0  # fmt: skip
    proxies_and_exports_fraction: Annotated[
        Amount,
        Quantity(
            label="proxies, renders and exports beside the recordings", unit="fraction", lowest=0,
            highest=3, step=0.05, find_out="folder sizes of three finished jobs",
        ),
    ] = 0.15  # fmt: skip
    growth_per_year: Annotated[
        Amount,
        Quantity(
            label="growth of this work a year", unit="fraction", lowest=-0.5, highest=1, step=0.01,
            find_out="shoot days of the last three years",
        ),
    ] = 0.0  # fmt: skip
    stored_today_tb: Annotated[
        Amount,
        Quantity(
            label="footage of this kind stored today", unit="TB", lowest=0, highest=5000, step=1,
            find_out="folder sizes on the storage you have",
        ),
    ] = 0.0  # fmt: skip
    stored_oldest_months: Annotated[
        int,
        Quantity(
            label="age of the oldest footage stored today", unit="months", lowest=1, highest=240,
            step=1, whole=True, find_out="dates of the oldest folders",
        ),
    ] = 24  # fmt: skip
    jobs_per_month: Annotated[
        Amount,
        Quantity(
            label="jobs a month, if the footage comes in lumps", unit="jobs", lowest=0.1,
            highest=300, step=0.5, find_out="jobs of the last two years over 24",
        ),
    ] = None  # fmt: skip
    job_size_spread_fraction: Annotated[
        Amount,
        Quantity(
            label="how far a job's size strays from the mean job", unit="fraction", lowest=0,
            highest=3, step=0.1,
            find_out="folder sizes of ten jobs: standard deviation over mean",
        ),
    ] = 0.5  # fmt: skip
    start_date: date | None = None
    end_date: date | None = None
    changes: tuple[Change, ...] = Field(default=())
    # Drawn, never written: 1 in every month until study/draws.py has drawn the jobs.
    _lump_factors: Any = PrivateAttr(default=1.0)

    @property
    def lump_factors(self) -> Any:
        """What each month brings in each future as a multiple of its mean; 1 where undrawn."""
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
                "cameras record hours here, so it needs a format (see the list of recording"
                " formats) or a rate_mbit_s"
            )
        self._check_dates()
        return self

    def _check_dates(self) -> None:
        if self.start_date and self.end_date and self.end_date <= self.start_date:
            raise ValueError(f"end_date {self.end_date} is not after start_date {self.start_date}")
        for day in _days_in_order(self.changes):
            if self.end_date and day >= self.end_date:
                raise ValueError(f"a change on {day} comes after the work's end_date")


class Step(Table):
    """From this age on, this share of what was recorded is still on the box."""

    after_months: Annotated[
        int,
        Quantity(
            label="age at which it is thinned", unit="months", lowest=1, highest=600, step=1,
            whole=True, find_out="the contract, or when you last went back to a job",
        ),
    ]  # fmt: skip
    keep_fraction: Annotated[
        Amount,
        Quantity(
            label="share still on the box", unit="fraction", lowest=0, highest=1, step=0.05,
            find_out="size of a finished job before and after clearing up",
        ),
    ]  # fmt: skip
    rest_goes_to: str = "deleted"


class KeepRule(Table):
    """How a kind of work is thinned with age; without steps everything stays.

    ``like`` names an example curve of the table instead of steps; ``rest_goes_to`` then says where
    that curve sends what it does not delete.
    """

    steps: tuple[Step, ...] = Field(default=())
    like: str | None = None
    rest_goes_to: str | None = None
    fetched_back_fraction_per_year: Annotated[
        Amount,
        Quantity(
            label="share of what lies elsewhere that is fetched back in a year", unit="fraction",
            lowest=0, highest=1, step=0.01,
            find_out="how often old jobs were asked for again last year, by size",
        ),
    ] = 0.02  # fmt: skip

    @property
    def curve(self) -> tuple[Step, ...]:
        """The steps that hold: those written, or those of the example it is like."""
        return self.steps if self.like is None else _example_steps(self.like, self.rest_goes_to)

    @property
    def places(self) -> frozenset[str]:
        """Where footage goes that is not deleted."""
        return frozenset(step.rest_goes_to for step in self.curve) - {"deleted"}

    @model_validator(mode="after")
    def _falls(self) -> "KeepRule":
        ages = [step.after_months for step in self.steps]
        if ages != sorted(set(ages)):
            raise ValueError("steps must stand in order of after_months, each age once")
        shares = [1.0, *(middle(step.keep_fraction) for step in self.steps)]
        if any(later > earlier for earlier, later in pairwise(shares)):
            raise ValueError("keep_fraction can only fall with age: what is gone stays gone")
        return self

    @model_validator(mode="after")
    def _one_curve(self) -> "KeepRule":
        if self.like is None:
            if self.rest_goes_to is not None:
                raise ValueError("rest_goes_to belongs into the steps, or beside like")
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
                f'"{self.like}" moves footage away: say where with rest_goes_to, a place of'
                ' [elsewhere] or "deleted"'
            )
        if self.rest_goes_to is not None and not goes_somewhere:
            raise ValueError(f'"{self.like}" moves nothing away, so rest_goes_to says nothing')
        return self


class Archive(Table):
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


class TeamChange(Table):
    """What changes in the team from a date on; what is not named goes on as before."""

    from_date: date
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
    working_tb_per_editor: Annotated[Amount, WORKING_COPIES] = 0.5
    streams_per_editor: Annotated[
        Amount,
        Quantity(
            label="streams each of them plays at once", unit="streams", lowest=0, highest=20,
            step=1, find_out="1 where the stream's rate already counts every layer",
        ),
    ] = 1.0  # fmt: skip
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
