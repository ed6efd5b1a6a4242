"""Where a report goes: never onto a file of another kind, nor silently onto another studio's."""

import hashlib
import itertools
import os
import re
from pathlib import Path

from storagecalc.views.files import FileError, numbered_names, reason_words, try_to_write

# What the head of every report names as its generator. It tells whose it is, but names no folder.
MARK = "storagecalc, scenario {}"
MARKED = re.compile(f'content="({MARK.format("[0-9a-f]{16}")})"')
HEAD_LENGTH = 2000
ROOM_BYTES = 8_000_000
"""What a report may take: the chart library has 5 million bytes, the answers up to half of that."""


def report_mark(scenario_path: Path) -> str:
    """The generator by which the report of a scenario file is known again."""
    whole = str(scenario_path.resolve()).encode("utf-8", "surrogateescape")
    return MARK.format(hashlib.sha256(whole).hexdigest()[:16])


def own_place(scenario_path: Path) -> Path:
    """The file in ``reports/`` with the scenario's name, and a number where that is another's."""
    usual = Path("reports") / f"{scenario_path.stem}.html"
    free = (
        path
        for path in itertools.chain([usual], numbered_names(usual))
        if not os.path.lexists(path) or _mark_in(path) == report_mark(scenario_path)
    )
    return next(free)


def prepared_place(path: Path, scenario_path: Path) -> str:
    """Make the folder of a report, and say what the report replaces, if it replaces any.

    Raises
    ------
    FileError
        Where no report may be written there; the message says why and what to do.
    """
    if os.path.isdir(path):
        raise FileError("is a folder; name the file to write in it")
    if path.suffix.lower() not in (".html", ".htm"):
        raise FileError("is not named as a web page; choose a name that ends in .html")
    there, found = os.path.lexists(path), _mark_in(path)
    if there and not found:
        raise FileError("exists, is no report, and is left as it is; choose another name")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try_to_write(path.resolve(), room_bytes=ROOM_BYTES)
    except OSError as reason:
        raise FileError(f"cannot be written: {reason_words(reason)}") from None
    if not there:
        return ""
    whose = "this scenario" if found == report_mark(scenario_path) else "another scenario"
    return f"It replaces the report of {whose} that was there."


def _mark_in(path: Path) -> str:
    """The mark of a report; nothing where the file is none of ours, or cannot be read."""
    try:
        if not path.is_file():  # a pipe would wait for someone to write into it
            return ""
        with path.open(encoding="utf-8", errors="replace") as file:
            found = MARKED.search(file.read(HEAD_LENGTH))
    except OSError:
        return ""
    return found[1] if found else ""
