"""The tables of an evaluation by name, and charts and tables in the form that the page paints."""

from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.loss.redundancy_compared import RedundancyCompared
from storagecalc.views.charts.loss_redundancy import redundancy_chart
from storagecalc.views.text.capacity import copies_table, ladder_table
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


def redundancy_answer(compared: RedundancyCompared) -> dict[str, Any]:
    """Redundancies side by side as the page script paints them, with what copies answer for."""
    tables = {"loss by year": loss_by_year_table(compared), "spares": spare_table(compared)}
    return {
        **still_answer({"redundancy": redundancy_chart(compared)}),
        "texts": {"headline": planned_loss(compared), "loss": f"{COPIES} {AVERAGED}"},
        "tables": {name: asdict(shown) for name, shown in tables.items()},
    }


def still_answer(figures: Mapping[str, Any]) -> dict[str, Any]:
    """Charts alone in the same form."""
    return {"error": None, "texts": {}, "readouts": {}, "figures": dict(figures), "tables": {}}
