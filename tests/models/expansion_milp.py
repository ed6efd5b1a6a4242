"""The best purchase plan once more, as an integer program: drives by month bought and month sold.

It shares no idea with the recursion: sizes, counts and swaps are variables, and each drive bought
in a month and sold in another is counted by itself.
"""

import numpy as np


class Program:
    """An integer program that grows by variables and rows."""

    def __init__(self):
        self.cost, self.upper, self.whole = [], [], []
        self.rows, self.least, self.most = [], [], []
        self.constant = 0.0

    def variable(self, *, upper=np.inf, whole=True, cost=0.0):
        self.cost.append(cost)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(self, terms, *, least=-np.inf, most=np.inf):
        """``least <= sum of factor * variable <= most``, of pairs (factor, variable)."""
        self.rows.append(terms)
        self.least.append(least)
        self.most.append(most)

    def least_cost(self, seconds=600.0):
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        where = [(r, v, f) for r, terms in enumerate(self.rows) for f, v in terms]
        rows, places, factors = (np.array(part) for part in zip(*where, strict=True))
        # The solver of the oldest library we allow takes short whole numbers alone.
        at = rows.astype(np.int32), places.astype(np.int32)
        matrix = coo_array((factors, at), shape=(len(self.rows), len(self.cost)))
        found = milp(
            np.array(self.cost),
            constraints=LinearConstraint(matrix.tocsr(), self.least, self.most),
            integrality=self.whole,
            bounds=Bounds(0, self.upper),
            options={"mip_rel_gap": 1e-10, "time_limit": seconds},
        )
        if found.status == 2:
            return np.inf
        assert found.success, found.message
        return found.fun + self.constant


class Pool:
    """One pool that stands or may come: variables by order month and size."""

    def __init__(self, program, asked, kind, owned=None):
        self.asked, self.kind, self.owned = asked, kind, owned
        self.sizes = sorted(asked.drive_options, key=lambda option: option.size_tb)
        self.swaps = asked.allow_swap and kind.is_box
        months, self.never = range(asked.order_months), asked.order_months
        self.discount = (1 + asked.discount_rate_per_year) ** (-np.arange(asked.months) / 12)
        self.has = [[program.variable(upper=1) for _ in self.sizes] for _ in months]
        self.steps = [[program.variable(upper=kind.bays) for _ in self.sizes] for _ in months]
        self.swap = [program.variable(upper=int(self.swaps)) for _ in months]
        for t in months:
            program.cost[self.swap[t]] += asked.swap_cost_by_month[t] * self.discount[t]
        # (month bought or -1, size, month sold, variable)
        self.cohorts = []
        for t in months:
            for s, option in enumerate(self.sizes):
                if option.is_for_sale(t):
                    self._cohorts(program, t, s, t, option.price_by_month[t], kind.bays)
        if owned is not None:
            own = next(s for s, option in enumerate(self.sizes) if option.key == owned.drive)
            for lot in owned.lots:
                there = self._cohorts(program, -1, own, -lot.age_months, lot.price_paid, lot.count)
                program.row([(1, v) for v in there], least=lot.count, most=lot.count)
            self.own, self.own_count = own, sum(lot.count for lot in owned.lots)
        self._rules(program)

    def _cohorts(self, program, month, size, paid_month, paid, count):
        """Drives of one purchase by the month of their sale."""
        asked, option, made = self.asked, self.sizes[size], []
        for sold in range(month + 1, self.never + 1) if self.swaps else [self.never]:
            if sold == self.never:
                at, aged, share = asked.months - 1, asked.months, float(asked.sell_at_end)
            else:
                at = aged = sold + asked.lead_time_months
                share = asked.swap_sale_fraction
            kept = option.value_kept_per_year_fraction ** ((aged - paid_month) / 12)
            worth = share * kept * min(paid, option.price_by_month[at]) * self.discount[at]
            price = paid * self.discount[month] if month >= 0 else 0.0
            made.append(program.variable(upper=count, whole=False, cost=price - worth))
            self.cohorts.append((month, size, sold, made[-1]))
        return made

    def count(self, t, size=None):
        """Terms of the drives that are there once the order of month t is placed."""
        sizes = range(len(self.sizes)) if size is None else [size]
        first, step = self.kind.drives_at_first, self.kind.drives_per_step
        return [(first, self.has[t][s]) for s in sizes] + [(step, self.steps[t][s]) for s in sizes]

    def there(self, t, sign=1):
        """Terms of 1 where the pool is there once the order of month t is placed, else 0."""
        return [(sign, v) for v in self.has[t]]

    def _rules(self, program):
        bays, first, step = self.kind.bays, self.kind.drives_at_first, self.kind.drives_per_step
        for t, swap in enumerate(self.swap):
            program.row(self.there(t), least=float(self.owned is not None), most=1)
            for s in range(len(self.sizes)):
                more = (bays - first) // step
                program.row([(1, self.steps[t][s]), (-more, self.has[t][s])], most=0)
                bought = [(-1, v) for m, z, out, v in self.cohorts if z == s and m <= t < out]
                program.row(self.count(t, s) + bought, least=0, most=0)
                self._sizes(program, t, s)
            leave = [(1, v) for _, _, out, v in self.cohorts if out == t]
            stay = [(1, v) for m, _, out, v in self.cohorts if m < t < out]
            program.row([*leave, (-bays, swap)], most=0)
            program.row([*stay, (bays, swap)], most=bays)
            if t:
                program.row(self.there(t) + self.there(t - 1, -1), least=0)
                program.row([(1, swap), *self.there(t - 1, -1)], most=0)
                fewer = [(-f, v) for f, v in self.count(t - 1)]
                program.row(self.count(t) + fewer, least=0)
            elif self.owned is None:
                program.row([(1, swap)], most=0)
            else:
                program.row(self.count(0), least=self.own_count)

    def _sizes(self, program, t, s):
        """A size stays, unless a swap puts a larger one in its place."""
        larger = [(1, v) for v in self.has[t][s + 1 :]]
        swap = self.swap[t]
        if t:
            before = self.has[t - 1][s]
            program.row([(1, self.has[t][s]), (-1, before), (1, swap)], least=0)
            program.row([*larger, (-1, before), (-1, swap)], least=-1)
        elif self.owned is not None and s == self.own:
            program.row([(1, self.has[0][s]), (1, swap)], least=1)
            program.row([*larger, (-1, swap)], least=0)

    def standing(self, program, t, month):
        """Charges what stands in a month; its plannable space as terms."""
        asked, space = self.asked, []
        first, step = self.kind.drives_at_first, self.kind.drives_per_step
        for s, option in enumerate(self.sizes):
            running = option.running_cost_by_month[month]
            empty = self.kind.running_cost_by_month[month]
            program.cost[self.has[t][s]] += self.discount[month] * (empty + first * running)
            program.cost[self.steps[t][s]] += self.discount[month] * step * running
            tb = asked.plannable_fraction * self.kind.usable_tb(first, option.size_tb)
            more = 0.0
            if first + step <= self.kind.bays:
                fuller = self.kind.usable_tb(first + step, option.size_tb)
                more = asked.plannable_fraction * fuller - tb
            space += [(tb, self.has[t][s]), (more, self.steps[t][s])]
        return space

    def charge_unit(self, program):
        """Charges the unit in the month in which it comes, less what it fetches at the end."""
        if self.owned is not None:
            return
        asked, kind, last = self.asked, self.kind, self.asked.months - 1
        for t, has in enumerate(self.has):
            price = kind.price_by_month[t] * self.discount[t]
            if asked.sell_at_end:
                kept = kind.value_kept_per_year_fraction ** ((asked.months - t) / 12)
                worth = kept * min(kind.price_by_month[t], kind.price_by_month[last])
                price -= worth * self.discount[last]
            for s in range(len(self.sizes)):
                program.cost[has[s]] += price
                if t:
                    program.cost[self.has[t - 1][s]] -= price


def integer_program(asked):
    """The program whose least cost is that of the best plan."""
    program = Program()
    pools = [Pool(program, asked, asked.unit(own.unit), own) for own in asked.owned]
    for kind in asked.unit_options:
        standing = sum(own.unit == kind.key for own in asked.owned)
        pools += [Pool(program, asked, kind) for _ in range(kind.at_most - standing)]
    for pool in pools:
        pool.charge_unit(program)
    discount = pools[0].discount
    boxes = [pool for pool in pools if pool.kind.is_box]
    for t in range(asked.order_months):
        order = program.variable(upper=1, cost=asked.order_cost_by_month[t] * discount[t])
        for pool in pools:
            bought = [(1, v) for m, _, _, v in pool.cohorts if m == t]
            program.row([*bought, (-pool.kind.bays, order)], most=0)
            if not pool.kind.is_box:
                fits = [box for box in boxes if box.kind.key in pool.kind.needs_one_of]
                base = [term for box in fits for term in box.there(t, -1)]
                program.row(pool.there(t) + base, most=0)
        program.row([term for box in boxes for term in box.there(t)], most=asked.boxes_at_most)
    for month in range(asked.months):
        _ask(program, asked, pools, month, discount[month])
    return program


def _ask(program, asked, pools, month, discount):
    """Space enough in a month, or what goes without is paid for."""
    unmet = asked.unmet_price_by_month
    price, most = (0.0, 0.0) if unmet is None else (unmet[month] * discount, np.inf)
    space = [(1, program.variable(upper=most, whole=False, cost=price))]
    required, t = asked.required_tb_by_month[month], month - asked.lead_time_months
    if t < 0 and (asked.owned or asked.first_order_waits):
        for own in asked.owned:
            kind, option = asked.unit(own.unit), asked.drive(own.drive)
            count = sum(lot.count for lot in own.lots)
            running = kind.running_cost_by_month[month]
            running += count * option.running_cost_by_month[month]
            program.constant += discount * running
            required -= asked.plannable_fraction * kind.usable_tb(count, option.size_tb)
    else:
        for pool in pools:
            space += pool.standing(program, max(t, 0), month)
    program.row(space, least=required)
