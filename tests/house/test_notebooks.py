"""Notebooks stay thin: prose, one call a cell, a figure, and nothing of the machine they ran on."""

import ast
import json
import re

import pytest
from house.test_words import MACHINE_PATH
from house.tree import kept, text

NOTEBOOKS = kept("notebooks/", ".ipynb")
# What makes a cell a program: a notebook cell that needs one of these wants a library function.
PROGRAM = (
    *(ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef, ast.Lambda),
    *(ast.For, ast.AsyncFor, ast.While, ast.If, ast.Try, ast.With),
    *(ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp),
)


def cell_faults(source: str) -> list[str]:
    """What a code cell does beyond importing, naming and calling."""
    if re.search(r"^\s*[%!]", source, re.MULTILINE):
        return ["has a magic or shell line"]
    tree = ast.parse(source)
    faults = [f"has {type(node).__name__}" for node in ast.walk(tree) if isinstance(node, PROGRAM)]
    steps = [node for node in tree.body if not isinstance(node, ast.Import | ast.ImportFrom)]
    shown = [node for node in steps if isinstance(node, ast.Expr)]
    if len(steps) > 3:
        faults.append(f"has {len(steps)} statements, at most 3")
    if len(shown) > 1:
        faults.append(f"shows {len(shown)} things, at most one")
    return faults


def source_of(cell: dict) -> str:
    return "".join(cell["source"])


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_code_cells_only_call(name):
    cells = json.loads(text(name))["cells"]
    faults = {
        number: cell_faults(source_of(cell))
        for number, cell in enumerate(cells)
        if cell["cell_type"] == "code" and cell_faults(source_of(cell))
    }
    assert not faults, f"{name}: {faults}"


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_a_notebook_imports_from_the_front_door_alone(name):
    cells = json.loads(text(name))["cells"]
    trees = [ast.parse(source_of(cell)) for cell in cells if cell["cell_type"] == "code"]
    imports = [n for t in trees for n in ast.walk(t) if isinstance(n, ast.Import | ast.ImportFrom)]
    assert {ast.unparse(each).split(" import ")[0] for each in imports} == {"from storagecalc"}


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_prose_opens_and_closes_a_notebook(name):
    cells = json.loads(text(name))["cells"]
    for cell in (cells[0], cells[-1]):
        assert cell["cell_type"] == "markdown"
        assert len(source_of(cell).split()) >= 15, "say the question, and what it means, in words"


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_a_notebook_stores_nothing_of_its_machine(name):
    notebook = json.loads(text(name))
    assert notebook["metadata"]["kernelspec"]["name"] == "python3"
    assert "widgets" not in notebook["metadata"], "widget state is megabytes and never read"
    outputs = [cell.get("outputs", []) for cell in notebook["cells"]]
    assert not MACHINE_PATH.search(json.dumps(outputs))


@pytest.mark.parametrize(
    ("source", "fault_count"),
    [
        ("import storagecalc as sc\nscenario = sc.load_scenario('a.toml')\nscenario", 0),
        ("show(evaluation)", 0),
        ("for build in builds:\n    print(build)", 1),
        ("[b.name for b in builds]", 1),
        ("print(a)\nprint(b)", 1),
        ("%matplotlib inline", 1),
    ],
)
def test_the_rule_itself(source, fault_count):
    assert len(cell_faults(source)) == fault_count
