"""Redundancy and spares in words: tables of chances, and what they take for granted.

No table of chances leaves here without the sentence that says what copies answer for.
"""

from collections.abc import Iterable, Mapping
from textwrap import wrap

from storagecalc.study.evaluate import Evaluation
from storagecalc.study.loss.redundancy_compared import (
    LossOverYears,
    RedundancyCompared,
    RedundancyRow,
)
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.numbers import (
    FINEST,
    RARE_PROBABILITY,
    RARE_WORDS,
    chance,
    chart_name,
    listed,
    plain,
    quoted,
    shared_denominator,
    significant,
    tb,
    years_span,
)
from storagecalc.views.text.table import TextTable, record_table, text_table

# What is counted wherever a chance of loss is told.
DESTROYED = "drive failures alone destroy everything in a pool"
ONE_COPY = (
    "A box is one copy whatever its drives: deletion, malware, theft, fire, water and a failing box"
    " take all of it at once."
)
COPIES = f"{ONE_COPY} Two more copies, one in another building, answer for those."
# What it does, and in brackets the level by which some know it.
REDUNDANCY_NAMES = {
    "none": "none (0)",
    "mirror": "mirror (1)",
    "single parity": "single parity (5)",
    "double parity": "double parity (6)",
    "triple parity": "triple parity",
    "striped mirrors": "striped mirrors (1+0)",
}
NO_REBUILD = "no rebuild"
TWO_WAYS = (
    "Rebuilds that take nearly the same time each behave like drives rebuilt all at once; rebuilt"
    " in turn is the cautious figure."
)
AVERAGED = (
    "Chances are averaged over what is not known of the failure rate. A few bad models of drives"
    " carry that average, so it can lie above the chance at a high rate. Drives are taken to fail"
    " independently: read each figure as the least it can be."
)
READ_ERROR = (
    "An unreadable file in a rebuild counts only where no redundancy is left, by the data sheet's"
    " limit; it costs a file, not the box."
)
SPARE = (
    "A hot spare starts its rebuild at once, but it takes a bay and the space of one drive. A cold"
    " spare in the cupboard takes no bay, but somebody has to come and swap."
)
# What stands above each table of chances.
LOSS_NOTES = (COPIES, TWO_WAYS)
DOUBT_NOTES = (COPIES, AVERAGED, READ_ERROR)
SPARE_NOTES = (COPIES, SPARE)
LOSS_AXIS = "chance that drive failures alone<br>destroy everything in a pool"
YEARS_AXIS = "years"
IN_TURN_NAME = "thin: the same, rebuilt in turn"
BAND_NAME = "upright: low to high failure rate"
RARE_TICK = RARE_WORDS.replace("than ", "than<br>")


def loss_denominator(evaluation: Evaluation) -> int:
    """What the chances of loss of an evaluation are counted in, on all its faces."""
    asked = evaluation.asked.get("loss_probability", 0.0)
    losses = (build.loss.box_loss_probability for build in evaluation.builds)
    return shared_denominator([asked, *losses])


def copies_sentence(scenario: Scenario) -> str:
    """What stands against everything else that takes a box: the copies there are, or should be."""
    here, away = copies_by_place(scenario)
    if not here and not away:
        return f"{COPIES} There is none in your file."
    told = [f"{listed(away)} in another building"] if away else []
    told += [f"{listed(here)} in the same{'' if away else ' building'}"] if here else []
    stands, whole = ("stand", "they are") if len([*here, *away]) > 1 else ("stands", "it is")
    answer = f"{ONE_COPY} Against that {stands} {' and '.join(told)}, as long as {whole} whole."
    return answer if away else f"{answer} Fire, water and theft can take both: keep one elsewhere."


def copies_by_place(scenario: Scenario) -> tuple[list[str], list[str]]:
    """The names of the copies in the same building, and of those in another."""
    here, away = (
        [
            quoted(key.replace("_", " "))
            for key, copy in scenario.copies.items()
            if copy.another_building is elsewhere
        ]
        for elsewhere in (False, True)
    )
    return here, away


def loss_by_year_table(compared: RedundancyCompared) -> TextTable:
    """One row a build and redundancy: space to plan with, and the chance of loss over the years."""
    years = [_years(count) for count in compared.years]
    rows = [
        (
            plain(row.name),
            _redundancy(row),
            tb(row.plannable_tb),
            *map(_finest, row.by_repair["parallel"].loss_probability_by_year),
            _finest(row.by_repair["one at a time"].loss_probability),
        )
        for row in compared.rows
    ]
    head = ("build", "redundancy", "space to plan with", *years, f"{years[-1]}, rebuilt in turn")
    title = f"Chance that {DESTROYED} of the first box, within so many years"
    return text_table(title, head, rows)


def doubt_table(compared: RedundancyCompared) -> TextTable:
    """One row a build and redundancy: rebuild, loss at a low and a high rate, unreadable files."""
    return record_table(
        f"Chance that {DESTROYED} of the first box within {_span(compared)}",
        compared.rows,
        {
            "build": lambda row: plain(row.name),
            "redundancy": _redundancy,
            "rebuild, wait included": _rebuild,
            "at a low failure rate": lambda row: _finest(_at_once(row).loss_probability_low),
            "averaged": lambda row: _finest(_at_once(row).loss_probability),
            "at a high failure rate": lambda row: _finest(_at_once(row).loss_probability_high),
            "an unreadable file in a rebuild": _read_error,
        },
    )


def spare_table(compared: RedundancyCompared) -> TextTable:
    """One row a build and kind of spare, its own redundancy kept."""
    return record_table(
        "What a spare changes",
        compared.spares,
        {
            "build": lambda row: plain(row.name),
            "spare": _spares,
            "space to plan with": lambda row: tb(row.plannable_tb),
            "rebuild, wait included": _rebuild,
            f"{DESTROYED} within {_span(compared)}": lambda row: _finest(
                next(iter(row.by_repair.values())).loss_probability
            ),
        },
    )


def planned_loss(compared: RedundancyCompared) -> str:
    """The chance of each build as the file has it."""
    repair = compared.scenario.rebuild.repair
    builds = {
        f"{quoted(row.name)} with {_kind(row.redundancy)}": row.by_repair[repair].loss_probability
        for row in compared.rows
        if row.as_written
    }
    within = f"{DESTROYED} of the first box within {_span(compared)}"
    return f"As planned, {within}: {_told(builds)}."


def redundancy_title(compared: RedundancyCompared) -> str:
    """The worst chance of each redundancy, whichever the build."""
    worst = _told(_worst(compared, "parallel"))
    return f"{DESTROYED.capitalize()} within {_span(compared)}, the worst build: {worst}"


def redundancy_summary(compared: RedundancyCompared) -> str:
    """The chart in words."""
    return (
        "The heading gives the worst build with drives rebuilt all at once. Rebuilt in turn it is:"
        f" {_told(_worst(compared, 'one at a time'))}."
    )


def frame_name(name: str) -> str:
    """A build's name above its part of the chart, in short lines."""
    return f"<b>{'<br>'.join(chart_name(line) for line in wrap(plain(name), 26))}</b>"


def chances(probabilities: Iterable[float]) -> list[str]:
    """Each chance as the chart shows it when pointed at."""
    return [_finest(each) for each in probabilities]


def _finest(probability: float) -> str:
    """A chance on the page of redundancies, whose chart goes down to 1 in 100,000."""
    return chance(probability, FINEST)


def _told(chances_by_name: Mapping[str, float]) -> str:
    """Names with their chances, those that cannot be counted together at the end."""
    told = [f"{name} {_finest(p)}" for name, p in chances_by_name.items() if p >= RARE_PROBABILITY]
    rare = [name for name, p in chances_by_name.items() if p < RARE_PROBABILITY]
    parts = [listed(told)] if told else []
    parts += [f"{listed(rare)}: {RARE_WORDS}"] if rare else []
    return "; ".join(parts)


def _worst(compared: RedundancyCompared, repair: str) -> dict[str, float]:
    worst: dict[str, float] = {}
    for row in compared.rows:
        kind = _kind(row.redundancy)
        worst[kind] = max(worst.get(kind, 0.0), row.by_repair[repair].loss_probability)
    return worst


def _at_once(row: RedundancyRow) -> LossOverYears:
    return row.by_repair["parallel"]


def _redundancy(row: RedundancyRow) -> str:
    name = REDUNDANCY_NAMES[row.redundancy]
    return f"{name}, as planned" if row.as_written else name


def _kind(redundancy: str) -> str:
    return "no redundancy" if redundancy == "none" else redundancy


def _rebuild(row: RedundancyRow) -> str:
    return NO_REBUILD if row.redundancy == "none" else f"{significant(row.rebuild_h, 2)} h"


def _read_error(row: RedundancyRow) -> str:
    return NO_REBUILD if row.redundancy == "none" else _finest(row.read_error_probability)


def _spares(row: RedundancyRow) -> str:
    parts = [f"{row.hot_spares} hot"] if row.hot_spares else []
    parts += [f"{row.cold_spares} cold"] if row.cold_spares else []
    words = listed(parts) or "none"
    return f"{words}, as planned" if row.as_written else words


def _years(count: float) -> str:
    return f"{significant(count)} {'year' if count == 1 else 'years'}"


def _span(compared: RedundancyCompared) -> str:
    return years_span(compared.scenario.horizon_months)
