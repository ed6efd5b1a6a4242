"""The same ledger for a build whose orders are settled beforehand: line by line, pool by pool."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from study.money.ladder import NEVER, data_drives, left_fraction, moved_lots
from study.money.ledger import Ledger


@dataclass
class Change:
    """Drives that come into a pool, in the place of all others where they are a swap."""

    month: int
    stands: int
    drives: str
    count: int
    swap: bool = False


@dataclass
class PlannedLedger(Ledger):
    """One future of an alternative that follows a plan; ``orders`` are its lines."""

    orders: Sequence[Any] = ()
    pools: dict[int, list[Change]] = field(default_factory=lambda: defaultdict(list))

    def _own(self) -> None:
        drawn, lead = self.drawn, math.ceil(self.build.lead_time_months)
        olds, lines = moved_lots(drawn, self.build), self.orders
        first = 0 if olds else min((line.month for line in lines), default=self.horizon)
        key = self.build.drives if not lines else lines[0].drives
        key = drawn.owned[self.build.drives_from].drives if olds else key
        build = self.build = self.build.model_copy(update={"drives": key})
        waits = first or (build.keeps and not (build.starts_in and olds))
        begins = first + (lead if waits else 0)
        if olds:
            self.pools[0] = [Change(-1, begins, key, sum(count for count, _ in olds))]
        for line in lines:
            at_first = line.month == first and not olds
            stands = begins if at_first else line.month + lead
            self.pools[line.pool].append(
                Change(line.month, stands, line.drives, line.count, line.swap)
            )
            if line.unit == "shelf":
                self._shelf(build, line.month, stands)
        self._boxed(first, begins)
        self._filled(olds, begins, first)
        for month in range(self.horizon):
            self.cost["labour"][month] += drawn.running.care_h_per_month * self.hour[month]

    def _boxed(self, first: int, begins: int) -> None:
        """The box, and the work of every month in which anything is ordered."""
        build, months = self.build, {line.month for line in self.orders}
        if build.starts_in is not None:
            age = self.drawn.owned[build.starts_in].box_age_years
            self._owned_box(build, age, begins, self.horizon)
        elif first < self.horizon:
            self._box(build, first, begins)
        if first < self.horizon and (build.starts_in is None or build.cold_spares):
            months.add(first)
        for month in months:
            self._work(build, month)

    def _filled(self, olds: list[tuple[int, float]], begins: int, first: int) -> None:
        """Drives that were owned, those that are bought, and spares for the first of them."""
        key = self.build.drives
        for pool, changes in self.pools.items():
            for place, each in enumerate(changes):
                later = (other.stands for other in changes[place + 1 :] if other.swap)
                until = next(later, NEVER)
                if each.month >= 0:
                    self._lot("drives", each.drives, each.count, each.month, each.stands, until)
                    continue
                for count, age in olds:
                    self._olds(count, age, key, key, begins, until)
            if pool == 0 and self.build.cold_spares:
                self._spares(self.build, first)
                swapped_in = next((each.stands for each in changes if each.swap), NEVER)
                self.lots[-1].replaced_before = min(self.lots[-1].replaced_before, swapped_in)

    def _own_tb(self) -> list[float]:
        months = range(self.horizon)
        return [sum(self._pool_tb(pool, month) for pool in self.pools) for month in months]

    def _most_tb(self) -> float:
        return sum(self._pool_tb(pool, NEVER) for pool in self.pools)

    def _pool_tb(self, pool: int, month: int) -> float:
        """Room of a pool with what stands in it; nobody's drives become smaller by a swap."""
        count, size = 0, 0.0
        for each in self.pools[pool]:
            if each.stands <= month:
                count = each.count if each.swap else count + each.count
                size = max(size, self.drawn.drives[each.drives].size_tb)
        if not count:
            return 0.0
        spares = 0 if pool else self.build.hot_spares
        data = data_drives(self.build.redundancy, count - spares)
        return data * size * left_fraction(self.drawn)
