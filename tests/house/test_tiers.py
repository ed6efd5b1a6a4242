"""Imports point down only, and files and functions stay short enough to read in one sitting."""

import ast
import sys

import pytest
from house.tree import functions, imported, kept, line_count, parsed, text

# Each group may import the groups before it, never its own neighbours or what comes after.
MODEL_ORDER = (
    "checks",
    "units",
    "tables",
    "ranges",
    "months chain convolution",
    "formats lumps layouts prices cashflow siting cabling power forecast decision",
    "footage failure throughput ordering",
    "expansion_problem copies early_deletion",
    "expansion_states expansion_price",
    "expansion_search",
    "expansion",
)
MODEL_PACKAGES = {"numpy", "scipy"}
STUDY_PACKAGES = MODEL_PACKAGES | {"pydantic", "pydantic_core", "pandas"}
VIEW_PACKAGES = {
    *("pydantic", "pandas", "plotly", "ipywidgets", "anywidget", "traitlets", "IPython"),
    *("nbformat", "nbclient", "nbconvert", "jupyterlab", "tomli_w"),
}
PACKAGES = {
    "models": MODEL_PACKAGES,
    "study": STUDY_PACKAGES,
    "views": VIEW_PACKAGES,
    "tables": set[str](),
}
# Slow to import, so only where they are used.
LATE_PACKAGES = {"models": {"scipy"}, "study": {"scipy", "pandas"}}
# Tables are read in one place; no other model touches a file, a process or the network.
OUTSIDE_WORLD = {"io", "os", "pathlib", "shutil", "socket", "subprocess", "tempfile", "urllib"}
# Where models meet. The scenario may also ask whether a format exists, a range can be fitted and
# a layout can be built, so that it refuses what no model would take.
MODELS_MEET = tuple(
    f"storagecalc/study/{room}"
    for room in (
        *("footage/", "capacity/", "money/", "loss/", "speed/", "site/"),
        *("outcome.py", "evaluate.py", "sampling.py"),
    )
)
# Constants and types are no models, so all of study may use them.
BASICS = {"checks", "units"}
SCENARIO_MAY_ASK = {"formats", "layouts", "ranges", "tables"}


def tier(name: str) -> str:
    """The tier a file of the package belongs to; the package's own front door counts as a view."""
    room = name.split("/")[1]
    return room if room in ("models", "study", "tables") else "views"


def model_rank(module: str) -> int:
    for rank, group in enumerate(MODEL_ORDER):
        if module in group.split():
            return rank
    raise AssertionError(f"models/{module}.py stands in no group of MODEL_ORDER: give it its place")


def model_in(dotted: str) -> str | None:
    """The model module a dotted name lies in, "" for the models package itself, else None."""
    parts = [*dotted.split("."), ""]
    return parts[2] if parts[:2] == ["storagecalc", "models"] else None


PYTHON = kept("storagecalc/", ".py")
MODELS = [name for name in PYTHON if tier(name) == "models"]


@pytest.mark.parametrize("name", MODELS)
def test_a_model_imports_only_what_lies_below_it(name):
    if name.endswith("__init__.py"):
        faults = [dotted for dotted, _, _ in imported(name)]
    else:
        own_rank = model_rank(name.split("/")[-1].removesuffix(".py"))
        faults = [
            f"line {line}: {dotted}"
            for dotted, line, _ in imported(name)
            if dotted.startswith("storagecalc")
            and (not model_in(dotted) or model_rank(str(model_in(dotted))) >= own_rank)
        ]
    assert not faults, f"{name} imports {faults}"


@pytest.mark.parametrize("name", PYTHON)
def test_each_tier_keeps_to_its_packages(name):
    late = LATE_PACKAGES.get(tier(name), set())
    faults = []
    for dotted, line, runs_on_import in imported(name):
        package = dotted.split(".")[0]
        if package in late and runs_on_import:
            faults.append(f"line {line}: {package} belongs inside the function that needs it")
        known = package == "storagecalc" or package in sys.stdlib_module_names
        if not known and package not in PACKAGES[tier(name)]:
            faults.append(f"line {line}: {package} is no package of {tier(name)}")
    assert not faults, f"{name}: {faults}"


@pytest.mark.parametrize("name", [name for name in PYTHON if tier(name) == "study"])
def test_study_never_looks_up(name):
    looks_down = ("storagecalc.models.", "storagecalc.study.", "storagecalc.tables.")
    faults = [
        f"line {line}: {dotted}"
        for dotted, line, _ in imported(name)
        if dotted.startswith("storagecalc") and not f"{dotted}.".startswith(looks_down)
    ]
    assert not faults, f"{name} looks up: {faults}"


@pytest.mark.parametrize("name", [name for name in PYTHON if tier(name) != "models"])
def test_models_meet_only_in_the_parts(name):
    if name.startswith(MODELS_MEET):
        return
    may_ask = BASICS if tier(name) == "study" else set()
    if name.startswith("storagecalc/study/scenario/"):
        may_ask = may_ask | SCENARIO_MAY_ASK
    faults = [
        f"line {line}: {dotted}"
        for dotted, line, _ in imported(name)
        if model_in(dotted) is not None and model_in(dotted) not in may_ask
    ]
    assert not faults, f"{name}: {faults}; models meet only in parts, evaluate and draws"


@pytest.mark.parametrize("name", [name for name in MODELS if not name.endswith("/tables.py")])
def test_models_read_nothing_but_tables(name):
    faults = [d for d, _, _ in imported(name) if d.split(".")[0] in OUTSIDE_WORLD]
    faults += [
        f"line {node.lineno}: open()"
        for node in ast.walk(parsed(name))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "open"
    ]
    assert not faults, f"{name} touches the outside world: {faults}"


def test_no_file_is_over_400_lines():
    long = {
        name: len(text(name).splitlines())
        for name in [*PYTHON, *kept("tests/", ".py"), *kept("storagecalc/", ".js")]
        if len(text(name).splitlines()) > 400
    }
    assert not long


def test_each_page_script_is_at_most_250_lines():
    scripts = {name: len(text(name).splitlines()) for name in kept("storagecalc/", ".js")}
    assert all(count <= 250 for count in scripts.values()), scripts


def test_no_function_is_over_40_lines():
    long = {
        f"{name}:{function.lineno} {function.name}": line_count(function)
        for name in PYTHON
        for function in functions(name)
        if line_count(function) > 40
    }
    assert not long


def test_evaluate_calls_the_parts_and_does_no_arithmetic():
    counting = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.FloorDiv, ast.Mod, ast.Pow, ast.MatMult)
    faults = [
        f"{name}:{node.lineno}: {ast.unparse(node)}"
        for name in kept("storagecalc/study/evaluate", ".py")
        for node in ast.walk(parsed(name))
        if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, counting)
    ]
    assert not faults
