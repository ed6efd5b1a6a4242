"""What drives cost in one future, month after month: trend, strays, shortages and quotes."""

import math
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist
from typing import Any


def month_of(drawn: Any, day: date | None) -> int:
    """The month of a date, -1 where there is none."""
    start = drawn.start_date
    return -1 if day is None else (day.year - start.year) * 12 + day.month - start.month


def while_quoted(path: list[float], quoted: int) -> list[float]:
    """The path once the quote has run out; 1 until the month of it is over."""
    return [1.0] * (quoted + 1) + path[quoted + 1 :]


@dataclass
class Market:
    """One future: its scenario in numbers, the share of each year, luck by shortage."""

    drawn: Any
    strays: list[float]
    luck: dict[str, float]

    def drive_path(self, key: str) -> list[float]:
        """The price of a class by month, relative to that of today."""
        prices, strayed, path = self.drawn.prices, 0.0, []
        for month in range(self.drawn.horizon_months):
            price = (1 + prices.drive_change_per_year) ** (month / 12)
            price *= math.exp(prices.drive_shock_per_year * strayed)
            strayed += NormalDist().inv_cdf(self.strays[month // 12]) / 12
            for name, shortage in self.drawn.shortages.items():
                if not shortage.drives or key in shortage.drives:
                    price *= self._jump(name, shortage, month)
            path.append(price)
        quoted = month_of(self.drawn, self.drawn.drives[key].price_holds_until_date)
        return while_quoted(path, quoted)[: self.drawn.horizon_months]

    def _jump(self, name: str, shortage: Any, month: int) -> float:
        since = month - month_of(self.drawn, shortage.from_date)
        if self.luck[name] >= shortage.probability_fraction or since < 0:
            return 1.0
        left, steps = shortage.months - since, shortage.recovery_months + 1
        if left >= 1:
            return shortage.price_factor
        share = (left - 1 + steps) / steps
        return 1 + (shortage.price_factor - 1) * share if share > 0 else 1.0
