"""The demo and variations of it for the tests of what people see."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from storagecalc import Scenario, evaluate, load_scenario
from storagecalc.study.decision import tuned_rule
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.money import hindsight

DEMO = Path(__file__).parents[2] / "data_examples" / "stage_films.toml"
HOSTILE = "<script>alert('x')</script><b>bold</b>\u202e=1+1\n" + "long " * 2000


@pytest.fixture(scope="session", autouse=True)
def looks_back_from_few_futures() -> Iterator[None]:
    """What is told of a plan says as much in a test."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(hindsight, "MOST_FUTURES", 4)
        patch.setattr(tuned_rule, "FUTURES", 40)
        yield


@pytest.fixture(scope="session")
def demo() -> Scenario:
    """The demo scenario."""
    return load_scenario(DEMO)


@pytest.fixture(scope="session")
def drawn(demo: Scenario) -> Evaluation:
    """The demo with some futures."""
    return evaluate(demo, draws=300)


@pytest.fixture(scope="session")
def hostile(demo: Scenario) -> Evaluation:
    """The demo with names that would like to be something else."""
    changes = {"title": HOSTILE, "currency": "<i>€</i>"}
    names = {f"builds.{key}.name": f"{HOSTILE}{key}" for key in demo.builds}
    names[f"builds.{next(iter(demo.builds))}.name"] = "<img src=x onerror=alert(1)>"
    return evaluate(demo.varied(changes | names), draws=20)
