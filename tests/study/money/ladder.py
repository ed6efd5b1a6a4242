"""The steps of a build and the room after each, worked out once more in plain Python."""

from dataclasses import dataclass
from typing import Any

NEVER = 10**6
PARITY = {"none": 0, "single parity": 1, "double parity": 2, "triple parity": 3}


@dataclass
class Step:
    """What one step brings, and the pools after it as (drives, whether larger ones)."""

    drives: int
    pools: list[tuple[int, bool]]
    swap: bool = False
    shelf: bool = False
    on_shelf: bool = False


def order_months(ordered: list[int], steps: int) -> list[int]:
    """The month in which each step is ordered, far away where it never is."""
    months = [NEVER] * steps
    for step in range(steps):
        for month, count in enumerate(ordered):
            if count > step:
                months[step] = month
                break
    return months


def new_only(build: Any) -> Any:
    """A further box as one buys it: no shelf, no swap, no drives from before."""
    without = {"shelf": None, "swap_to": None, "drives_from": None, "starts_in": None, "keeps": ()}
    return build.model_copy(update=without)


def moved_lots(drawn: Any, build: Any) -> list[tuple[int, float]]:
    """Drives owned before that go in at first, as count and age: the first lots that fit."""
    found, room = [], build.drives_at_first
    for lot in drawn.owned[build.drives_from].lots if build.drives_from else ():
        found.append((min(room, lot.count), lot.age_years))
        room -= found[-1][0]
    return [each for each in found if each[0]]


def steps_of(build: Any) -> list[Step]:
    """The build as bought, then each step it may take: fill the box, swap, shelf after shelf."""
    pools = [(build.drives_at_first, False)]
    steps = [Step(build.drives_at_first, list(pools))]
    one_by_one = build.grows_by in ("one drive", "groups")

    def fill(bays: int, *, on_shelf: bool) -> None:
        while one_by_one and pools[-1][0] + build.drives_per_step <= bays:
            pools[-1] = (pools[-1][0] + build.drives_per_step, pools[-1][1])
            steps.append(Step(build.drives_per_step, list(pools), on_shelf=on_shelf))

    fill(build.bays, on_shelf=False)
    if build.grows_by == "whole pools":
        while sum(count for count, _ in pools) + build.drives_at_first <= build.bays:
            pools.append((build.drives_at_first, False))
            steps.append(Step(build.drives_at_first, list(pools)))
    if build.swap_to is not None:
        pools = [(count, True) for count, _ in pools]
        steps.append(Step(0, list(pools), swap=True))
    for _ in range(build.shelf.shelves_at_most if build.shelf else 0):
        pools.append((build.shelf.drives_at_first, False))
        steps.append(Step(pools[-1][0], list(pools), shelf=True, on_shelf=True))
        fill(build.shelf.bays, on_shelf=True)
    return steps


def tb_by_step(drawn: Any, build: Any) -> list[float]:
    """Plannable TB after each step: the first pool counts all drives as its smallest."""
    own = drawn.drives[build.drives].size_tb
    smallest, left = own, left_fraction(drawn)
    if build.drives_from:
        smallest = min(own, drawn.drives[drawn.owned[build.drives_from].drives].size_tb)
    found = []
    for step in steps_of(build):
        total = 0.0
        for number, (count, larger) in enumerate(step.pools):
            size = own if number else smallest
            if larger:
                size = max(size, drawn.drives[build.swap_to].size_tb)
            drives = count - (0 if number else build.hot_spares)
            total += size * data_drives(build.redundancy, drives)
        found.append(total * left)
    return found


def left_fraction(drawn: Any) -> float:
    """The share of usable space that can be planned with."""
    filling = drawn.filling
    left: float = (1 - filling.formatting_fraction) * (1 - filling.snapshot_fraction)
    return left * (1 - filling.free_fraction)


def owned_tb(drawn: Any, box: Any) -> float:
    """Plannable TB of an owned box as it is."""
    drives = sum(lot.count for lot in box.lots) - box.hot_spares
    size: float = drawn.drives[box.drives].size_tb
    return size * data_drives(box.redundancy, drives) * left_fraction(drawn)


def data_drives(redundancy: str, drives: int) -> int:
    """Drives whose space is left for data."""
    if redundancy == "mirror":
        return 1
    if redundancy == "striped mirrors":
        return drives // 2
    return drives - PARITY[redundancy]


def deleted_oldest_first(
    intake: list[list[float]], keep: list[list[float]], limit: list[float]
) -> list[float]:
    """TB deleted early in each month: all kinds of work, by month of recording, nothing stored."""
    left, works = [1.0] * len(limit), list(zip(intake, keep, strict=True))
    deleted = []
    for now, room in enumerate(limit):
        there = [
            sum(tb[month] * share[now - month] for tb, share in works) * left[month]
            for month in range(now + 1)
        ]
        over = sum(there) - room
        deleted.append(max(over, 0.0) if over > 1e-9 * room else 0.0)
        for month in range(now + 1):
            gone = min(there[month], over) if deleted[-1] else 0.0
            if gone > 0:
                left[month] *= 1 - gone / there[month]
                over -= gone
    return deleted
