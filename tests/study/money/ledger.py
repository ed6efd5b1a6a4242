"""An independent ledger: one future of one alternative, month after month, in lists and loops.

It takes the numbers of the scenario in that future, what is held and moved, and which steps are
ordered when. What follows in money is worked out here once more, thing by thing: each lot of drives
has its own purchase, warranty, successors, end and worth.
"""

import math
from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from pydantic import BaseModel
from study.money.ladder import (
    NEVER,
    moved_lots,
    new_only,
    order_months,
    owned_tb,
    steps_of,
    tb_by_step,
)
from study.money.lots import Lot
from study.money.market import Market, month_of, while_quoted


def at_draw(value: Any, draw: int) -> Any:
    """A drawn scenario, or a part of it, in one future: plain numbers where arrays stood."""
    if isinstance(value, np.ndarray):
        return float(np.broadcast_to(value, (1, max(value.shape[1], draw + 1), 1))[0, draw, 0])
    if isinstance(value, BaseModel):
        names = type(value).model_fields
        return value.model_copy(update={n: at_draw(getattr(value, n), draw) for n in names})
    if isinstance(value, dict):
        return {name: at_draw(part, draw) for name, part in value.items()}
    if isinstance(value, tuple):
        return tuple(at_draw(part, draw) for part in value)
    return value


def months_left(span_years: float, age_years: float) -> int:
    """Whole months until something of that age has reached the span."""
    return math.ceil(max(span_years - age_years, 0) * 12)


def row(values: Any, draw: int) -> list[float]:
    """The months of one future from an array of all of them."""
    rows = np.asarray(values)
    return rows[0, min(draw, rows.shape[1] - 1)].tolist()


@dataclass
class Ledger:
    """One future of one alternative; ``cost`` has a list of months by category."""

    drawn: Any
    build_key: str
    held: list[float]
    footage: dict[str, Any]
    own_ordered: list[int]
    further_ordered: list[int] | None
    strays: list[float]
    luck: dict[str, float]
    cost: dict[str, list[float]] = field(default_factory=dict)
    lots: list[Lot] = field(default_factory=list)
    worth: float = 0.0
    upfront: float = 0.0

    def __post_init__(self) -> None:
        self.horizon = self.drawn.horizon_months
        self.cost = defaultdict(lambda: [0.0] * self.horizon)
        prices, running = self.drawn.prices, self.drawn.running
        self.box_path = self._path(prices.box_change_per_year)
        market = Market(drawn=self.drawn, strays=self.strays, luck=self.luck)
        self.drive_path = {key: market.drive_path(key) for key in self.drawn.drives}
        self.general = self._path(prices.inflation_per_year)
        self.hour = [running.labour_price_per_h * each for each in self.general]
        electricity = self._path(prices.electricity_change_per_year)
        self.kwh = [running.electricity_price_per_kwh * each for each in electricity]
        self.build = self.drawn.builds[self.build_key]
        self._own()
        self._kept()
        self._further()
        self._lots()
        self._space()
        self._apart()

    def _path(self, change: float) -> list[float]:
        return [(1 + change) ** (month / 12) for month in range(self.horizon)]

    def _life(self, drives: Any) -> float:
        return drives.service_life_years * 12

    # ------------------------------------------------------------ the first box

    def _own(self) -> None:
        build, drawn = self.build, self.drawn
        lead = math.ceil(build.lead_time_months)
        steps = steps_of(build)
        months = order_months(self.own_ordered, len(steps) - 1)
        swaps = [m for step, m in zip(steps[1:], months, strict=True) if step.swap and m < NEVER]
        self.swapped_in = swaps[0] + lead if swaps else NEVER
        moved = sum(count for count, _ in moved_lots(drawn, build))
        bought = steps[0].drives - moved
        begins = self.begins = lead if build.keeps and (bought or not build.starts_in) else 0
        if build.starts_in is None:
            self._box(build, 0, begins)
        else:
            age = drawn.owned[build.starts_in].box_age_years
            self._owned_box(build, age, begins, self.horizon)
        self._lot("drives", build.drives, bought, 0, begins, self.swapped_in)
        self._spares(build, 0)
        self.lots[-1].replaced_before = min(self.lots[-1].replaced_before, self.swapped_in)
        for count, age in moved_lots(drawn, build):
            old, until = drawn.owned[build.drives_from].drives, self.swapped_in
            self._olds(count, age, old, build.drives, begins, until)
        touched = {0} if bought + build.cold_spares or build.starts_in is None else set()
        in_box = steps[0].drives
        for step, month in zip(steps[1:], months, strict=True):
            if month == NEVER:
                continue
            touched.add(month)
            if step.swap:
                self._lot("drives", build.swap_to, in_box, month, month + lead)
                continue
            if step.shelf:
                self._shelf(build, month, month + lead)
            until = NEVER if step.on_shelf else self.swapped_in
            self._lot("drives", build.drives, step.drives, month, month + lead, until)
            in_box += 0 if step.on_shelf else step.drives
        for month in touched:
            self._work(build, month)
        for month in range(self.horizon):
            self.cost["labour"][month] += drawn.running.care_h_per_month * self.hour[month]

    def _box(self, build: Any, month: int, start: int = 0, until: int = NEVER) -> None:
        self.lots.append(
            Lot("box", 1, self._box_prices(build), month, build.box_life_years * 12,
                build.box_warranty_years * 12,
                self.drawn.prices.box_value_kept_per_year_fraction,
                fails_per_month=build.box_failures_per_year / 12, start=start, until=until)
        )  # fmt: skip
        for now in range(start, min(until, self.horizon)):
            self._power(now, build.box_power_w)

    def _box_prices(self, box: Any) -> list[float]:
        """By month; a box that is kept has no quote."""
        quoted = month_of(self.drawn, getattr(box, "box_price_holds_until_date", None))
        return [box.box_price * each for each in while_quoted(self.box_path, quoted)]

    def _owned_box(self, box: Any, age_years: float, start: int, until: int) -> None:
        """A box that is owned runs, fails out of warranty, and is bought anew when worn out."""
        left = months_left(box.box_life_years, age_years)
        if left < until:
            self._box(box, left, max(left, start), NEVER if until == self.horizon else until)
        uncovered = months_left(box.box_warranty_years, age_years)
        for now in range(start, min(left, until, self.horizon)):
            self._power(now, box.box_power_w)
        for now in range(max(uncovered, start), min(left, until, self.horizon)):
            fails = box.box_failures_per_year / 12
            self.cost["failures"][now] += fails * self._box_prices(box)[now]

    def _shelf(self, build: Any, month: int, start: int) -> None:
        path = [build.shelf.price * each for each in self.box_path]
        self.lots.append(Lot("shelf", 1, path, month, build.box_life_years * 12, 0,
                             self.drawn.prices.box_value_kept_per_year_fraction))  # fmt: skip
        for now in range(start, self.horizon):
            self._power(now, build.shelf.power_w)
            self._beside(now)

    def _lot(
        self, what: str, key: str, count: float, month: int, start: int, until: int = NEVER
    ) -> None:
        drives = self.drawn.drives[key]
        self.lots.append(
            Lot(what, count, [drives.price * each for each in self.drive_path[key]], month,
                self._life(drives), drives.warranty_years * 12,
                self.drawn.prices.drive_value_kept_per_year_fraction,
                fails_per_month=drives.failures_per_drive_year / 12, power_w=drives.power_w,
                start=start, until=until, sale_fraction=self.drawn.prices.drive_sale_fraction)
        )  # fmt: skip

    def _spares(self, build: Any, month: int) -> None:
        """In the cupboard: bought like the others, but neither running nor failing."""
        if build.cold_spares:
            self._lot("spares", build.drives, build.cold_spares, month, NEVER)

    def _olds(
        self, count: float, age_years: float, key: str, then: str, start: int, until: int
    ) -> None:
        """Drives owned before run and fail until they are worn out; others take their place."""
        drives, price = self.drawn.drives[key], self.drawn.drives[then].price
        worn_out = months_left(drives.service_life_years, age_years)
        uncovered = months_left(drives.warranty_years, age_years)
        for now in range(start, min(worn_out, until, self.horizon)):
            self._power(now, drives.power_w * count)
            if now >= uncovered:
                fails = count * drives.failures_per_drive_year / 12
                self.cost["failures"][now] += fails * price * self.drive_path[then][now]
        if worn_out < min(until, self.horizon):
            self._lot("drives", then, count, worn_out, max(worn_out, start), until)

    # ------------------------------------------------------------ what is kept beside it

    def _kept(self) -> None:
        """Boxes kept as they are, each with its drives, until a month; nobody sells the boxes."""
        self.kept_tb = [0.0] * self.horizon
        for name in self.build.keeps:
            box = self.drawn.owned[name]
            until = self.build.keeps_months or months_left(box.box_life_years, box.box_age_years)
            until = min(until, self.horizon)
            self._owned_box(box, box.box_age_years, 0, until)
            for lot in box.lots:
                ends = NEVER if until == self.horizon else until
                self._olds(lot.count, lot.age_years, box.drives, box.drives, 0, ends)
            for now in range(until):
                self._beside(now)
                self.kept_tb[now] += owned_tb(self.drawn, box)

    # ------------------------------------------------------------ further boxes

    def _further(self) -> None:
        self.boxes = []
        if self.further_ordered is None:
            return
        build = self.drawn.builds[self.drawn.remedy.next_build]
        lead, steps = math.ceil(build.lead_time_months), steps_of(new_only(build))
        months = order_months(self.further_ordered, max(self.further_ordered))
        for first in range(0, len(months), len(steps)):
            of_box = [month for month in months[first : first + len(steps)] if month < NEVER]
            if not of_box:
                continue
            self.boxes.append(of_box)
            start = of_box[0] + lead
            self._box(build, of_box[0], start)
            self._spares(build, of_box[0])
            for step, month in zip(steps, of_box, strict=False):
                self._lot("drives", build.drives, step.drives, month, month + lead)
            for month in set(of_box):
                self._work(build, month)
            self._work(build, of_box[0], migration=True)
            for now in range(start, self.horizon):
                self._beside(now)

    # ------------------------------------------------------------ what both have

    def _work(self, build: Any, month: int, *, migration: bool = False) -> None:
        drawn, prices = self.drawn, self.drawn.prices
        hours, kept = drawn.running.work_per_order_h, prices.drive_value_kept_per_year_fraction
        life = self._life(drawn.drives[build.drives])
        if migration:
            hours, kept = drawn.remedy.migration_h, prices.box_value_kept_per_year_fraction
            life = build.box_life_years * 12
        lot = Lot("work", hours, self.hour, month, life, NEVER, kept, replaced_before=0)
        self.lots.append(lot)

    def _beside(self, month: int) -> None:
        running = self.drawn.running
        hours = running.care_h_per_month * running.further_box_care_fraction
        self.cost["labour"][month] += hours * self.hour[month]

    def _power(self, month: int, watts: float) -> None:
        self.cost["power"][month] += watts * 0.73 * self.kwh[month]

    def _lots(self) -> None:
        categories = {"box": "box", "shelf": "shelf", "work": "labour"}
        end = self.horizon
        for lot in self.lots:
            category = categories.get(lot.what, "drives")
            for month in lot.purchases(end):
                self.cost[category][month] += lot.count * lot.price[month]
            if lot.bought == 0:
                self.upfront += lot.count * lot.price[0]
            for month in range(end):
                if lot.start <= month < lot.until:
                    self._power(month, lot.count * lot.power_w)
                if lot.fails_per_month and lot.uncovered(month, end):
                    failed = lot.count * lot.fails_per_month * lot.price[month]
                    self.cost["failures"][month] += failed
            if lot.until >= end:
                self.worth += lot.worth(end)
            else:
                sold = lot.worth(lot.until + 1) * lot.sale_fraction
                self.cost["sales"][lot.until] -= sold

    def _space(self) -> None:
        """Rent for what stands nowhere, and what is deleted early."""
        remedy, own = self.drawn.remedy, self._own_tb()
        for month in range(self.horizon):
            ready = self.kept_tb[month] + own[month]
            most = self._most_tb() + self.kept_tb[month]
            if self.further_ordered is not None:
                ready += self._further_tb(month)
            unmet = max(self.held[month] - ready, 0.0)
            if remedy.kind == "early cull":
                unmet = max(min(self.held[month], most) - ready, 0.0)
            rent = unmet * remedy.elsewhere_price_per_tb_month * self.general[month]
            self.cost["rent"][month] += rent
            early = self.footage["deleted_early"][month] + self.footage["too_much"][month]
            lost = early * remedy.cull_price_per_tb * self.general[month]
            self.cost["deleted early"][month] += lost

    def _own_tb(self) -> list[float]:
        """Room in its own pools by month."""
        own, lead = tb_by_step(self.drawn, self.build), math.ceil(self.build.lead_time_months)
        ordered = [0] * lead + self.own_ordered
        months = range(self.horizon)
        return [own[ordered[month]] if month >= self.begins else 0.0 for month in months]

    def _most_tb(self) -> float:
        return tb_by_step(self.drawn, self.build)[-1]

    def _further_tb(self, month: int) -> float:
        build = self.drawn.builds[self.drawn.remedy.next_build]
        lead = math.ceil(build.lead_time_months)
        by_step = tb_by_step(self.drawn, new_only(build))
        total = 0.0
        for of_box in self.boxes:
            there = sum(each + lead <= month for each in of_box)
            total += by_step[there - 1] if there else 0.0
        return total

    def _apart(self) -> None:
        """Copies, archive, and whatever else the project costs."""
        drawn = self.drawn
        for copy in drawn.copies.values():
            path = [copy.price * each for each in self.box_path]
            lot = Lot("copy", 1, path, 0, copy.life_years * 12, NEVER, 0)
            for month in lot.purchases(self.horizon):
                self.cost["copies"][month] += path[month]
            self.upfront += path[0]
            for month, tb in enumerate(self.held):
                copied = tb if copy.capacity_tb is None else min(tb, copy.capacity_tb)
                rent = copied * copy.price_per_tb_month * self.general[month]
                self.cost["copies"][month] += rent
        for key, place in drawn.elsewhere.items():
            self._archive(place, *(self.footage[name][key] for name in ("there", "in", "back")))
        for cost in drawn.costs.values():
            if not cost.builds or self.build_key in cost.builds:
                self._other(cost)

    def _archive(self, place: Any, there: list[float], new: list[float], back: list[float]) -> None:
        most = 0.0
        for month in range(self.horizon):
            media = max(there[month] - most, 0.0)
            most = max(most, there[month])
            money = place.copies * place.price_per_tb_month * there[month]
            money += place.copies * place.media_price_per_tb * media
            money += place.fetch_price_per_tb * back[month]
            hours = place.fetch_h_per_tb * back[month]
            hours += place.copies * place.handling_h_per_tb * new[month]
            cost = money * self.general[month] + hours * self.hour[month]
            self.cost["archive"][month] += cost

    def _other(self, cost: Any) -> None:
        first, start = 0, self.drawn.start_date
        if cost.from_date is not None:
            first = (cost.from_date.year - start.year) * 12 + cost.from_date.month - start.month
        each = cost.every_months or (cost.life_years and math.ceil(cost.life_years * 12)) or NEVER
        for month in range(first, self.horizon, each):
            self.cost["other costs"][month] += cost.price * self.general[month]
        if first == 0 and cost.every_months is None:
            self.upfront += cost.price

    # ------------------------------------------------------------ sums

    def present(self, months: list[float]) -> float:
        rate = self.drawn.discount_rate_per_year
        return sum(each * (1 + rate) ** (-month / 12) for month, each in enumerate(months))

    def present_by_year(self) -> list[float]:
        """What is paid in each year, in today's money."""
        paid = [sum(each) for each in zip(*self.cost.values(), strict=True)]
        rate = self.drawn.discount_rate_per_year
        found = [0.0] * math.ceil(self.horizon / 12)
        for month, cost in enumerate(paid):
            found[month // 12] += cost * (1 + rate) ** (-month / 12)
        return found

    def present_by_category(self) -> dict[str, float]:
        found = {name: self.present(months) for name, months in self.cost.items()}
        rate = self.drawn.discount_rate_per_year
        return found | {"worth at the end": -self.worth * (1 + rate) ** (-(self.horizon - 1) / 12)}
