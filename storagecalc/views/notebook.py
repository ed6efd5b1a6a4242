"""What a notebook cell calls: a live panel, the owner's page, passages of finished sentences."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from storagecalc.study.decision.formats_compared import FormatsCompared
from storagecalc.study.decision.sensitivity import deciding_sliders, influences
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.loss.redundancy_compared import RedundancyCompared, redundancy_compared
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import Slider, moved, sliders
from storagecalc.views.charts.footage_formats import format_chart
from storagecalc.views.charts.lanes import lanes, lanes_frame
from storagecalc.views.charts.purchase_calendar import calendar_drawing
from storagecalc.views.page.answer import TABLES, redundancy_answer, still_answer
from storagecalc.views.page.decision_panel import USUAL_PX, panel_layout
from storagecalc.views.page.grid import grid_of
from storagecalc.views.page.live import Live, checked_values
from storagecalc.views.page.nodes import data_address, markup, node
from storagecalc.views.page.owner_grid import owner_grid
from storagecalc.views.page.panel import Panel, SaveValues
from storagecalc.views.page.passage import Passage, ReportPage
from storagecalc.views.picture import Picture
from storagecalc.views.saving import saver
from storagecalc.views.text.cautions import assumption_table, caution_sentences
from storagecalc.views.text.decision import first_page, reason, reason_sentences, recommendation
from storagecalc.views.text.footage import format_growth_sentences, format_growth_table
from storagecalc.views.text.lanes import lanes_summary, lanes_title
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
    readouts,
)
from storagecalc.views.text.plan import NO_PLAN, PLAN_CHECKS, plan_sentences, plan_table
from storagecalc.views.text.purchase_calendar import (
    calendar_key,
    calendar_summary,
    calendar_table,
    calendar_title,
)
from storagecalc.views.text.sensitivity import SHOWN, matters_table

PANEL_SLIDERS = 6
# What stands in for a live page, and how wide its picture is.
STILL, STILL_PX = "sc-still", 742
DRAWS_AT_REST = 2000
YEARS_WHILE_MOVING = (1.0,)

Shown = Passage | ReportPage


def panel(
    scenario: Scenario,
    *,
    quantities: Sequence[str] = (),
    tables: Sequence[str] = ("builds", "years", "ladder"),
    draws: int = DRAWS_AT_REST,
    file: Path | None = None,
) -> Panel:
    """Sliders beside the decision: move one, and verdict and pictures follow.

    Parameters
    ----------
    scenario
        Where the sliders start.
    quantities
        Dotted keys of what can be moved, a ``*`` for every name; where none are given, those that
        decide most in this scenario.
    tables
        Names from ``views/page/answer.py``, in the order they are shown below the pictures.
    draws
        Futures drawn once a slider is let go; a hundred at most while it moves. So few are
        no ground for a recommendation: the last one stays, and sentences wait.
    file
        The scenario's own file; where given, the page can save its settings beside it.
    """
    first = evaluate(scenario, draws=draws)
    found = sliders(scenario, quantities) if quantities else deciding_sliders(first, PANEL_SLIDERS)
    live = Live(scenario, found, first, tables, draws)
    words = _words(file)
    controls = [control_words(each, scenario) for each in found]
    layout = panel_layout({"words": words, "controls": controls}, tables)
    spec = {"words": words, "controls": controls, "page": layout, "drawn_for_px": USUAL_PX}
    return Panel(
        spec=spec,
        answer_for=live.answer,
        save_values=_save_values(scenario, found, file),
        still=still(first),
    )


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

    def answer_for(shown_at: dict[str, float], settled: bool, _: float) -> Mapping[str, Any]:
        values = checked_values(found, shown_at, scenario)
        changed = moved(scenario, values)
        if settled:
            shown = redundancy_answer(redundancy_compared(changed))
        else:  # the chart follows at once, the tables when the slider is let go
            few = redundancy_compared(changed, years=YEARS_WHILE_MOVING, with_spares=False)
            shown = {**redundancy_answer(few), "tables": {}}
        return {**shown, "readouts": readouts(changed, found, values)}

    spec = page_spec(scenario, found, ["redundancy"], ["loss by year", "spares"])
    return Panel(
        spec={**spec, "words": _words(file), "texts": ["headline", "loss"]},
        answer_for=answer_for,
        save_values=_save_values(scenario, found, file),
    )


def _words(file: Path | None) -> Mapping[str, str]:
    return {**WORDS, **SAVE_WORDS} if file else WORDS


def _save_values(
    scenario: Scenario, found: Sequence[Slider], file: Path | None
) -> SaveValues | None:
    if not file:
        return None
    save = saver(scenario, file)
    return lambda shown: save(checked_values(found, shown, scenario))


def still(evaluation: Evaluation) -> str:
    """The verdict and the picture as markup that needs neither a kernel nor a script."""
    picture = lanes(evaluation, STILL_PX, lanes_frame([evaluation]))
    return markup(
        node(
            "div",
            node("p", node("b", recommendation(evaluation)), " ", reason(evaluation)),
            node("p", node("b", lanes_title(evaluation))),
            node("img", src=data_address(picture), alt=lanes_summary(evaluation)),
            class_=STILL,
        )
    )


def owners_page(evaluation: Evaluation, *, places: int = 7, draws: int = 200) -> ReportPage:
    """The page for whoever signs, to be played with: every position of two sliders, computed.

    Parameters
    ----------
    evaluation
        With draws and without a grid: what the page says where nothing is moved.
    places
        Positions of each slider from low to high, 3 or more, today among them.
    draws
        Futures drawn at each position but today's, at most.
    """
    spec, grid = owner_grid(evaluation, places, draws)
    return ReportPage(spec=spec, grid=grid)


def show(result: Evaluation | FormatsCompared | RedundancyCompared, name: str) -> Shown:
    """One part of a result, as the last line of a notebook cell.

    Parameters
    ----------
    result
        What ``evaluate``, ``formats_compared`` or ``redundancy_compared`` returned.
    name
        Which part. Of an evaluation: "opening", "assumptions", "reasons", "care", "orders",
        "calendar", "calendar table", "plan", "plan checks", "matters", or a table of
        ``views/page/answer.py``, such as "needs" or "ladder". Of formats: "format growth" or
        "format chart". Of redundancies: "loss by year", "loss doubts" or "spares".

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


def _plan(evaluation: Evaluation) -> Passage:
    table = plan_table(evaluation)
    return Passage(table=table) if evaluation.plans else Passage(paragraphs=[NO_PLAN])


def _plan_checks(evaluation: Evaluation) -> Passage:
    if not evaluation.plans:
        return Passage()
    return Passage(title=PLAN_CHECKS, bullets=plan_sentences(evaluation))


def _calendar(evaluation: Evaluation) -> Picture:
    return Picture(
        title=calendar_title(evaluation),
        paragraphs=[calendar_key(evaluation)],
        drawn=lambda width_px: calendar_drawing(evaluation, width_px),
        told=calendar_summary(evaluation),
    )


def _table(name: str) -> Callable[[Evaluation], Passage]:
    def shown(evaluation: Evaluation) -> Passage:
        table = TABLES[name](evaluation)
        return Passage(table=table) if table.rows else Passage()

    return shown


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
        "calendar": _calendar,
        "calendar table": lambda evaluation: Passage(table=calendar_table(evaluation)),
        "plan": _plan,
        "plan checks": _plan_checks,
        "matters": lambda evaluation: Passage(
            table=matters_table(evaluation, influences(evaluation)[:SHOWN])
        ),
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
        "tables": [{"id": name} for name in tables],
        "texts": ["headline"],
    }
