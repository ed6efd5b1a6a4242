"""Problems of buying storage to test with: small ones, random ones, and every list of orders."""

import itertools
from dataclasses import replace

import numpy as np

from storagecalc.models.expansion import (
    DriveOption,
    Order,
    OwnedLot,
    OwnedPool,
    Problem,
    UnitOption,
    best_plan,
)


def row(value, months):
    """One entry a month of a number, or the row itself."""
    return np.broadcast_to(np.asarray(value, float), (months,))


def drive(key, size_tb, price, running=0.0, *, months, **others):
    return DriveOption(
        key=key,
        size_tb=size_tb,
        price_by_month=row(price, months),
        running_cost_by_month=row(running, months),
        **others,
    )


def unit(key, bays, price=0.0, running=0.0, *, months, **others):
    """A box without redundancy that takes any number of drives, unless told otherwise."""
    given = {"redundancy": "none", "hot_spares": 0, "drives_at_first": 1, "drives_per_step": 1}
    return UnitOption(
        key=key,
        bays=bays,
        price_by_month=row(price, months),
        running_cost_by_month=row(running, months),
        **{**given, **others},
    )


def problem(required, drives, units, *, order_cost=0.0, swap_cost=0.0, unmet=None, **others):
    """A problem without lead time and discount, unless told otherwise."""
    months = len(required)
    given = {"plannable_fraction": 1.0, "lead_time_months": 0, "discount_rate_per_year": 0.0}
    return Problem(
        required_tb_by_month=required,
        drive_options=tuple(drives),
        unit_options=tuple(units),
        order_cost_by_month=row(order_cost, months),
        swap_cost_by_month=row(swap_cost, months),
        unmet_price_by_month=None if unmet is None else row(unmet, months),
        **{**given, **others},
    )


def problem_from_tables(given):
    """A problem from plain tables, as they stand in a file."""
    given, months = dict(given), len(given["required_tb_by_month"])
    drives = [drive(months=months, **one) for one in given.pop("drives")]
    units = [unit(months=months, **one) for one in given.pop("units")]
    owned = tuple(
        OwnedPool(**{**pool, "lots": tuple(OwnedLot(**lot) for lot in pool["lots"])})
        for pool in given.pop("owned", ())
    )
    return problem(
        np.array(given.pop("required_tb_by_month"), float), drives, units, owned=owned, **given
    )


def path(random, months, low, high):
    """A price by month: falling, rising, or jumping."""
    kind = random.integers(3)
    if kind == 2:
        return random.uniform(low, high, months)
    yearly = random.uniform(0.5, 1.0) if kind == 0 else random.uniform(1.0, 2.0)
    return random.uniform(low, high) * yearly ** (np.arange(months) / 12)


def random_drives(random, months, sizes, *, swaps, always):
    sold = [{"value_kept_per_year_fraction": random.choice([0.0, 0.5, 1.0])} for _ in range(sizes)]
    if not always:
        for one in sold:
            one["first_order_month"] = int(random.choice([0, 0, 1]))
            one["last_order_month"] = random.choice([None, None, months - 2, -1])
    if not swaps:
        sold = [{**one, "value_kept_per_year_fraction": 0.3} for one in sold]
    return [
        drive(
            f"d{size}",
            float(size + 1),
            path(random, months, 20.0, 60.0) * (size + 1) ** 0.8,
            path(random, months, 0.0, 2.0),
            months=months,
            **sold[size],
        )
        for size in range(sizes)
    ]


LAYOUTS = [
    {"redundancy": "none", "drives_at_first": 2},
    {"redundancy": "none", "drives_at_first": 2, "drives_per_step": 2},
    {"redundancy": "single parity", "drives_at_first": 2},
    {"redundancy": "striped mirrors", "drives_at_first": 2, "drives_per_step": 2},
    {"redundancy": "mirror", "drives_at_first": 2},
]


def random_units(random, months, *, bays, shelves):
    """Two kinds of box, and shelves that fit the first of them or both."""
    units = [
        unit(
            f"box{number}",
            bays + number,
            path(random, months, 50.0, 150.0),
            path(random, months, 0.0, 3.0),
            months=months,
            **LAYOUTS[random.integers(len(LAYOUTS))],
            value_kept_per_year_fraction=float(random.choice([0.0, 0.6])),
        )
        for number in range(2)
    ]
    if shelves:
        units.append(
            unit(
                "shelf",
                bays,
                path(random, months, 20.0, 80.0),
                months=months,
                redundancy="single parity",
                drives_at_first=2,
                at_most=shelves,
                needs_one_of=[("box0",), ("box0", "box1")][random.integers(2)],
            )
        )
    return units


def random_problem(seed, *, months, sizes=2, bays=3, shelves=1, swaps=None, boxes=1, always=False):
    """Anything that the rules allow: owned starts, swaps, resale, lead time, what goes unmet."""
    random = np.random.default_rng(seed)
    swaps = bool(random.integers(2)) if swaps is None else swaps
    drives = random_drives(random, months, sizes, swaps=swaps, always=always)
    units = random_units(random, months, bays=bays, shelves=shelves)
    owned = ()
    if random.integers(2):
        lots = (OwnedLot(count=2, age_months=int(random.integers(0, 30)), price_paid=40.0),)
        owned = (OwnedPool(unit="box0", drive="d0", lots=lots),)
        if shelves and random.integers(2):
            owned += (OwnedPool(unit="shelf", drive=f"d{sizes - 1}", lots=lots),)
    peak = sizes * bays * random.uniform(0.3, 1.2 if shelves else 0.8)
    required = peak * np.sort(random.uniform(0, 1, months))
    if random.integers(3) == 0:
        required = random.permutation(required)
    return problem(
        required,
        drives,
        units,
        owned=owned,
        boxes_at_most=boxes,
        order_cost=random.choice([0.0, 15.0]) * row(1.0, months),
        swap_cost=path(random, months, 0.0, 30.0),
        unmet=path(random, months, 1.0, 40.0) if random.integers(4) else None,
        plannable_fraction=0.9,
        lead_time_months=int(random.integers(0, 3)),
        discount_rate_per_year=float(random.choice([0.0, 0.2])),
        allow_swap=swaps,
        swap_sale_fraction=float(random.choice([0.0, 0.5, 1.0])),
        sell_at_end=bool(random.integers(2)),
        first_order_waits=bool(random.integers(2)),
    )


def every_list_of_orders(asked):
    """Each list of orders that the rules allow, in no special order."""
    owned = tuple(
        (asked.unit(p.unit), asked.drive(p.drive), sum(lot.count for lot in p.lots))
        for p in asked.owned
    )
    return _lists(asked, 0, owned)


def some_list_of_orders(asked, random, *, ordering=0.1):
    """A list of orders by chance, with orders in that share of the months, often in the first."""
    pools = tuple((asked.unit(p.unit), asked.drive(p.drive), p.drives) for p in asked.owned)
    found = []
    for month in range(asked.order_months):
        if random.uniform() < (0.5 if month == 0 else ordering):
            ways = list(itertools.islice(_one_month(asked, month, pools), 400))
            lines, pools = ways[random.integers(len(ways))]
            found += lines
    return found


def _lists(asked, month, pools):
    if month == asked.order_months:
        yield []
        return
    for lines, behind in _one_month(asked, month, pools):
        for rest in _lists(asked, month + 1, behind):
            yield [*lines, *rest]


def _one_month(asked, month, pools):
    """Each set of lines of one month, with the pools that it leaves."""
    for ways in itertools.product(*(_pool_ways(asked, month, n, p) for n, p in enumerate(pools))):
        lines = [line for way, _ in ways for line in way]
        for new, behind in _newcomers(asked, month, tuple(pool for _, pool in ways)):
            yield [*lines, *new], behind


def _pool_ways(asked, month, number, pool):
    kind, own, count = pool

    def line(option, drives, swap):
        return Order(
            month=month, pool=number, unit=None, drive=option.key, drives=drives, swap=swap
        )

    more = [to for to in kind.drive_counts if to > count]
    yield (), pool
    if own.is_for_sale(month):
        yield from (((line(own, to - count, False),), (kind, own, to)) for to in more)
    if not (asked.allow_swap and kind.is_box):
        return
    for option in asked.drive_options:
        if option.size_tb > own.size_tb and option.is_for_sale(month):
            swap = line(option, count, True)
            yield (swap,), (kind, option, count)
            yield from (
                ((swap, line(option, to - count, False)), (kind, option, to)) for to in more
            )


def _newcomers(asked, month, pools, least=0):
    """Nothing new, or one more unit and what may follow; units come in the order of the options."""
    yield (), pools
    ranked = sorted(asked.unit_options, key=lambda option: not option.is_box)
    for rank, kind in enumerate(ranked):
        there = [pool[0].key for pool in pools]
        boxes = sum(pool[0].is_box for pool in pools)
        if rank < least or there.count(kind.key) >= kind.at_most:
            continue
        if boxes >= asked.boxes_at_most if kind.is_box else not set(there) & set(kind.needs_one_of):
            continue
        for option, count in itertools.product(asked.drive_options, kind.drive_counts):
            if not option.is_for_sale(month):
                continue
            line = Order(
                month=month,
                pool=len(pools),
                unit=kind.key,
                drive=option.key,
                drives=count,
                swap=False,
            )
            for rest, behind in _newcomers(asked, month, (*pools, (kind, option, count)), rank):
                yield (line, *rest), behind


def cost_of(asked):
    """The least net present cost of a problem."""
    return best_plan(asked).net_present_cost


def changed(asked, **fields):
    """The problem with some fields other than they were."""
    return replace(asked, **fields)
