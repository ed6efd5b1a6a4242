"""Every public model function has a check from outside: a published number or another route.

Run with ``-s -k table`` to read the table of function and check.
"""

import tomllib

from house.model_functions import public_functions
from house.tree import ROOT, kept, text

# A number that someone remembers is worth keeping, but it proves nothing.
NO_PROOF = "from memory"


def published_checks() -> dict[str, list[str]]:
    """The names and status of the published checks of each function."""
    checks: dict[str, list[str]] = {}
    for name in kept("tests/published/cases/", ".toml"):
        for check in tomllib.loads(text(name)).get("check", []):
            said = f"{check['name']} ({check['status']})"
            checks.setdefault(check["function"], []).append(said)
    return checks


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
    table = outside_checks()
    print()
    for function, checks in table.items():
        print(f"{function:45} {'; '.join(checks) or 'NOTHING'}")
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
