"""Every number from outside: printed results of others, held against ours.

Each file in ``cases/`` is a list of checks. A check names a function below ``storagecalc.models``
and has:

``inputs``      keyword arguments. A list of numbers becomes an array; ``layout`` is a table of the
                arguments of ``layouts.layout``; ``{ length = 25, at = [[0, 1.5], [12, 2.0]] }`` is
                an array of zeros with those entries set, a list of such tables one row each;
                ``{ length = 60, each = 8 }`` is an array of sixty eights;
                ``problem`` is a table of the arguments of ``expansion.Problem`` and of what
                stands in it, where a number for a row of months is the same in each
``positional``  arguments without a name (optional)
``absent``      names of arguments passed as None, for which the file format has no word (optional)
``expected``    the printed number, or a list of them
``groups``      for a probability: that at least one of so many independent groups is lost, the
                result being that of one (optional)
``less``        what is taken off the result first (optional)
``over``        this divided by the result is compared, say a mean time where we give a rate
                (optional)
``scale``       the result times this, a number or one each, is compared: 100 for percent (optional)
``pick``        index or name of the part of the result that is compared; a list goes deeper
                (optional)
``tolerance``   absolute: half the last printed digit; or ``relative``
``source``      author, "title", publisher and the place in it (page, table, section), or how it was
                worked out
``status``      one of STATUSES
``printed``     how many numbers in print are compared, where that is not the length of
                ``expected``: none where the tolerance is wider than print or another check has
                them, one where a series of steps is worked out from one (optional)
``note``        known slips in print (optional)

What has to stand in a source, and how many printed numbers there are, is asked in
``tests/house/test_published_table.py``.
"""

import importlib
import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from models.expansion_cases import problem_from_tables

from storagecalc.models.layouts import layout

CASES = Path(__file__).parent / "cases"
STATUSES = {"published", "recomputed", "common practice, no source", "from memory"}
REQUIRED = {"name", "function", "expected", "source", "status"}
SHAPED = {"inputs", "positional", "absent", "pick", "groups", "less", "over", "scale"}
OPTIONAL = SHAPED | {"tolerance", "relative", "printed", "note"}


def published_checks():
    """Each check as (file name, check)."""
    for path in sorted(CASES.glob("*.toml")):
        for check in tomllib.loads(path.read_text(encoding="utf-8"))["check"]:
            yield path.stem, check


CHECKS = list(published_checks())


def value_of(name, given):
    """An input as the function wants it."""
    if name == "layout" and isinstance(given, dict):
        return layout(**given)
    if name == "problem":
        return problem_from_tables(given)
    if isinstance(given, dict) and set(given) == {"length", "at"}:
        array = np.zeros(given["length"])
        for place, value in given["at"]:
            array[place] = value
        return array
    if isinstance(given, dict) and set(given) == {"length", "each"}:
        return np.full(given["length"], given["each"])
    if isinstance(given, list) and all(isinstance(part, dict) for part in given):
        return np.array([value_of(name, part) for part in given])
    if isinstance(given, list) and _all_numbers(given):
        return np.array(given)
    return given


def _all_numbers(given):
    return all(
        isinstance(part, int | float) and not isinstance(part, bool) for part in given
    ) or all(isinstance(part, list) and part and _all_numbers(part) for part in given)


def result_of(check):
    """What our function returns, picked and brought to the quantity that is printed."""
    module, name = check["function"].split(".")
    function = getattr(importlib.import_module(f"storagecalc.models.{module}"), name)
    inputs = {key: value_of(key, given) for key, given in check.get("inputs", {}).items()}
    inputs |= dict.fromkeys(check.get("absent", ()))
    result = function(*check.get("positional", ()), **inputs)
    picks = check.get("pick", [])
    for pick in picks if isinstance(picks, list) else [picks]:
        by_name = isinstance(pick, str) and not isinstance(result, Mapping)
        result = getattr(result, pick) if by_name else result[pick]
    result = np.asarray(result, dtype=np.float64)
    result = result - check.get("less", 0.0)
    if "groups" in check:
        result = -np.expm1(check["groups"] * np.log1p(-result))
    if "over" in check:
        result = check["over"] / result
    return result * np.asarray(check.get("scale", 1.0))


@pytest.mark.parametrize(
    "check", [check for _, check in CHECKS], ids=[f"{file}: {c['name']}" for file, c in CHECKS]
)
def test_result_agrees_with_the_printed_number(check):
    np.testing.assert_allclose(
        result_of(check),
        np.asarray(check["expected"], dtype=np.float64),
        atol=check.get("tolerance", 0.0),
        rtol=check.get("relative", 0.0),
        err_msg=check["source"],
    )


@pytest.mark.parametrize("file", sorted({file for file, _ in CHECKS}))
def test_every_check_says_where_it_is_from(file):
    for check in (check for of, check in CHECKS if of == file):
        keys = set(check)
        assert keys >= REQUIRED, check
        assert keys <= REQUIRED | OPTIONAL, check["name"]
        assert len(keys & {"tolerance", "relative"}) == 1, check["name"]
        assert len(keys & {"inputs", "positional"}) >= 1, check["name"]
        assert check["status"] in STATUSES, check["name"]
        assert len(check["source"].split()) >= 3, check["name"]
        assert "http" not in check["source"], check["name"]


def test_names_of_checks_are_different():
    names = [check["name"] for _, check in CHECKS]
    assert len(set(names)) == len(names)
