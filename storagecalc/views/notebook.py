"""What a notebook cell calls: a live panel, the owner's page, passages of finished sentences."""

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from storagecalc.study.decision.formats_compared import FormatsCompared
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.loss.redundancy_compared import RedundancyCompared, redundancy_compared
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import Slider, coarse, moved, sliders, stops
from storagecalc.views.charts.footage_formats import format_chart
from storagecalc.views.page.answer import TABLES, answer, painted, redundancy_answer, still_answer
from storagecalc.views.page.page import grid_of, grid_values
from storagecalc.views.page.panel import AnswerFor, Panel
from storagecalc.views.page.report import Passage, ReportPage
from storagecalc.views.saving import saver
from storagecalc.views.text.cautions import assumption_table, caution_sentences
from storagecalc.views.text.decision import first_page, reason_sentences
from storagecalc.views.text.footage import (
    format_growth_sentences,
    format_growth_table,
)
from storagecalc.views.text.loss import (
    doubt_sentences,
    doubt_table,
    loss_by_year_table,
    loss_sentences,
    spare_sentences,
    spare_table,
)
from storagecalc.views.text.money import order_table
from storagecalc.views.text.numbers import plain
from storagecalc.views.text.page import (
    SAVE_WORDS,
    TABLE_TITLES,
    WORDS,
    control_words,
    group_titles,
    readout,
)
from storagecalc.views.text.table import TextTable

DRAWS_WHILE_MOVING = 200
DRAWS_AT_REST = 2000
YEARS_WHILE_MOVING = (1.0,)


def panel(
    scenario: Scenario,
    *,
    quantities: Sequence[str],
    charts: Sequence[str],
    tables: Sequence[str],
    draws: int = DRAWS_AT_REST,
    file: Path | None = None,
) -> Panel:
    """Sliders beside the builds: move one, and every chart and table follows.

    Parameters
    ----------
    scenario
        Where the sliders start.
    quantities
        Dotted keys of what can be moved; a ``*`` stands for every name.
    charts, tables
        Names from ``views/page/answer.py``, in the order they are shown.
    draws
        Futures drawn once a slider is let go; two hundred at most while it moves.
    file
        The scenario's own file; where given, the page can save its settings beside it.
    """
    found = sliders(scenario, quantities)

    def answer_for(values: dict[str, float], settled: bool) -> Mapping[str, Any]:
        count = draws if settled else min(DRAWS_WHILE_MOVING, draws)
        evaluation = evaluate(moved(scenario, values), draws=count)
        return _answer(evaluation, found, values, charts, tables)

    return _live(scenario, page_spec(scenario, found, charts, tables), answer_for, file)


def redundancy_panel(
    scenario: Scenario, *, quantities: Sequence[str], file: Path | None = None
) -> Panel:
    """Sliders beside every build with every redundancy and spare: loss over the years.

    Parameters
    ----------
    scenario
        Where the sliders start; its ranges stand at their middle.
    quantities
        Dotted keys of what can be moved, counts of spares too; a ``*`` stands for every name.
    file
        The scenario's own file; where given, the page can save its settings beside it.
    """
    found = sliders(scenario, quantities)

    def answer_for(values: dict[str, float], settled: bool) -> Mapping[str, Any]:
        changed = moved(scenario, values)
        if settled:
            shown = redundancy_answer(redundancy_compared(changed))
        else:  # the chart follows at once, the tables when the slider is let go
            few = redundancy_compared(changed, years=YEARS_WHILE_MOVING, with_spares=False)
            shown = {**redundancy_answer(few), "tables": {}}
        return {**shown, "readouts": _readouts(changed, found, values)}

    spec = page_spec(scenario, found, ["redundancy"], ["loss by year", "spares"])
    return _live(scenario, {**spec, "texts": ["headline", "loss"]}, answer_for, file)


def _live(
    scenario: Scenario, spec: Mapping[str, Any], answer_for: AnswerFor, file: Path | None
) -> Panel:
    if file is None:
        return Panel(spec=spec, answer_for=answer_for)
    spec = {**spec, "words": {**spec["words"], **SAVE_WORDS}}
    return Panel(spec=spec, answer_for=answer_for, save_values=saver(scenario, file))


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
        Dotted keys of what can be moved; a ``*`` stands for the first name in the file. The time
        it takes grows with ``places`` to their number.
    places
        Positions of each slider, 3 or more; an even number counts as one less.
    draws
        Futures drawn at each position but the start, which gets as many as a page at rest.
    charts, tables
        Names from ``views/page/answer.py``, in the order they are shown.
    """
    # One slider a pattern: positions multiply, and an owner plays with few.
    found = tuple(coarse(sliders(scenario, [each])[0], places) for each in quantities)
    axes = [{"key": slider.key, "values": stops(slider)} for slider in found]
    start = {slider.key: slider.start for slider in found}
    answers = []
    for values in grid_values(axes):
        # Where nothing is moved the page must say what the sentences above it say.
        count = DRAWS_AT_REST if _close(values, start) else draws
        evaluation = evaluate(moved(scenario, values), draws=count)
        answers.append(_answer(evaluation, found, values, charts, tables))
    return ReportPage(spec=page_spec(scenario, found, charts, tables), grid=grid_of(axes, answers))


def _close(values: Mapping[str, float], others: Mapping[str, float]) -> bool:
    return all(math.isclose(value, others[key], abs_tol=1e-12) for key, value in values.items())


def opening(evaluation: Evaluation) -> Passage:
    """The first screen in plain words."""
    return Passage(
        title=plain(evaluation.scenario.title),
        paragraphs=list(first_page(evaluation).values()),
    )


def assumptions(evaluation: Evaluation) -> Passage:
    """Every default that was used, with its status and how to find out."""
    return _table_passage(assumption_table(evaluation))


def reasons(evaluation: Evaluation) -> Passage:
    """Why the builds differ, how much caution is in the space, and whether the horizon decides."""
    return Passage(title="Why they differ", bullets=reason_sentences(evaluation))


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
        "texts": ["headline", "order"],
    }


def _answer(
    evaluation: Evaluation,
    found: Sequence[Slider],
    values: Mapping[str, float],
    charts: Sequence[str],
    tables: Sequence[str],
) -> dict[str, Any]:
    shown = answer(evaluation, charts=charts, tables=tables)
    return {**shown, "readouts": _readouts(evaluation.scenario, found, values)}


def _readouts(
    scenario: Scenario, found: Sequence[Slider], values: Mapping[str, float]
) -> dict[str, str]:
    return {slider.key: readout(slider, values[slider.key], scenario) for slider in found}


def orders(evaluation: Evaluation) -> Passage:
    """What the build that comes first buys and when."""
    return _table_passage(order_table(evaluation, verdict(evaluation).first))


def table(evaluation: Evaluation, name: str) -> Passage:
    """One of the tables of ``views/page/answer.py``."""
    return _table_passage(TABLES[name](evaluation))


def format_growth(compared: FormatsCompared) -> Passage:
    """Recording formats side by side: what they weigh, and when each build could be full."""
    if not compared.rows:
        return Passage(paragraphs=format_growth_sentences(compared))
    return _table_passage(format_growth_table(compared), format_growth_sentences(compared))


def format_growth_chart(compared: FormatsCompared) -> ReportPage | Passage:
    """Footage held in each format against all the space the builds can have."""
    if not compared.rows:
        return Passage(paragraphs=format_growth_sentences(compared))
    spec = page_spec(compared.scenario, (), ["formats"], [])
    shown = still_answer({"formats": format_chart(compared)})
    return ReportPage(spec=spec, grid=grid_of([], [shown]))


def loss_by_year(compared: RedundancyCompared) -> Passage:
    """The chance that drives alone lose each build, by redundancy, over the years."""
    return _table_passage(loss_by_year_table(compared), loss_sentences())


def loss_doubts(compared: RedundancyCompared) -> Passage:
    """The same chance at low and high failure rates, rebuild hours, and unreadable files."""
    return _table_passage(doubt_table(compared), doubt_sentences())


def spares(compared: RedundancyCompared) -> Passage:
    """What a cold or a hot spare changes in each build."""
    return _table_passage(spare_table(compared), spare_sentences())


def _table_passage(shown: TextTable, paragraphs: Sequence[str] = ()) -> Passage:
    table = {**painted(shown), "title": ""}
    return Passage(title=shown.title, paragraphs=paragraphs, table=table)
