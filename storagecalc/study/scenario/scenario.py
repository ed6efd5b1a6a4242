"""The whole scenario; rules between its tables are in between_tables.py."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StringConstraints, field_validator

from storagecalc.study.scenario.builds import Build, Filling
from storagecalc.study.scenario.copies import Copy
from storagecalc.study.scenario.costs import Cost
from storagecalc.study.scenario.declare import count, described, fraction
from storagecalc.study.scenario.drives import DriveClass, Rebuild
from storagecalc.study.scenario.footage import Archive, KeepRule, Team, Work
from storagecalc.study.scenario.needs import Needs
from storagecalc.study.scenario.network import Network
from storagecalc.study.scenario.options import Option
from storagecalc.study.scenario.owned import Owned
from storagecalc.study.scenario.prices import Prices, Running, Shortage
from storagecalc.study.scenario.quantity import Amount, Table
from storagecalc.study.scenario.remedy import Remedy
from storagecalc.study.scenario.site import Place

# Where the file does not say: seven years, about the life of a box.
HORIZON_MONTHS = 84
# Control characters that separate are blank too; the library's own stripping leaves them.
STRIPPED = BeforeValidator(lambda text: text.strip() if isinstance(text, str) else text)


class Scenario(Table):
    """One studio's question, checked. Made by ``load_scenario``, changed by ``varied``."""

    title: Annotated[str, StringConstraints(min_length=1), STRIPPED] = described(
        "what this is about", find_out="your words; the report begins with them"
    )
    currency: Annotated[str, StringConstraints(min_length=1, max_length=12), STRIPPED] = described(
        "currency of every price", find_out="a code or a sign of at most 12 characters"
    )
    start_date: date = described(
        "first month", find_out="when you would buy; the day is set to the first"
    )
    horizon_months: int = count("months", 12, 240, step=12, default=HORIZON_MONTHS).named(
        "months looked ahead", find_out="how long the next box should serve, and a little more"
    )
    discount_rate_per_year: Amount = fraction(0, 0.4, step=0.01, default=0.06).named(
        "discount rate a year", find_out="the yearly interest of a loan"
    )
    prices_are: Literal["invented", "quoted", "a guess"] = described(
        "where the prices come from", find_out="be honest: the report repeats it", default="a guess"
    )
    tax: Literal["without VAT", "with VAT"] = described(
        "whether prices include tax",
        find_out="the quote; write all prices the same way",
        default="without VAT",
    )
    needs: Needs = Field(default_factory=Needs)
    work: dict[str, Work] = Field(min_length=1)
    keep: dict[str, KeepRule]
    team: Team = Field(default_factory=Team)
    elsewhere: dict[str, Archive] = Field(default_factory=dict)
    drives: dict[str, DriveClass] = Field(min_length=1)
    owned: dict[str, Owned] = Field(default_factory=dict)
    builds: dict[str, Build] = Field(min_length=1)
    options: dict[str, Option] = Field(default_factory=dict)
    copies: dict[str, Copy] = Field(default_factory=dict)
    costs: dict[str, Cost] = Field(default_factory=dict)
    network: Network = Field(default_factory=Network)
    place: Place = Field(default_factory=Place)
    filling: Filling = Field(default_factory=Filling)
    rebuild: Rebuild = Field(default_factory=Rebuild)
    prices: Prices = Field(default_factory=Prices)
    shortages: dict[str, Shortage] = Field(default_factory=dict)
    running: Running
    remedy: Remedy = Field(default_factory=Remedy)

    @field_validator("start_date")
    @classmethod
    def _first_of_month(cls, day: date) -> date:
        if not 2000 <= day.year <= 2100:
            raise ValueError(f"must be a day from 2000 to 2100, got {day}")
        return day.replace(day=1)

    def varied(self, changes: Mapping[str, Any]) -> "Scenario":
        """The scenario with some dotted keys changed, checked like a file.

        Parameters
        ----------
        changes
            New values by dotted key, for example ``{"builds.small.lead_time_months": 4}``.
            A number in a path picks from a list: ``work.films.changes.0.cameras``.

        Raises
        ------
        ScenarioError
            Where a key does not exist or a value breaks a rule.
        """
        from storagecalc.study.scenario.load import scenario_from, with_changes

        return scenario_from(
            with_changes(self.as_written(), changes), source="the changed scenario"
        )

    def as_written(self) -> dict[str, Any]:
        """The scenario as plain tables, with what the file gave and nothing it left out.

        Numbers, texts, dates, ranges as tables, lists: whatever a TOML file can hold.
        """
        return self.model_dump(exclude_unset=True, exclude_none=True)

    def build_name(self, key: str) -> str:
        """What a build or an option is called: its name, or one made of its key or habit."""
        if key in self.builds:
            return self.builds[key].name or key
        option = self.options[key]
        return option.name or option_name(option, self.build_name(option.build))


def option_name(option: Option, build_name: str) -> str:
    """What an option is called where the file gives it no name."""
    if option.move_off_after_months is not None:
        return f"{build_name}, moved off after {option.move_off_after_months} months"
    if option.cull_sooner_months is not None:
        return f"{build_name}, thinned {option.cull_sooner_months} months sooner"
    return f"{build_name}, smaller proxies"
