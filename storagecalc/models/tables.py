"""The tables that ship with the package: rows of text with unit, date, kind and source."""

import csv
import io
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """The rows of one table, each a read-only dict from column name to text.

    Every row has at least ``key``, ``label``, ``unit``, ``date`` (the day the fact was read),
    ``kind`` (published, recomputed or measured) and ``source``; examples have ``status`` and
    ``note`` in place of label and kind. Read once, then kept.

    Parameters
    ----------
    name
        Name of the table, without ending.

    Returns
    -------
    tuple of mappings
        One mapping a row, in file order; an empty cell is an empty text.

    Raises
    ------
    ValueError
        Where there is no such table; the message lists those there are.

    Examples
    --------
    >>> table("card_classes")[0]["unit"]
    'MB/s'
    """
    if name not in _table_names():
        raise ValueError(
            f"name must be one of the tables {', '.join(_table_names())}, got {name!r}"
        )
    text = (files("storagecalc.tables") / f"{name}.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    return tuple(MappingProxyType(dict(row)) for row in rows)


def _table_names() -> tuple[str, ...]:
    entries = (entry.name for entry in files("storagecalc.tables").iterdir())
    return tuple(sorted(name[: -len(".csv")] for name in entries if name.endswith(".csv")))
