"""Options beside buying."""

from typing import Annotated

from pydantic import model_validator

from storagecalc.study.scenario.quantity import Amount, Quantity, Table


class Option(Table):
    """A build with a change of habit beside it; it stands in the comparison like a build.

    One of three: finished work moves off the box, thinning comes sooner, or proxies get smaller.
    """

    build: str
    name: str | None = None
    move_off_after_months: Annotated[
        int | None,
        Quantity(
            label="age at which finished work moves off the box", unit="months", lowest=1,
            highest=240, step=1, whole=True, find_out="when a job is last touched, by file dates",
        ),
    ] = None  # fmt: skip
    to: str | None = None
    needed_back_fraction_per_year: Annotated[
        Amount,
        Quantity(
            label="share of what was moved off that is needed back in a year", unit="fraction",
            lowest=0, highest=2, step=0.01, find_out="how often old jobs are opened, by size",
        ),
    ] = 0.05  # fmt: skip
    cull_sooner_months: Annotated[
        int | None,
        Quantity(
            label="how much sooner footage is thinned", unit="months", lowest=1, highest=120,
            step=1, whole=True, find_out="what the contracts allow",
        ),
    ] = None  # fmt: skip
    proxies_and_exports_fraction: Annotated[
        Amount,
        Quantity(
            label="proxies, renders and exports with smaller proxies", unit="fraction", lowest=0,
            highest=3, step=0.05, find_out="a trial with one job",
        ),
    ] = None  # fmt: skip

    @property
    def habit(self) -> str:
        """What it changes: "moving off", "thinning sooner" or "smaller proxies"."""
        if self.move_off_after_months is not None:
            return "moving off"
        return "smaller proxies" if self.cull_sooner_months is None else "thinning sooner"

    @model_validator(mode="after")
    def _one_habit(self) -> "Option":
        habits = (
            self.move_off_after_months,
            self.cull_sooner_months,
            self.proxies_and_exports_fraction,
        )
        if sum(habit is not None for habit in habits) != 1:
            raise ValueError(
                "is one change of habit: give move_off_after_months, cull_sooner_months or"
                " proxies_and_exports_fraction"
            )
        if (self.move_off_after_months is None) != (self.to is None):
            raise ValueError("move_off_after_months and to belong together: say where it moves")
        return self
