"""Every number from outside: printed results of others, held against ours.

Each file in ``cases/`` is a list of checks. A check names a function below ``storagecalc.models``
and has:

``inputs``      keyword arguments. A list of numbers becomes an array; ``layout`` is a table of the
                arguments of ``layouts.layout``; ``{ length = 25, at = [[0, 1.5], [12, 2.0]] }`` is
                an array of zeros with those entries set; ``problem`` is a table of the arguments
                of ``expansion.Problem`` and of what stands in it, where a number for a row of
                months is the same in each
``positional``  arguments without a name (optional)
``absent``      names of arguments passed as None, for which the file format has no word (optional)
``expected``    the printed number, or a list of them
``less``        what is taken off the result first (optional)
``scale``       the result times this is compared, say 100 for percent (optional)
``pick``        index or name of the part of the result that is compared; a list goes deeper
                (optional)
``tolerance``   absolute: half the last printed digit; or ``relative``
``source``      author, title, publisher, year and the place in it (page, table, section), or how it
                was worked out
``status``      one of STATUSES
``note``        known slips in print (optional)
"""

import importlib
import re
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
OPTIONAL = {
    *("inputs", "positional", "absent", "less", "scale", "pick", "tolerance", "relative", "note"),
}

# What leads a reader of the publication to the number, "table 5" or "p. 367" say.
PLACE = re.compile(
    r"""\bpp?\.\ ?\d
    | \b(pages?|tables?|sections?|chapters?|equations?|examples?|question|lab|rows?)\ ("|\d|[A-Z])
    | \b(function|topic)\ \w | \bpage\ fdd\d | \bfirst\ example | \d\ TB\ row
    """,
    re.VERBOSE,
)


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
    if isinstance(given, list) and _all_numbers(given):
        return np.array(given)
    return given


def _all_numbers(given):
    return all(
        isinstance(part, int | float) and not isinstance(part, bool) for part in given
    ) or all(isinstance(part, list) and part and _all_numbers(part) for part in given)


def result_of(check):
    """What our function returns, scaled and picked."""
    module, name = check["function"].split(".")
    function = getattr(importlib.import_module(f"storagecalc.models.{module}"), name)
    inputs = {key: value_of(key, given) for key, given in check.get("inputs", {}).items()}
    inputs |= dict.fromkeys(check.get("absent", ()))
    result = function(*check.get("positional", ()), **inputs)
    picks = check.get("pick", [])
    for pick in picks if isinstance(picks, list) else [picks]:
        by_name = isinstance(pick, str) and not isinstance(result, Mapping)
        result = getattr(result, pick) if by_name else result[pick]
    result = np.asarray(result, dtype=np.float64) - check.get("less", 0.0)
    return result * check.get("scale", 1.0)


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


@pytest.mark.parametrize("file", sorted({file for file, _ in CHECKS}))
def test_what_is_published_has_a_place_in_its_publication(file):
    of_file = [check for of, check in CHECKS if of == file and check["status"] == "published"]
    assert not [check["name"] for check in of_file if not PLACE.search(check["source"])]


def test_names_of_checks_are_different():
    names = [check["name"] for _, check in CHECKS]
    assert len(set(names)) == len(names)


def test_at_least_25_numbers_come_from_print():
    """A number worked out by ourselves is a check of the arithmetic, not of the formula."""
    printed = [check for _, check in CHECKS if check["status"] == "published"]
    assert len(printed) >= 25
