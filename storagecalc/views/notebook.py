"""What a notebook cell calls: a live panel, the owner's page, passages of finished sentences."""

import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from storagecalc.study.decision.formats_compared import FormatsCompared
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.loss.redundancy_compared import RedundancyCompared, redundancy_compared
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import Slider, coarse, moved, sliders, stops
from storagecalc.views.charts.footage_formats import format_chart
from storagecalc.views.page.answer import TABLES, answer, redundancy_answer, still_answer
from storagecalc.views.page.grid import grid_of, grid_values
from storagecalc.views.page.panel import AnswerFor, Panel
from storagecalc.views.page.passage import Passage, ReportPage
from storagecalc.views.progress import counted
from storagecalc.views.saving import saver
from storagecalc.views.text.cautions import assumption_table, caution_sentences
from storagecalc.views.text.decision import first_page, reason_sentences
from storagecalc.views.text.footage import format_growth_sentences, format_growth_table
from storagecalc.views.text.loss import (
    DOUBT_NOTES,
    LOSS_NOTES,
    SPARE_NOTES,
    doubt_table,
    loss_by_year_table,
    spare_table,
)
from storagecalc.views.text.money import order_table
from storagecalc.views.text.numbers import LONGEST_TITLE, plain
from storagecalc.views.text.page import (
    SAVE_WORDS,
    WORDS,
    control_words,
    group_titles,
    readout,
)

DRAWS_WHILE_MOVING = 100
DRAWS_AT_REST = 2000
YEARS_WHILE_MOVING = (1.0,)

Shown = Passage | ReportPage


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
        Futures drawn once a slider is let go; a hundred at most while it moves. So few are
        no ground for a recommendation, so sentences wait.
    file
        The scenario's own file; where given, the page can save its settings beside it.
    """
    found = sliders(scenario, quantities)

    def answer_for(values: dict[str, float], settled: bool) -> Mapping[str, Any]:
        count = draws if settled else min(DRAWS_WHILE_MOVING, draws)
        evaluation = evaluate(moved(scenario, values), draws=count)
        shown = _answer(evaluation, found, values, charts, tables)
        return shown if settled else {**shown, "texts": {}}

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
    for values in counted(grid_values(axes), "positions of the sliders"):
        # Where nothing is moved the page must say what the sentences above it say.
        count = DRAWS_AT_REST if _close(values, start) else draws
        evaluation = evaluate(moved(scenario, values), draws=count)
        answers.append(_answer(evaluation, found, values, charts, tables))
    return ReportPage(spec=page_spec(scenario, found, charts, tables), grid=grid_of(axes, answers))


def _close(values: Mapping[str, float], others: Mapping[str, float]) -> bool:
    return all(math.isclose(value, others[key], abs_tol=1e-12) for key, value in values.items())


def show(result: Evaluation | FormatsCompared | RedundancyCompared, name: str) -> Shown:
    """One part of a result, as the last line of a notebook cell.

    Parameters
    ----------
    result
        What ``evaluate``, ``formats_compared`` or ``redundancy_compared`` returned.
    name
        Which part. Of an evaluation: "opening", "assumptions", "reasons", "care", "orders", or a
        table of ``views/page/answer.py``, such as "needs" or "ladder". Of formats: "format growth"
        or "format chart". Of redundancies: "loss by year", "loss doubts" or "spares".

    Raises
    ------
    ValueError
        Where the result has no part of that name, or is none of these.
    """
    if type(result) not in PARTS:
        raise ValueError(
            "result must be what evaluate, formats_compared or redundancy_compared returned, got a"
            f" {type(result).__name__}"
        )
    parts = PARTS[type(result)]
    if name not in parts:
        raise ValueError(f"name must be one of {', '.join(parts)}, got {name!r:.80}")
    return parts[name](result)


def _opening(evaluation: Evaluation) -> Passage:
    title = plain(evaluation.scenario.title, LONGEST_TITLE)
    return Passage(title=title, paragraphs=list(first_page(evaluation).values()))


def _orders(evaluation: Evaluation) -> Passage:
    return Passage(table=order_table(evaluation, verdict(evaluation).recommended.build))


def _table(name: str) -> Callable[[Evaluation], Passage]:
    return lambda evaluation: Passage(table=TABLES[name](evaluation))


def _format_growth(compared: FormatsCompared) -> Passage:
    table = format_growth_table(compared) if compared.rows else None
    return Passage(table=table, paragraphs=format_growth_sentences(compared))


def _format_chart(compared: FormatsCompared) -> Shown:
    if not compared.rows:
        return Passage(paragraphs=format_growth_sentences(compared))
    spec = page_spec(compared.scenario, (), ["formats"], [])
    shown = still_answer({"formats": format_chart(compared)})
    return ReportPage(spec=spec, grid=grid_of([], [shown]))


PARTS: dict[type, dict[str, Callable[[Any], Shown]]] = {
    Evaluation: {
        "opening": _opening,
        "assumptions": lambda evaluation: Passage(table=assumption_table(evaluation)),
        "reasons": lambda evaluation: Passage(
            title="Why they differ", bullets=reason_sentences(evaluation)
        ),
        "care": lambda evaluation: Passage(
            title="Take care", bullets=caution_sentences(evaluation)
        ),
        "orders": _orders,
        **{name: _table(name) for name in TABLES},
    },
    FormatsCompared: {"format growth": _format_growth, "format chart": _format_chart},
    RedundancyCompared: {
        "loss by year": lambda compared: Passage(
            paragraphs=LOSS_NOTES, table=loss_by_year_table(compared)
        ),
        "loss doubts": lambda compared: Passage(
            paragraphs=DOUBT_NOTES, table=doubt_table(compared)
        ),
        "spares": lambda compared: Passage(paragraphs=SPARE_NOTES, table=spare_table(compared)),
    },
}


def page_spec(
    scenario: Scenario, found: Sequence[Slider], charts: Sequence[str], tables: Sequence[str]
) -> dict[str, Any]:
    """What the page consists of before any answer: words, sliders, places of charts and tables."""
    return {
        "words": WORDS,
        "groups": group_titles(slider.key for slider in found),
        "controls": [control_words(slider, scenario) for slider in found],
        "figures": [{"id": name, "summary_label": WORDS["in_words"]} for name in charts],
        "tables": [{"id": name, "first": name == "needs"} for name in tables],
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
