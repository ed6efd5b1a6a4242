"""Money in words: why alternatives differ, in parts that add up to the difference."""

import re

import pytest

from storagecalc.study.decision.verdict import paired_gap, verdict
from storagecalc.study.money.categories import CATEGORIES, NOT_PAID
from storagecalc.views.text.answers import four_answers
from storagecalc.views.text.money import (
    cause_table,
    difference_sentences,
    order_table,
)


def test_a_difference_names_who_is_dearer_and_every_part_that_matters(drawn):
    chosen = verdict(drawn).recommended.build
    others = [build for build in drawn.builds if build is not chosen]
    for told, other in zip(difference_sentences(drawn), others, strict=True):
        gap = paired_gap(chosen, other).mean
        dearer, cheaper = (other, chosen) if gap > 0 else (chosen, other)
        assert told.startswith(f"“{dearer.name}” costs EUR ")
        assert f"more than “{cheaper.name}”" in told
        parts = re.findall(r"([\d,.]+) (more|less) (for|worth)", told)
        amounts = [float(number.replace(",", "")) for number, *_ in parts]
        raises = [("more", "for"), ("less", "worth")]
        total = sum(
            amount if tuple(way) in raises else -amount
            for amount, (_, *way) in zip(amounts, parts, strict=True)
        )
        assert total == pytest.approx(abs(gap), abs=0.005 * sum(amounts))


def test_the_causes_of_every_alternative_add_up_to_the_line_below_them(drawn):
    table = cause_table(drawn)
    for column in range(1, len(table.head)):
        *parts, total = (
            float(row[column].removeprefix("EUR ").replace(",", "")) for row in table.rows
        )
        assert sum(parts) == pytest.approx(total, abs=1e-6)


def test_what_is_left_at_the_end_is_the_only_cause_that_is_never_paid(drawn):
    for build in drawn.builds:
        assert set(build.money.present_cost_by_category) == {*CATEGORIES}
        assert build.money.present_cost_by_category[NOT_PAID] <= 0


def test_the_first_order_is_told_with_what_it_brings(drawn):
    told = four_answers(drawn)["pay now"].note
    table = order_table(drawn, verdict(drawn).recommended.build)
    start = table.rows[0][0]
    for when, what, share, _ in table.rows:
        if (when, share) == (start, "all futures"):
            assert what.rpartition(": ")[2].replace("_", " ") in told
