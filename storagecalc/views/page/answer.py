"""One evaluation as what people see: strings, tables, charts by name, for panel and report."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.loss.redundancy_compared import RedundancyCompared
from storagecalc.views.charts.footage_held import held_chart
from storagecalc.views.charts.loss_redundancy import redundancy_chart
from storagecalc.views.charts.money_paid import cost_chart
from storagecalc.views.text.capacity import copies_table, ladder_table
from storagecalc.views.text.decision import first_page
from storagecalc.views.text.footage import recorded_table
from storagecalc.views.text.loss import (
    AVERAGED,
    COPIES,
    loss_by_year_table,
    planned_loss,
    spare_table,
)
from storagecalc.views.text.measures import comparison_table, place_table
from storagecalc.views.text.money import cause_table, quote_table, year_table
from storagecalc.views.text.needs import needs_table
from storagecalc.views.text.table import TextTable

CHARTS: dict[str, Callable[[Evaluation], dict[str, Any]]] = {
    "held": held_chart,
    "cost": cost_chart,
}
TABLES: dict[str, Callable[[Evaluation], TextTable]] = {
    "needs": needs_table,
    "builds": comparison_table,
    "place": place_table,
    "recorded": recorded_table,
    "ladder": ladder_table,
    "years": year_table,
    "causes": cause_table,
    "quotes": quote_table,
    "copies": copies_table,
}


def answer(
    evaluation: Evaluation, *, charts: Sequence[str], tables: Sequence[str]
) -> dict[str, Any]:
    """The evaluation in the form that the page script paints.

    Parameters
    ----------
    evaluation
        Without a grid.
    charts, tables
        Names from ``CHARTS`` and ``TABLES``, in the order they are shown.
    """
    return {
        "error": None,
        "texts": first_page(evaluation),
        "readouts": {},
        "figures": {name: CHARTS[name](evaluation) for name in charts},
        "tables": {name: asdict(TABLES[name](evaluation)) for name in tables},
    }


def redundancy_answer(compared: RedundancyCompared) -> dict[str, Any]:
    """Redundancies side by side in the same form, with what copies answer for."""
    tables = {"loss by year": loss_by_year_table(compared), "spares": spare_table(compared)}
    return {
        **still_answer({"redundancy": redundancy_chart(compared)}),
        "texts": {"headline": planned_loss(compared), "loss": f"{COPIES} {AVERAGED}"},
        "tables": {name: asdict(shown) for name, shown in tables.items()},
    }


def still_answer(figures: Mapping[str, Any]) -> dict[str, Any]:
    """Charts alone in the same form."""
    return {"error": None, "texts": {}, "readouts": {}, "figures": dict(figures), "tables": {}}
