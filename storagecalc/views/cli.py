"""The command line: new, check, compare, plan, report, open; formats and keys to look things up."""

import argparse
import json
import sys
import time
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from storagecalc.study.decision.plan_records import calendar_records, plan_records
from storagecalc.study.decision.records import records, verdict_record
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.faults import ScenarioError
from storagecalc.study.scenario.formats import search
from storagecalc.study.scenario.load import load_scenario
from storagecalc.views.files import FileError, reason_words, write_new
from storagecalc.views.lab import LabError, notebook_path, open_lab, own_folder, placed_notebooks
from storagecalc.views.page.answer import TABLES
from storagecalc.views.page.report import ReportError, write_report
from storagecalc.views.page.report_place import own_place, prepared_place
from storagecalc.views.progress import working
from storagecalc.views.terminal import OutputError, complain, tell
from storagecalc.views.text.cautions import assumed_sentences, caution_sentences
from storagecalc.views.text.decision import first_page, headline, reason_sentences
from storagecalc.views.text.formats import (
    RATES_EXPLAINED,
    card_table,
    format_table,
    interface_table,
    nothing_found,
)
from storagecalc.views.text.keys import key_reference
from storagecalc.views.text.numbers import LONGEST_TITLE, plain
from storagecalc.views.text.plan import plan_sentences, plan_tables
from storagecalc.views.text.purchase_calendar import calendar_table
from storagecalc.views.text.run import page_words, placed_words
from storagecalc.views.text.sensitivity import check_passages, matters_words
from storagecalc.views.text.starter import STARTER_TITLE, plain_path, starter_text, written_words

UNUSABLE = 2
FAILED = 1
INTERRUPTED = 130
READER_LEFT = 141
"""The codes by which a shell knows a program that Ctrl+C or a closed pipe has ended."""
DRAWS = 2000


class RequestError(ValueError):
    """What was asked cannot be done; the message says why and what to ask instead."""


class _Parser(argparse.ArgumentParser):
    """A parser whose messages, which quote what was typed, pass where all texts do."""

    def _print_message(self, message: str, file: Any = None) -> None:
        (tell if file is sys.stdout else complain)(message.rstrip("\n"))


def run() -> None:
    """Entry point of the ``storagecalc`` command."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its code.

    0 where it did what was asked, 2 where what it got is unusable, 130 where it was interrupted,
    141 where whoever reads its output went away, else 1.
    """
    try:
        tell("", end="")  # where nothing can be told nothing is begun
        chosen = _parser().parse_args(arguments)
        chosen.command(chosen)
    except (ScenarioError, RequestError) as error:
        return _told(str(error), UNUSABLE)
    except (ReportError, LabError, OutputError) as error:
        return _told(str(error), FAILED)
    except BrokenPipeError:
        return READER_LEFT
    except OSError as error:
        return _told(f"{error.filename or 'storagecalc'}: {reason_words(error)}", UNUSABLE)
    except KeyboardInterrupt:
        return _told("\nStopped.", INTERRUPTED)
    except MemoryError:
        return _told("The memory of this computer is used up: ask for fewer --draws.", FAILED)
    return 0


def _told(words: str, code: int) -> int:
    complain(words)
    return code


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="storagecalc", description="Which storage to buy, when to grow, and what it costs."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    one = _command(commands, "new", "write a commented starter scenario to edit", _new)
    one.add_argument("file", type=Path, help="file to write; one that exists is left alone")
    one.add_argument("--title", default=STARTER_TITLE, help="what it is about")
    does = "tell everything that is wrong in a scenario, and what it leaves open"
    one = _command(commands, "check", does, _check)
    _add_scenario(one)
    one.add_argument("--all", action="store_true", help="list all that matters, not ten only")
    one = _command(commands, "compare", "print the builds of a scenario side by side", _compare)
    _add_scenario(one, drawn=True)
    one.add_argument("--json", action="store_true", help="print one JSON object")
    one = _command(commands, "plan", "print what each build orders when, and why", _plan)
    _add_scenario(one, drawn=True)
    one.add_argument("--json", action="store_true", help="print one JSON object")
    one = _command(commands, "report", "print the comparison and write the owner's page", _report)
    _add_scenario(one, drawn=True)
    one.add_argument("--to", type=Path, help="HTML file to write (default: reports/)")
    one = _command(commands, "open", "open copies of the notebooks on a scenario", _open)
    _add_scenario(one)
    one.add_argument("--to", type=Path, help="folder of the copies (default: beside the scenario)")
    does = "list recording formats: rates, hours per TB, how sure"
    one = _command(commands, "formats", does, _formats)
    words = "list only formats that have all these words"
    one.add_argument("words", nargs="*", metavar="WORD", help=words)
    cards = "list card classes and interfaces as well"
    one.add_argument("--cards", action="store_true", help=cards)
    _command(commands, "keys", "print every key a scenario may have, as Markdown", _keys)
    return parser


def _command(
    commands: Any, name: str, does: str, command: Callable[[Any], None]
) -> argparse.ArgumentParser:
    one: argparse.ArgumentParser = commands.add_parser(
        name, help=does, description=f"{does[:1].upper()}{does[1:]}."
    )
    one.set_defaults(command=command)
    return one


def _add_scenario(one: argparse.ArgumentParser, *, drawn: bool = False) -> None:
    one.add_argument("scenario", type=Path, help="scenario file (TOML)")
    if drawn:
        futures, seed = f"futures to draw (default {DRAWS})", "the same seed draws the same futures"
        one.add_argument("--draws", type=_whole, default=DRAWS, help=futures)
        one.add_argument("--seed", type=_whole, default=0, help=seed)


def _whole(text: str) -> int:
    number = int(text) if text.isdecimal() else -1
    if not 0 <= number <= 100_000:
        raise argparse.ArgumentTypeError(
            f"must be a whole number from 0 to 100000, got {text!r:.40}"
        )
    return number


def _compare(chosen: Any) -> None:
    scenario = load_scenario(chosen.scenario)
    with working(f"Drawing {chosen.draws:,} futures"):
        evaluation = evaluate(scenario, draws=chosen.draws, seed=chosen.seed)
        text = as_json(evaluation) if chosen.json else comparison_text(evaluation)
    tell(text)


def _plan(chosen: Any) -> None:
    scenario = load_scenario(chosen.scenario)
    with working(f"Drawing {chosen.draws:,} futures, and looking back from each"):
        evaluation = evaluate(scenario, draws=chosen.draws, seed=chosen.seed)
        text = plan_json(evaluation) if chosen.json else plan_text(evaluation)
    tell(text)


def _check(chosen: Any) -> None:
    with working("Looking for what matters most"):
        evaluation = evaluate(load_scenario(chosen.scenario), draws=DRAWS)
        matters = matters_words(evaluation, everything=chosen.all)
    tell(f"{plain(evaluation.scenario.title, LONGEST_TITLE)}: nothing wrong.")
    if matters:
        tell(f"\n{matters}")
    for found in check_passages(evaluation):
        tell("\n".join(["", found.heading, *(f"- {words}" for words in found.sentences)]))
    left_open = assumed_sentences(evaluation)
    if left_open:
        tell("\nWe assumed, because the scenario does not say:")
        tell("\n".join(f"- {sentence}" for sentence in left_open))


def _report(chosen: Any) -> None:
    scenario = load_scenario(chosen.scenario)
    path = chosen.to or own_place(chosen.scenario)
    try:
        replaced = prepared_place(path, chosen.scenario)
        began_s = time.monotonic()
        with working(f"Drawing {chosen.draws:,} futures"):
            evaluation = evaluate(scenario, draws=chosen.draws, seed=chosen.seed)
        tell(comparison_text(evaluation, reasons=False))
        with working(page_words(time.monotonic() - began_s, chosen.draws)):
            write_report(
                notebook_path=notebook_path("owners_report"),
                scenario_path=chosen.scenario,
                report_path=path,
                title=plain(evaluation.scenario.title, LONGEST_TITLE),
            )
    except FileError as error:
        raise RequestError(f"{plain_path(path)} {error}") from None
    shown, usual = plain_path(path), plain_path(path.with_stem(chosen.scenario.stem))
    tell(f"\nThe owner's page: {shown}  (open it with a double click; it needs no network)")
    if replaced:
        tell(replaced)
    if not chosen.to and shown != usual:
        tell(f"{usual} is not the report of this scenario, and stays as it is.")
    tell(f'The notebooks:    storagecalc open "{plain_path(chosen.scenario)}"')


def _new(chosen: Any) -> None:
    text = starter_text(title=chosen.title, start_date=date.today().replace(day=1))
    try:
        write_new(chosen.file, text)
    except FileError as error:
        raise RequestError(f"{plain_path(chosen.file)} {error}") from None
    tell(written_words(chosen.file))


def _formats(chosen: Any) -> None:
    found = search(chosen.words)
    if not found.rows:
        raise RequestError(nothing_found(found))
    parts = [format_table(found.rows).lines(), RATES_EXPLAINED]
    if chosen.cards:
        parts += [card_table().lines(), interface_table().lines()]
    tell("\n\n".join(parts))


def _keys(_chosen: Any) -> None:
    tell(key_reference(), end="")


def _open(chosen: Any) -> None:
    load_scenario(chosen.scenario)
    folder = chosen.to or own_folder(chosen.scenario)
    try:
        placed = placed_notebooks(folder)
    except FileError as error:
        raise RequestError(f"{plain_path(folder)} {error}; name a folder with --to") from None
    tell(placed_words(folder, placed))
    open_lab(chosen.scenario, placed["decide"])


def comparison_text(evaluation: Evaluation, *, reasons: bool = True) -> str:
    """The comparison as a terminal shows it; why they differ stands in a report as well."""
    shown = ("needs", "builds", "place", "recorded", "causes", "quotes", "copies")
    tables = [TABLES[name](evaluation) for name in shown]
    why = [f"- {text}" for text in reason_sentences(evaluation)] if reasons else []
    parts = [
        plain(evaluation.scenario.title, LONGEST_TITLE),
        "\n".join(first_page(evaluation).values()),
        *(table.lines() for table in tables if table.rows),
        *(["\n".join(["Why they differ:", *why])] if why else []),
        "Take care:\n" + "\n".join(f"- {text}" for text in caution_sentences(evaluation)),
    ]
    return "\n\n".join(parts)


def plan_text(evaluation: Evaluation) -> str:
    """Who is recommended, every best plan, how good the one told is, and the calendar of all."""
    parts = [
        plain(evaluation.scenario.title, LONGEST_TITLE),
        headline(evaluation),
        *(table.lines() for table in plan_tables(evaluation)),
        "\n".join(_bullets(plan_sentences(evaluation))),
        calendar_table(evaluation).lines(),
    ]
    return "\n\n".join(parts)


def _bullets(sentences: Sequence[str]) -> Sequence[str]:
    """One sentence as it is; each of several behind a dash."""
    return sentences if len(sentences) == 1 else [f"- {sentence}" for sentence in sentences]


def plan_json(evaluation: Evaluation) -> str:
    """Plans and calendar as one JSON object."""
    return _json(
        evaluation,
        {
            "verdict": verdict_record(evaluation),
            "plans": plan_records(evaluation),
            "calendar": calendar_records(evaluation),
        },
    )


def as_json(evaluation: Evaluation) -> str:
    """The comparison as one JSON object."""
    return _json(
        evaluation,
        {
            "headline": headline(evaluation),
            "verdict": verdict_record(evaluation),
            "cautions": caution_sentences(evaluation),
            "assumed": assumed_sentences(evaluation),
            "builds": records(evaluation),
        },
    )


def _json(evaluation: Evaluation, told: dict[str, Any]) -> str:
    """What is told, below what it is about, with neither NaN nor infinity."""
    scenario = evaluation.scenario
    return json.dumps(
        {
            "scenario": scenario.title,
            "currency": scenario.currency,
            "horizon_months": scenario.horizon_months,
            "draws": evaluation.draws,
            "seed": evaluation.seed,
            **told,
        },
        indent=2,
        allow_nan=False,
        ensure_ascii=False,  # names stay legible; what a terminal must not get is told as a number
    )
