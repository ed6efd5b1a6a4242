"""What a notebook cell calls: a live panel, the owner's page, passages of finished sentences."""

from collections.abc import Mapping, Sequence
from typing import Any

from storagecalc.study.compare import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.sliders import Slider, coarse, moved, sliders, stops
from storagecalc.views.answer import TABLES, answer, painted
from storagecalc.views.page import grid_of, grid_values
from storagecalc.views.panel import Panel
from storagecalc.views.report import Passage, ReportPage
from storagecalc.views.text.cautions_words import assumed_sentences, caution_sentences
from storagecalc.views.text.numbers import plain
from storagecalc.views.text.page_words import (
    TABLE_TITLES,
    WORDS,
    control_words,
    group_titles,
    readout,
)
from storagecalc.views.text.tables import TextTable, order_table
from storagecalc.views.text.verdicts import first_page

DRAWS_WHILE_MOVING = 200
DRAWS_AT_REST = 2000


def panel(
    scenario: Scenario,
    *,
    quantities: Sequence[str],
    charts: Sequence[str],
    tables: Sequence[str],
    draws: int = DRAWS_AT_REST,
) -> Panel:
    """Sliders beside the builds: move one, and every chart and table follows.

    Parameters
    ----------
    scenario
        Where the sliders start.
    quantities
        Dotted keys of what can be moved; a ``*`` stands for every name.
    charts, tables
        Names from ``views/answer.py``, in the order they are shown.
    draws
        Futures drawn once a slider is let go; a few hundred while it moves.
    """
    found = sliders(scenario, quantities)

    def answer_for(values: dict[str, float], settled: bool) -> Mapping[str, Any]:
        count = draws if settled else min(DRAWS_WHILE_MOVING, draws)
        evaluation = evaluate(moved(scenario, values), draws=count)
        return _answer(evaluation, found, values, charts, tables)

    return Panel(spec=page_spec(scenario, found, charts, tables), answer_for=answer_for)


def owners_page(
    scenario: Scenario,
    *,
    quantities: Sequence[str],
    places: int,
    draws: int,
    charts: Sequence[str],
    tables: Sequence[str],
) -> ReportPage:
    """The page the owner can play with: every position of a few sliders, computed beforehand.

    Parameters
    ----------
    scenario
        Where the sliders start.
    quantities
        Dotted keys of what can be moved; the work grows with ``places`` to their number.
    places
        Positions of each slider, 2 or more.
    draws
        Futures drawn at each position.
    charts, tables
        Names from ``views/answer.py``, in the order they are shown.
    """
    found = tuple(coarse(slider, places) for slider in sliders(scenario, quantities))
    axes = [{"key": slider.key, "values": stops(slider)} for slider in found]
    answers = [
        _answer(evaluate(moved(scenario, values), draws=draws), found, values, charts, tables)
        for values in grid_values(axes)
    ]
    return ReportPage(spec=page_spec(scenario, found, charts, tables), grid=grid_of(axes, answers))


def opening(evaluation: Evaluation) -> Passage:
    """The first screen in plain words."""
    page = first_page(evaluation)
    return Passage(
        title=plain(evaluation.scenario.title),
        paragraphs=[page.headline, page.cost, page.order, page.loss, page.unknown],
    )


def assumptions(evaluation: Evaluation) -> Passage:
    """Every default that was used, with its status and how to find out."""
    return Passage(title="What we assumed", bullets=assumed_sentences(evaluation))


def care(evaluation: Evaluation) -> Passage:
    """Every caution."""
    return Passage(title="Take care", bullets=caution_sentences(evaluation))


def page_spec(
    scenario: Scenario, found: Sequence[Slider], charts: Sequence[str], tables: Sequence[str]
) -> dict[str, Any]:
    """What the page consists of before any answer: words, sliders, places of charts and tables."""
    return {
        "words": WORDS,
        "groups": group_titles(slider.key for slider in found),
        "controls": [control_words(slider, scenario) for slider in found],
        "figures": [{"id": name, "summary_label": WORDS["in_words"]} for name in charts],
        "tables": [
            {"id": name, "title": TABLE_TITLES[name], "first": name == "needs"} for name in tables
        ],
        "texts": ["headline", "cost", "order", "loss"],
    }


def _answer(
    evaluation: Evaluation,
    found: Sequence[Slider],
    values: Mapping[str, float],
    charts: Sequence[str],
    tables: Sequence[str],
) -> dict[str, Any]:
    readouts = {
        slider.key: readout(slider, values[slider.key], evaluation.scenario) for slider in found
    }
    return {**answer(evaluation, charts=charts, tables=tables), "readouts": readouts}


def orders(evaluation: Evaluation) -> Passage:
    """What the build that comes first buys and when."""
    return _table_passage(order_table(evaluation, verdict(evaluation).first))


def table(evaluation: Evaluation, name: str) -> Passage:
    """One of the tables of ``views/answer.py``."""
    return _table_passage(TABLES[name](evaluation))


def _table_passage(shown: TextTable) -> Passage:
    return Passage(title=shown.title, table={**painted(shown), "title": ""})
