"""The same thing in the same words on every face: what no page of the examples may say."""

import re

import pytest
from house.tree import ROOT

from storagecalc import evaluate, load_scenario, redundancy_compared
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.loss_redundancy import redundancy_chart
from storagecalc.views.cli import comparison_text
from storagecalc.views.text.lanes import lanes_summary, lanes_title
from storagecalc.views.text.loss import doubt_table, loss_by_year_table, planned_loss, spare_table

EXAMPLES = sorted((ROOT / "data_examples").glob("*.toml"))
DENOMINATOR = re.compile(r"\d in (\d[\d,]*\d)\b(?! of)")
# Futures are "of 100" and ends "8 of 10": what is counted "in" something are chances of loss.
BANNED = [
    r"\b1 in (?!10{2,}\b|1,000\b|10,000\b|100,000\b)\d",
    r"(?<![\d.,])1 (streams|drives|boxes|years|months|days|people|jobs|copies|shelves)\b",
    r"looked at|(within|beyond) the horizon|gives? out|\bone years\b",
    r"(un)?likely|\brare|seldom|\boften\b|probabl",
]


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda path: path.stem)
def evaluation(request) -> Evaluation:
    return evaluate(load_scenario(request.param), draws=200)


def told(evaluation: Evaluation) -> str:
    picture = [lanes_title(evaluation), lanes_summary(evaluation)]
    return "\n".join([comparison_text(evaluation), *picture])


@pytest.mark.parametrize("banned", BANNED)
def test_no_face_says_it_otherwise(evaluation, banned):
    assert [line for line in told(evaluation).splitlines() if re.search(banned, line)] == []


def test_all_chances_of_an_evaluation_have_one_denominator(evaluation):
    found = set(DENOMINATOR.findall(told(evaluation)))
    assert len(found) == 1


def test_so_have_all_of_the_page_of_redundancies(evaluation):
    compared = redundancy_compared(evaluation.scenario)
    tables = (loss_by_year_table, doubt_table, spare_table)
    chart = redundancy_chart(compared)
    ticks = chart["layout"]["yaxis"]["ticktext"]
    words = [planned_loss(compared), chart["title"], chart["summary"], *ticks]
    shown = "\n".join([*(table(compared).lines() for table in tables), *words])
    assert set(DENOMINATOR.findall(shown)) == {"100,000"}
