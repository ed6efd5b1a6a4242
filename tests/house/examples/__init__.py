"""For every public model function one valid call, and another value for each argument.

One file a model module, each with ``EXAMPLES``: function name -> Example.
"""

import importlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any


class Either(tuple[Any, ...]):
    """Several other values of an argument: one of them must change the result."""


@dataclass(frozen=True, kw_only=True)
class Example:
    """One valid call of a function and how each argument may vary around it.

    Parameters
    ----------
    base
        Arguments of the valid call. A function of one positional argument has it here by name.
    other
        For each argument another value that must change the result, or ``Either`` of several
        values, of which one has to.
    vectors, columns
        Arguments that may be arrays: called with both their values at once, the function must
        return what two calls return. Both values go in as an array of shape (2,), or, for columns,
        with a last axis of length 1 for the months.
    gives_array
        True where plain numbers give an array, one entry a month or so.
    may_be_negative
        Numeric arguments for which -1 is a sound value.
    no_number
        Arguments that are no numbers: choices, keys, objects.
    """

    base: Mapping[str, Any]
    other: Mapping[str, Any]
    vectors: Collection[str] = ()
    columns: Collection[str] = ()
    gives_array: bool = False
    may_be_negative: Collection[str] = ()
    no_number: Collection[str] = ()


def examples() -> dict[str, Example]:
    """``units.tib_from_tb`` and its like -> its example."""
    files = sorted(path.stem for path in Path(__file__).parent.glob("[a-z]*.py"))
    return {
        f"{name}.{function}": example
        for name in files
        for function, example in importlib.import_module(f"house.examples.{name}").EXAMPLES.items()
    }
