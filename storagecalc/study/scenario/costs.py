"""Whatever else the project costs beside boxes, drives and their running."""

from datetime import date

from pydantic import Field, model_validator

from storagecalc.study.scenario.declare import count, described, quantity
from storagecalc.study.scenario.quantity import Amount, Table


class Cost(Table):
    """Something else the project needs: a switch, cabling, a rack, an electrician, insurance."""

    price: Amount = quantity("money", 0, 1_000_000, step=50, floor=5).named(
        "price of it", find_out="a quote, at today's prices"
    )
    from_date: date | None = described(
        "month in which it is paid first",
        find_out="left out: with the first order; the day is set to the first",
        default=None,
    )
    every_months: int | None = count("months", 1, 240, default=None).named(
        "how often it is paid again", find_out="the contract; left out: once", status="choice"
    )
    life_years: Amount = quantity("years", 1, 30, default=None).named(
        "age at which it is bought anew", find_out="your house rule; left out: never"
    )
    builds: tuple[str, ...] = Field(
        default=(),
        title="builds that need it",
        description="NAMES of tables [builds.NAME]; left out: all of them",
    )

    @model_validator(mode="after")
    def _one_rhythm(self) -> "Cost":
        if self.every_months is not None and self.life_years is not None:
            raise ValueError(
                "give every_months for what is paid again and again, or life_years for a thing"
                " that is bought anew, not both"
            )
        return self
