"""Every public model function has a check from outside: a published number or another route.

Run with ``-s -k table`` to read the table of function and check, and how many numbers are printed.
A check counts as published only where a reader can find its number: who wrote what, who published
it, and where in it the number stands.
"""

import re
import tomllib
from typing import Any

import numpy as np
from house.model_functions import public_functions
from house.tree import ROOT, kept, text

# A number that someone remembers is worth keeping, but it proves nothing.
NO_PROOF = "from memory"
# Author, "title", publisher, and then the place with its number.
PUBLICATION = re.compile(r'[^"]{3,}, "[^"]{3,}", [^",]{3,}, (?P<place>.+)')
PLACE = re.compile(
    r"\b(pp?\.|(page|table|section|chapter|equation|clause|figure|example|question|row|lab|answer)"
    r"s?\b)[^,;:]*\d|\bappendix [A-Z]\b"
)
LEAST_PRINTED_NUMBERS = 200
LEAST_OF_A_TOPIC = 10
# Capacity is missing: layouts and the time to order are hardly ever printed in numbers.
TOPICS = {
    "footage": {"footage", "formats", "lumps", "convolution"},
    "money": {"cashflow", "prices"},
    "loss": {"failure"},
    "speed": {"throughput"},
    "site": {"siting", "power"},
}


def all_checks() -> list[dict[str, Any]]:
    """Every check in the files of cases."""
    return [
        check
        for name in kept("tests/published/cases/", ".toml")
        for check in tomllib.loads(text(name)).get("check", [])
    ]


def published_checks() -> dict[str, list[str]]:
    """The names and status of the published checks of each function."""
    checks: dict[str, list[str]] = {}
    for check in all_checks():
        said = f"{check['name']} ({check['status']})"
        checks.setdefault(check["function"], []).append(said)
    return checks


def printed_numbers() -> dict[str, int]:
    """How many numbers in print are held against each function."""
    numbers: dict[str, int] = {}
    for check in all_checks():
        if check["status"] == "published":
            printed = check.get("printed", np.size(check["expected"]))
            numbers[check["function"]] = numbers.get(check["function"], 0) + printed
    return numbers


def checked_elsewhere() -> dict[str, dict[str, str]]:
    """What stands in checked_elsewhere.toml: function -> test and why."""
    return {
        f"{module}.{function}": entry
        for module, entries in tomllib.loads(text("tests/house/checked_elsewhere.toml")).items()
        for function, entry in entries.items()
    }


def outside_checks() -> dict[str, list[str]]:
    """The generated table: each public model function and what checks it from outside."""
    published, elsewhere = published_checks(), checked_elsewhere()
    return {
        function: [
            *published.get(function, []),
            *([elsewhere[function]["test"]] if function in elsewhere else []),
        ]
        for function in public_functions()
    }


def test_the_table_of_outside_checks_has_no_gap():
    table, printed = outside_checks(), printed_numbers()
    print(f"\n{sum(printed.values())} printed numbers")
    for function, checks in table.items():
        print(f"{printed.get(function, 0):4} {function:40} {'; '.join(checks) or 'NOTHING'}")
    unproved = [
        function
        for function, checks in table.items()
        if all(check.endswith(f"({NO_PROOF})") for check in checks)
    ]
    assert not unproved


def test_every_check_names_a_function_that_exists():
    named = set(published_checks()) | set(checked_elsewhere())
    helpers = {name for name in named if name.startswith("checks.")}
    assert not named - set(public_functions()) - helpers


def test_every_check_elsewhere_is_a_test_with_a_reason():
    for function, entry in checked_elsewhere().items():
        file, _, test = entry["test"].partition("::")
        assert f"def {test}(" in text(file), f"{function}: {entry['test']} does not exist"
        assert len(entry["why"].split()) >= 5, f"{function}: say why"
        assert (ROOT / file).is_file()


def test_what_is_published_can_be_found_by_author_title_publisher_and_place():
    found = {
        check["name"]: PUBLICATION.match(check["source"])
        for check in all_checks()
        if check["status"] == "published"
    }
    assert not [name for name, match in found.items() if match is None]
    assert not [name for name, match in found.items() if not PLACE.search(match["place"])]


def test_many_numbers_come_from_print_and_every_topic_has_some():
    """A number worked out by ourselves is a check of the arithmetic, not of the formula."""
    printed = printed_numbers()
    assert sum(printed.values()) >= LEAST_PRINTED_NUMBERS
    for topic, modules in TOPICS.items():
        of_topic = sum(n for name, n in printed.items() if name.split(".")[0] in modules)
        assert of_topic >= LEAST_OF_A_TOPIC, topic
