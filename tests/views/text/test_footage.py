"""Footage in words: medians in the headings, and each format in its own column."""

import math
from dataclasses import replace

import pytest
from views.figures import five, with_figures

from storagecalc import formats_compared
from storagecalc.study.footage.footage import Recorded
from storagecalc.views.text.footage import (
    format_growth_sentences,
    format_growth_table,
    formats_title,
    recorded_table,
)

NEVER = math.inf


@pytest.fixture(scope="module")
def compared(demo):
    return formats_compared(demo)


def test_what_is_recorded_a_month_stands_by_kind_of_work():
    recorded = {
        "stage": Recorded(first_year_tb_per_month=1.26, last_year_tb_per_month=2.0),
        "talks": Recorded(first_year_tb_per_month=0.0, last_year_tb_per_month=30.4),
    }
    table = recorded_table(replace(with_figures({}), recorded=recorded))
    assert table.rows == (("stage", "1.3 TB", "2 TB"), ("talks", "0 TB", "30 TB"))


def test_each_format_has_its_column_and_each_build_its_rows(compared):
    table = format_growth_table(compared)
    named = {row[0]: row[1:] for row in table.rows}
    plan = compared.rows[0]
    assert named["an hour takes"][0] == f"{plan.gb_per_h:.3g} GB"
    assert float(named["a TB holds"][0].split()[0]) == pytest.approx(1000 / plan.gb_per_h, rel=0.01)
    held = [float(cell.split()[0]) for cell in named["held on the box at the end"]]
    assert held == pytest.approx([row.held_tb.point for row in compared.rows], rel=0.01)
    assert [float(row.evaluation.held_tb_by_month.point[-1]) for row in compared.rows] == [
        row.held_tb.point for row in compared.rows
    ]
    first, _, last = plan.evaluation.builds
    assert first.name != last.name
    assert named[f"“{first.name}” lasts as bought"] != named[f"“{last.name}” lasts as bought"]


def test_the_roomiest_build_is_the_one_that_is_counted(compared):
    """All but the largest fill: it still holds the format."""

    def with_lasting(row, sizes):
        builds = tuple(
            replace(build, capacity=replace(
                build.capacity,
                full_ladder=replace(build.capacity.full_ladder, plannable_tb=size),
                headroom_months=five(*[NEVER if size == max(sizes) else 9.0] * 5),
            ))
            for build, size in zip(row.evaluation.builds, sizes, strict=True)
        )  # fmt: skip
        return replace(row, evaluation=replace(row.evaluation, builds=builds))

    changed = replace(
        compared, rows=tuple(with_lasting(row, (10.0, 30.0, 20.0)) for row in compared.rows)
    )
    assert formats_title(changed).startswith("The roomiest build holds each of these formats")


def test_the_heaviest_is_told_beside_the_plan(compared):
    most = max(compared.rows[1:], key=lambda row: row.mbit_s)
    said = format_growth_sentences(compared)[0]
    assert said.startswith(f"With “{most.label}”, the heaviest here,")
    assert said.index(f"{most.held_tb.point:,.0f} TB") < said.index("instead of")
