"""A number with a unit ends in its unit; a function is named for what it returns."""

import csv
import dataclasses
import importlib
import inspect
import io
import re
from collections.abc import Iterator
from typing import Any

import pytest
from house.model_functions import modules, public_functions
from house.tree import ROOT, functions, kept, module_name, text

UNITS = """
    tb gb mb bytes tib mbit_s gbit_s mb_s h ms days months years date per_month per_year per_s
    px hz rpm a v w kwh btu_h m3_h dba db c k mm m m2 kg rack_u cost price fraction probability
    count
"""
# What closes the name of an array, after the unit of its entries.
AXES = re.compile(
    r"_by_(month|age|year|step|build|draw|group|category|class|pool|work|purchase|name)$"
)
# A rate is named for what is counted, then for what: bytes_per_frame, cost_per_tb_year.
RATE = re.compile(r"_per_[a-z]+(_[a-z]+)?$")
# A word may still say which one is meant: net_present_cost_p10, drives_at_first, price_paid.
WHICH = re.compile(
    r"_(p10|p50|p90|low|middle|high|mean|at_[a-z_]+"
    r"|ordered|in_place|owned|lost|paid|then|today|from|to)$"
)
EMPTY_VERBS = ("get_", "calc_", "compute_", "do_", "calculate_", "perform_")
NUMBER = re.compile(r"\b(int|float|float64|Amount|FloatArray|IntArray|NDArray|ArrayLike|Range)\b")


def unitless_names() -> dict[str, str]:
    lines = (ROOT / "tests/house/unitless_names.txt").read_text(encoding="utf-8").splitlines()
    pairs = (re.split(r"\s{2,}", line, maxsplit=1) for line in lines if line and line[0] != "#")
    return dict(pairs)


def says_its_unit(name: str) -> bool:
    """Whether a name ends in a known unit, is a plural, or stands in the list of exceptions."""
    if re.search(r"percent(?!ile)", name):
        return False
    whole = AXES.sub("", name)
    return any(
        bare in unitless_names()
        or any(bare == unit or bare.endswith(f"_{unit}") for unit in UNITS.split())
        or re.search(r"[^s]s$", bare) is not None
        or (RATE.search(bare) is not None and says_its_unit(RATE.sub("", bare)))
        for bare in {name, whole, WHICH.sub("", whole)}
    )


def is_number(annotation: Any) -> bool:
    """Whether an annotation speaks of numbers; a string or an object of ours is none."""
    if annotation is Any:  # a number or an array of any shape; what is none says so
        return True
    said = annotation if isinstance(annotation, str) else str(annotation)
    said = said.replace("storagecalc.study.scenario.quantity.", "")
    return NUMBER.search(said) is not None and "dict[str" not in said


def model_parameters() -> Iterator[tuple[str, str]]:
    for called, function in public_functions().items():
        for name, parameter in inspect.signature(function).parameters.items():
            if is_number(parameter.annotation):
                yield f"models.{called}", name


def study_modules() -> list[Any]:
    return [
        importlib.import_module(module_name(name)) for name in kept("storagecalc/study/", ".py")
    ]


def result_fields() -> Iterator[tuple[str, str]]:
    """Number fields of every dataclass and every table of the scenario."""
    for module in [*modules().values(), *study_modules()]:
        for kind in vars(module).values():
            if not inspect.isclass(kind) or kind.__module__ != module.__name__:
                continue
            if kind.__name__.startswith("_"):
                continue
            where = f"{module.__name__}.{kind.__name__}"
            if dataclasses.is_dataclass(kind):
                yield from ((where, f.name) for f in dataclasses.fields(kind) if is_number(f.type))
            for name, field in getattr(kind, "model_fields", {}).items():
                if is_number(field.annotation) or any(
                    type(item).__name__ == "Quantity" for item in field.metadata
                ):
                    yield where, name


def table_columns() -> Iterator[tuple[str, str]]:
    """Columns of the tables that hold nothing but numbers."""
    for name in kept("storagecalc/tables/", ".csv"):
        rows = list(csv.DictReader(io.StringIO(text(name))))
        for column in rows[0] if rows else []:
            cells = [row[column] for row in rows if row[column]]
            if cells and all(re.fullmatch(r"[-+]?[\d.]+(e[-+]?\d+)?", cell) for cell in cells):
                yield name, column


@pytest.mark.parametrize("source", [model_parameters, result_fields, table_columns])
def test_every_number_says_its_unit(source):
    faults = [f"{where}: {name}" for where, name in source() if not says_its_unit(name)]
    assert not faults, "\n".join(["no unit, no plural, and not in unitless_names.txt:", *faults])


def test_functions_are_named_for_what_they_return():
    faults = [
        f"{name}:{function.lineno} {function.name}"
        for name in kept("storagecalc/", ".py")
        for function in functions(name)
        if not function.name.startswith("__")  # a name that a library looks for
        and function.name.lstrip("_").startswith(EMPTY_VERBS)
    ]
    assert not faults


def test_each_exception_has_a_reason_and_is_needed():
    sources = (model_parameters, result_fields, table_columns)
    used = {name for source in sources for _, name in source()}
    used |= {WHICH.sub("", AXES.sub("", name)) for name in used}
    for name, reason in unitless_names().items():
        assert len(reason.split()) >= 3, f"{name} needs a reason"
        assert name in used, f"{name} is not used any more: take it off the list"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("drive_tb", True),
        ("held_tb_by_month", True),
        ("failures_per_drive_year", True),
        ("cost_per_tb_year", True),
        ("net_present_cost_p10", True),
        ("hot_spares", True),
        ("drives_ordered_by_month", True),
        ("price_paid", True),
        ("mb_s", True),
        ("capacity", False),
        ("speed", False),
        ("loss", False),
        ("price_per_unit_percent", False),
    ],
)
def test_the_rule_itself(name, said):
    assert says_its_unit(name) is said
