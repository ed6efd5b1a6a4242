"""One thing of the ledger: bought, replaced, failing and worth something by itself."""

import math
from dataclasses import dataclass

from study.money.ladder import NEVER


@dataclass
class Lot:
    """Things of one kind bought together: paid for, in use from a month until another."""

    what: str
    count: float
    price: list[float]
    bought: int
    life_months: float
    warranty_months: float
    kept: float
    fails_per_month: float = 0.0
    power_w: float = 0.0
    start: int = 0
    until: int = NEVER
    sale_fraction: float = 0.0
    replaced_before: int = NEVER

    def purchases(self, horizon: int) -> list[int]:
        """Months in which it is bought, and bought anew when worn out while it is in use."""
        if self.bought >= horizon:
            return []
        months, each = [self.bought], math.ceil(self.life_months)
        last = min(horizon, self.until, self.replaced_before)
        while months[-1] + each < last:
            months.append(months[-1] + each)
        return months

    def worth(self, horizon: int) -> float:
        """What is left of it when the month before ``horizon`` is over."""
        total = 0.0
        for month in self.purchases(horizon):
            if horizon - month <= self.life_months:
                price = min(self.price[month], self.price[horizon - 1])
                total += self.count * price * self.kept ** ((horizon - month) / 12)
        return total

    def uncovered(self, month: int, horizon: int) -> bool:
        """Whether a failure in this month is paid for."""
        if not self.start <= month < self.until:
            return False
        bought = [each for each in self.purchases(horizon) if each <= month]
        return bool(bought) and month - bought[-1] >= math.ceil(self.warranty_months)
