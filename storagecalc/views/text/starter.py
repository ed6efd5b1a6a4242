"""The starter scenario as a file that explains itself, and what the command says about it."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from storagecalc.study.scenario.keys import Key
from storagecalc.study.scenario.starter import Line, Starter, starter
from storagecalc.views.text.keys import (
    span_words,
    status_words,
    table_name,
    takes_range,
)
from storagecalc.views.text.toml import toml_value

STARTER_TITLE = "Our studio"
HEAD = """\
# A scenario for storagecalc. Every value in it is invented, prices too: replace them with yours.
#
# A dotted line like work.films.cameras = 2 says: cameras = 2 in the table [work.films]. The names
# after the first dot (films, large, grown_in_steps) are yours to choose. For another kind of work
# or another build, copy the lines of one and give them another name. If you would rather write
# tables with headings, put them at the very end.
#
# Where you are not sure and it says "range", write { low = 2, middle = 3, high = 5 }: in one of ten
# such years it is below low, in one of ten above high, and as often above middle as below.
#
# When done: storagecalc check, then storagecalc compare, then storagecalc report, each with the
# name of this file."""
LEFT_HEAD = """\
# ------------------------------------------------------------------------------------------------
# Everything below is assumed unless you say otherwise. Where you know better, remove the # in front
# of a line and change its value. Whatever you leave is listed as assumed in every answer.
# ------------------------------------------------------------------------------------------------
"""
FURTHER_HEAD = """\
# ------------------------------------------------------------------------------------------------
# What else you may write. None of it has a value unless you give it one. More: storagecalc keys.
# ------------------------------------------------------------------------------------------------
"""
SECTIONS = {
    "": "What this is about",
    "work": "What is recorded",
    "keep": "How long it is kept",
    "needs": "What it must do: protect the work, and last",
    "copies": "Copies outside the box (invented price)",
    "drives": "Drives (invented prices)",
    "builds": "What could be bought: the same box, grown in steps or filled at once",
    "running": "What running it costs",
    "remedy": "What happens when a box is full",
}


def starter_text(*, title: str, start_date: date) -> str:
    """The starter scenario as TOML with comments.

    Parameters
    ----------
    title
        What it is about; any text but an empty one.
    start_date
        The month it starts with.

    Raises
    ------
    ScenarioError
        Where the title is empty.
    """
    # Half a surrogate pair is no text and could not be written to a file.
    readable = title.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return "\n".join(_lines(starter(title=readable, start_date=start_date)))


def written_words(path: Path) -> str:
    """What the command says once the file is there."""
    name = plain_path(path)
    return (
        f"{name}: a starter scenario, all values invented. Put yours in with any editor, then:\n"
        f'  storagecalc check "{name}"\n'
        f'  storagecalc compare "{name}"'
    )


def plain_path(path: Path) -> str:
    """A path to print: what would not show as itself becomes a question mark."""
    return "".join(char if char.isprintable() else "?" for char in str(path))


def _lines(found: Starter) -> list[str]:
    return [
        HEAD,
        *_written_lines(found.written),
        LEFT_HEAD,
        *(text for same in found.left for text in _left_lines(same)),
        FURTHER_HEAD,
        *_further_lines(found.further),
        "",
    ]


def _written_lines(lines: Sequence[Line]) -> list[str]:
    """Sections with a heading; a key is explained the first time it stands there."""
    shown: list[str] = []
    section, table, explained = None, "", set[Key]()
    for line in lines:
        own = line.dotted.split(".")[0] if "." in line.dotted else ""
        if own != section:
            shown += ["", f"# ---- {SECTIONS.get(own, own)}"]
            section = own
        elif line.dotted.rpartition(".")[0] != table:
            shown.append("")
        table = line.dotted.rpartition(".")[0]
        new = [key for key in line.keys if key not in explained]
        named = "{key.field}: " if len(line.keys) > 1 else ""
        shown += [""] if new and shown[-1] else []
        shown += [f"# {named.format(key=key)}{_comment(key)}" for key in new]
        shown.append(f"{line.dotted} = {toml_value(line.value)}")
        explained |= set(new)
    return [*shown, ""]


def _left_lines(same: Sequence[Line]) -> list[str]:
    lines = [f"#{line.dotted} = {toml_value(line.value)}" for line in same]
    return [f"# {_comment(same[0].keys[0], with_status=True)}", *lines, ""]


def _further_lines(keys: Sequence[Key]) -> list[str]:
    tables = dict.fromkeys(key.table for key in keys)
    return [
        line
        for way in tables
        for line in (
            f"# {table_name(way)}",
            *(f"#   {key.field}: {_comment(key)}" for key in keys if key.table == way),
            "#",
        )
    ]


def _comment(key: Key, *, with_status: bool = False) -> str:
    """Label, span, perhaps where the default comes from, and how to find out, on one line."""
    span = "; ".join(filter(None, [span_words(key), "range" if takes_range(key) else ""]))
    sentences = [f"{key.label} ({span})" if span else key.label]
    sentences += [status_words(key)] if with_status else []
    sentences += [f"to find out: {key.find_out}" if key.quantity is not None else key.find_out]
    return " ".join(_sentence(words) for words in sentences if words)


def _sentence(words: str) -> str:
    end = "" if words.endswith(("?", ".")) else "."
    return f"{words[:1].upper()}{words[1:]}{end}"
