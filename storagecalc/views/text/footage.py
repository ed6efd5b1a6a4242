"""Recording formats side by side in words: a table, sentences around it, and the chart's names."""

import math

from storagecalc.study.decision.formats_compared import FormatGrowth, FormatsCompared
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.views.text.measures import fills
from storagecalc.views.text.numbers import (
    chart_name,
    count,
    listed,
    month,
    percent,
    plain,
    quoted,
    significant,
    tb,
    years_span,
)
from storagecalc.views.text.table import TextTable, text_table

HELD_AXIS = "terabytes (TB)"
NO_CAMERAS = (
    "No kind of work in this scenario records with cameras, so a recording format changes nothing"
    " here. For stills, change still_mb of a kind of work instead."
)
AS_PLANNED = "as planned"


def recorded_table(evaluation: Evaluation) -> TextTable:
    """What each kind of work records a month."""
    rows = [
        (plain(key), tb(each.first_year_tb_per_month, 2), tb(each.last_year_tb_per_month, 2))
        for key, each in evaluation.recorded.items()
    ]
    return text_table(
        "Recorded a month with proxies and exports, every range at its middle",
        ("kind of work", "in the first year", "in the last year"),
        rows,
    )


def format_growth_table(compared: FormatsCompared) -> TextTable:
    """One column a format, the plan first; below what it takes, two rows a build."""
    rows = [
        ("the rate is", *(_rate_kind(row) for row in compared.rows)),
        ("nominal rate", *(f"{significant(row.mbit_s)} Mbit/s" for row in compared.rows)),
        ("an hour takes", *(f"{significant(row.gb_per_h)} GB" for row in compared.rows)),
        ("a TB holds", *(f"{significant(row.hours_per_tb)} h" for row in compared.rows)),
        ("held on the box at the end", *(_held(compared, row) for row in compared.rows)),
        *_build_rows(compared),
    ]
    return text_table(_title(compared), ("", *map(format_name, compared.rows)), rows)


def format_growth_sentences(compared: FormatsCompared) -> list[str]:
    """What the table comes to, and what it takes for granted."""
    if not compared.rows:
        return [NO_CAMERAS]
    found = [_heaviest(compared)]
    if compared.real_rate_fraction != 1:
        found.append(
            f"In every column files come to {percent(compared.real_rate_fraction)} of the nominal"
            " rate, as the scenario says of this work; measure ten files of a new format before"
            " relying on that."
        )
    if compared.planned_again_date is not None:
        found.append(
            f"The plan itself changes the format again in {month(compared.planned_again_date)};"
            " the other columns do not."
        )
    return found


def format_name(row: FormatGrowth) -> str:
    """What a column or line is called."""
    label = row.label if row.label is not None else f"{significant(row.mbit_s)} Mbit/s"
    return f"{AS_PLANNED}: {label}" if row.as_planned else label


def formats_title(compared: FormatsCompared) -> str:
    """How many of the formats the roomiest build holds to the end."""
    lasting = [row for row in compared.rows if _lasts(row)]
    span = years_span(compared.scenario.horizon_months)
    if len(lasting) == len(compared.rows):
        return f"The roomiest build holds each of these formats for {span}"
    if not lasting:
        return f"No build holds any of these formats for {span} without a new box"
    names = listed(_said(row) for row in lasting)
    return (
        f"The roomiest build holds {count(len(lasting))} of {count(len(compared.rows))} for {span}:"
        f" {names}"
    )


def formats_summary(compared: FormatsCompared) -> str:
    """The chart in words."""
    ends = [f"{tb(row.held_tb.point)} with {_said(row)}" for row in compared.rows]
    return f"Held on the box at the end, in the middle of every range: {listed(ends)}."


def full_space_name(builds: list[BuildResult]) -> str:
    """The line of the space that some builds have once every step is taken."""
    return f"all bays full: {listed(f'“{chart_name(build.name)}”' for build in builds)}"


def _said(row: FormatGrowth) -> str:
    """A format inside a sentence."""
    return "the plan" if row.as_planned else f"“{format_name(row)}”"


def _title(compared: FormatsCompared) -> str:
    if compared.work is None or compared.from_date is None:
        return "Recording formats"
    return f"{quoted(compared.work)} in another format from {month(compared.from_date)} on"


def _rate_kind(row: FormatGrowth) -> str:
    return row.rate_kind if row.rate_kind is not None else "as written in the file"


def _held(compared: FormatsCompared, row: FormatGrowth) -> str:
    middle = tb(row.held_tb.point)
    if not compared.draws:
        return middle
    return f"{middle} ({significant(row.held_tb.p10, 2)} to {significant(row.held_tb.p90, 2)})"


def _build_rows(compared: FormatsCompared) -> list[tuple[str, ...]]:
    rows = []
    for number, build in enumerate(compared.rows[0].evaluation.builds if compared.rows else ()):
        same = [(row.evaluation, row.evaluation.builds[number]) for row in compared.rows]
        name = quoted(build.name)
        first = (fills(evaluation, one.capacity.first_fill_months) for evaluation, one in same)
        rows.append((f"{name} lasts as bought", *first))
        if build.capacity.grows:
            last = (fills(evaluation, one.capacity.headroom_months) for evaluation, one in same)
            rows.append((f"{name} lasts before a new box is needed", *last))
    return rows


def _lasts(row: FormatGrowth) -> bool:
    spaces = [build.capacity for build in row.evaluation.builds]
    roomiest = max(spaces, key=lambda space: float(space.full_ladder.plannable_tb))
    return math.isinf(roomiest.headroom_months.p50)


def _heaviest(compared: FormatsCompared) -> str:
    planned, *others = compared.rows
    if not others:
        return "There is no format to set beside the plan."
    most = max(others, key=lambda row: row.held_tb.point)
    return (
        f"With {_said(most)}, the heaviest here, the box would have to hold"
        f" {tb(most.held_tb.point)} at the end instead of {tb(planned.held_tb.point)} as planned."
    )
