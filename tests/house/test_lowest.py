"""The lowest versions that pyproject.toml allows are those that .ci/run installs and tests."""

import re
import tomllib

from house.tree import text


def lowest_allowed() -> list[str]:
    """Each package that has a lower bound, as ``name==bound``."""
    project = tomllib.loads(text("pyproject.toml"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    return [each.replace(">=", "==") for each in asked if ">=" in each]


def test_what_is_tested_is_what_is_allowed():
    lines = text("tests/lowest.txt").splitlines()
    assert [line for line in lines if not line.startswith("#")] == lowest_allowed()


def test_a_bound_is_a_plain_one():
    """No markers, no second bound: a constraint could not say the same."""
    assert all(re.fullmatch(r"[a-z][a-z-]*==[\d.]+", each) for each in lowest_allowed())
