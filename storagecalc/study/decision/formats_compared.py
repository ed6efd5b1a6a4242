"""What a dated change of the recording format does: the scenario's own plan beside other formats.

One evaluation a format, all on the same draws, so that what differs comes from the format alone.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from storagecalc.models.units import (
    BYTES_PER_GB,
    BYTES_PER_MB,
    BYTES_PER_TB,
    MONTHS_PER_YEAR,
    SECONDS_PER_HOUR,
    mb_s_from_mbit_s,
)
from storagecalc.study.axes import Spread, at_position
from storagecalc.study.dates import month_date, months_between
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.footage.footage import footage
from storagecalc.study.sampling import sampler
from storagecalc.study.scenario.footage import Work
from storagecalc.study.scenario.formats import FormatRow, format_rows
from storagecalc.study.scenario.nearest import nearest
from storagecalc.study.scenario.quantity import middle, upper
from storagecalc.study.scenario.scenario import Scenario

# Rates to set beside the planned one where nobody names formats: half of it, and larger ones.
RATIOS = (0.5, 2.0, 4.0, 8.0)
# Closer to the planned rate than this is no other choice.
WORTH_A_COLUMN = 1.2
# Another raster counts as much as a rate that is a fifth off.
OTHER_RASTER = math.log(1.2)
USUAL_FRAMES_PER_S = 25.0
# Formats that finished films are sent out in; no camera records them.
NOT_FROM_A_CAMERA = "delivery"


@dataclass(frozen=True, slots=True, kw_only=True)
class FormatGrowth:
    """One format from the date on, or the scenario's own plan, and all that follows from it.

    ``format_key``, ``label`` and ``rate_kind`` are None where the plan has a rate of its own
    instead of a format. Rate and what an hour weighs are nominal. ``held_tb`` is what the box holds
    at the end of the horizon; the evaluation has the months until each build is full.
    """

    format_key: str | None
    label: str | None
    rate_kind: str | None
    as_planned: bool
    mbit_s: float
    gb_per_h: float
    hours_per_tb: float
    held_tb: Spread
    evaluation: Evaluation


@dataclass(frozen=True, slots=True, kw_only=True)
class FormatsCompared:
    """Formats side by side, the scenario's own plan first.

    ``work`` is the kind of work that changes, None where none records with cameras: ``rows`` is
    then empty. ``planned_again_date`` is when the plan itself changes the format later, if it does.
    ``real_rate_fraction`` is how much of the nominal rate its files come to, in every format.
    """

    scenario: Scenario
    work: str | None
    from_date: date | None
    planned_again_date: date | None
    real_rate_fraction: float
    draws: int
    rows: tuple[FormatGrowth, ...]


def formats_compared(
    scenario: Scenario,
    *,
    work: str | None = None,
    from_date: date | None = None,
    formats: Sequence[str] | None = None,
    draws: int = 0,
) -> FormatsCompared:
    """What each format, recorded from a date on, does to the footage and the fill dates.

    The plan's own changes of format from that date on give way; what else they change stays.

    Parameters
    ----------
    scenario
        The scenario; its own plan is the first row.
    work
        The kind of work that changes its format; left out, the one that records the most.
    from_date
        From when on; left out, the date of its first planned change of format, or a year ahead.
    formats
        Keys of recording formats; left out, one of half the planned rate and three larger ones.
    draws
        Futures to draw for each format, 0 or more.

    Raises
    ------
    ScenarioError
        Where a format is unknown, or the date lies outside the months looked at.
    ValueError
        Where the scenario has no such kind of work.
    """
    key = _chosen_work(scenario, work)
    if key is None:
        return _nothing_to_compare(scenario, draws)
    changing = scenario.work[key]
    day = from_date.replace(day=1) if from_date else _default_date(scenario, changing)
    format_key, mbit_s = _planned(changing, day)
    wanted = default_formats(scenario, format_key, mbit_s) if formats is None else formats
    planned = _row(scenario, format_key, mbit_s, as_planned=True, draws=draws)
    others = [
        _row(
            with_format(scenario, work=key, from_date=day, format_key=other),
            other,
            _known_rows()[other].format.mbit_s,
            as_planned=False,
            draws=draws,
        )
        for other in dict.fromkeys(wanted)
    ]
    return FormatsCompared(
        scenario=scenario,
        work=key,
        from_date=day,
        planned_again_date=_next_planned_date(changing, day),
        real_rate_fraction=middle(changing.real_rate_fraction),
        draws=draws,
        rows=(planned, *others),
    )


def with_format(scenario: Scenario, *, work: str, from_date: date, format_key: str) -> Scenario:
    """The scenario in which a kind of work records another format from a date on.

    Raises
    ------
    ScenarioError
        Where the format is unknown or the date breaks a rule.
    """
    tables = scenario.as_written()["work"]
    changes = [dict(change) for change in tables[work].get("changes", ())]
    for change in changes:
        if change["from_date"] >= from_date:
            change.pop("format", None)
            change.pop("rate_mbit_s", None)
    kept = [change for change in changes if len(change) > 1]
    same_day = next((change for change in kept if change["from_date"] == from_date), None)
    if same_day is None:
        kept.append({"from_date": from_date, "format": format_key})
    else:
        same_day["format"] = format_key
    kept.sort(key=lambda change: change["from_date"])
    # The whole table at once: a name with a dot in it would not survive as a dotted key.
    return scenario.varied({"work": {**tables, work: {**tables[work], "changes": kept}}})


def default_formats(scenario: Scenario, format_key: str | None, mbit_s: float) -> tuple[str, ...]:
    """One recording format of about half a rate, and larger ones of two, four and eight times it.

    Of the frame rate of the planned format, or of the scenario's other formats, and of its raster
    or a larger one, as far as the table has them.
    """
    known = _known_rows()
    planned = known[format_key].format if format_key is not None else None
    frames = _frames_per_s(scenario, format_key)
    camera = [
        row.format
        for row in known.values()
        if row.format.width_px
        and row.format.family != NOT_FROM_A_CAMERA
        and row.format.frames_per_s in (None, frames)
    ]
    found = (_nearest_format(camera, planned, mbit_s, ratio) for ratio in RATIOS)
    return tuple(dict.fromkeys(each.key for each in found if each is not None))


def _nearest_format(camera: Sequence[Any], planned: Any, mbit_s: float, ratio: float) -> Any:
    """The format nearest to so many times a rate; None where the table has none that far away."""
    width_px = planned.width_px if planned is not None else None

    def is_apart(each: Any) -> bool:
        if ratio < 1:
            return bool(each.mbit_s * WORTH_A_COLUMN < mbit_s)
        return bool(each.mbit_s > mbit_s * WORTH_A_COLUMN and each.width_px >= (width_px or 0))

    def distance(each: Any) -> float:
        other = width_px is not None and each.width_px != width_px
        return abs(math.log(each.mbit_s / mbit_s / ratio)) + other * OTHER_RASTER

    return min(filter(is_apart, camera), key=distance, default=None)


def _frames_per_s(scenario: Scenario, format_key: str | None) -> float:
    """Frames a second of the planned format, or of the first other that says it."""
    keys = [format_key] if format_key is not None else []
    for work in scenario.work.values():
        keys += [each.format for each in _stages(work) if each.format is not None]
    rates = (_known_rows()[key].format.frames_per_s for key in keys)
    return next((rate for rate in rates if rate is not None), USUAL_FRAMES_PER_S)


def _chosen_work(scenario: Scenario, work: str | None) -> str | None:
    if work is not None:
        if work not in scenario.work:
            raise ValueError(
                f"work must be a kind of work of the scenario, got {work!r:.60}"
                f"{nearest(work, scenario.work)}"
            )
        return work
    intake = footage(sampler(scenario).middle()).intake_tb_by_work
    recorded = {
        key: float(intake[key].sum()) for key, each in scenario.work.items() if _films(each)
    }
    return max(recorded, key=lambda key: recorded[key]) if recorded else None


def _films(work: Work) -> bool:
    hours = (each.hours_per_camera_day for each in _stages(work))
    return any(upper(some) > 0 for some in hours if some is not None)


def _stages(work: Work) -> list[Any]:
    """A kind of work as it is, and each dated change of it."""
    return [work, *work.changes]


def _default_date(scenario: Scenario, work: Work) -> date:
    planned = next((change.from_date for change in _format_changes(work)), None)
    if planned is not None:
        return planned.replace(day=1)
    start, months = scenario.start_date, scenario.horizon_months
    if work.end_date is not None:
        months = min(months, months_between(start, work.end_date))
    return month_date(start, max(1, min(MONTHS_PER_YEAR, months // 2)))


def _planned(work: Work, day: date) -> tuple[str | None, float]:
    """The plan's format and nominal rate on a day; no format where it writes a rate instead."""
    before = [change for change in _format_changes(work) if change.from_date.replace(day=1) <= day]
    chosen = [work, *before][-1]
    if chosen.format is not None:
        return chosen.format, _known_rows()[chosen.format].format.mbit_s
    # A kind of work that only begins to film with a later change has no rate before it.
    return None, middle(chosen.rate_mbit_s if chosen.rate_mbit_s is not None else 1.0)


def _next_planned_date(work: Work, day: date) -> date | None:
    later = (change.from_date for change in _format_changes(work))
    return next((each for each in later if each.replace(day=1) > day), None)


def _format_changes(work: Work) -> Iterator[Any]:
    for change in work.changes:
        if change.format is not None or change.rate_mbit_s is not None:
            yield change


def _known_rows() -> dict[str, FormatRow]:
    return {row.format.key: row for row in format_rows()}


def _row(
    scenario: Scenario, format_key: str | None, mbit_s: float, *, as_planned: bool, draws: int
) -> FormatGrowth:
    evaluation = evaluate(scenario, draws=draws)
    known = None if format_key is None else _known_rows()[format_key].format
    gb_per_h = mb_s_from_mbit_s(mbit_s) * SECONDS_PER_HOUR * BYTES_PER_MB / BYTES_PER_GB
    held = evaluation.held_tb_by_month
    return FormatGrowth(
        format_key=format_key,
        label=known.label if known is not None else None,
        rate_kind=known.rate_kind if known is not None else None,
        as_planned=as_planned,
        mbit_s=mbit_s,
        gb_per_h=gb_per_h,
        hours_per_tb=BYTES_PER_TB / BYTES_PER_GB / gb_per_h,
        held_tb=at_position(held, -1),
        evaluation=evaluation,
    )


def _nothing_to_compare(scenario: Scenario, draws: int) -> FormatsCompared:
    return FormatsCompared(
        scenario=scenario,
        work=None,
        from_date=None,
        planned_again_date=None,
        real_rate_fraction=1.0,
        draws=draws,
        rows=(),
    )
