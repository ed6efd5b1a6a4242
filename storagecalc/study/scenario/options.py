"""Options beside buying."""

from pydantic import model_validator

from storagecalc.study.scenario.declare import count, described, fraction
from storagecalc.study.scenario.quantity import Amount, Table


class Option(Table):
    """A build with one change of habit, compared like a build of its own.

    One of three: finished work moves off the box, thinning comes sooner, or proxies get smaller.
    """

    build: str = described(
        "build whose habit it changes", find_out="the NAME of a table [builds.NAME]"
    )
    name: str | None = described(
        "name shown for the option",
        find_out="your words; left out: the build and the habit",
        default=None,
    )
    move_off_after_months: int | None = count("months", 1, 240, default=None).named(
        "age at which finished work moves off the box",
        find_out="your choice; file dates tell when a job is last touched",
        status="choice",
    )
    to: str | None = described(
        "where finished work moves", find_out="the NAME of a table [elsewhere.NAME]", default=None
    )
    needed_back_fraction_per_year: Amount = fraction(0, 2, step=0.01, default=0.05).named(
        "share of what was moved off that is needed back in a year",
        find_out="how often old jobs are opened, by size",
    )
    cull_sooner_months: int | None = count("months", 1, 120, default=None).named(
        "how much sooner footage is thinned",
        find_out="your choice, as far as the contracts allow",
        status="choice",
    )
    proxies_and_exports_fraction: Amount = fraction(0, 3, step=0.05, default=None).named(
        "proxies, renders and exports with smaller proxies", find_out="a trial with one job"
    )

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
                "must be one change of habit: give one of move_off_after_months, cull_sooner_months"
                " or proxies_and_exports_fraction"
            )
        if (self.move_off_after_months is None) != (self.to is None):
            raise ValueError("move_off_after_months and to belong together: say where it moves")
        return self
