"""The public functions of the models, found rather than listed."""

import importlib
import inspect
import pkgutil
from collections.abc import Callable
from functools import cache
from types import ModuleType
from typing import Any

import storagecalc.models

# Argument checks serve the models; what they refuse is tested with every model that calls them.
NO_MODELS = {"checks"}
# Helpers that give a value its shape; every model that calls them is tested for that.
SHAPE_HELPERS = {"units.plain", "units.with_month_axis"}


@cache
def modules() -> dict[str, ModuleType]:
    """Each model module by its short name."""
    found = pkgutil.iter_modules(storagecalc.models.__path__)
    names = sorted(module.name for module in found if module.name not in NO_MODELS)
    return {name: importlib.import_module(f"storagecalc.models.{name}") for name in names}


@cache
def public_functions() -> dict[str, Callable[..., Any]]:
    """``units.tib_from_tb`` and its like: every function a model module offers."""
    return {
        f"{name}.{member}": function
        for name, module in modules().items()
        for member, function in vars(module).items()
        if not member.startswith("_")
        and f"{name}.{member}" not in SHAPE_HELPERS
        and _defined_in(function, module)
    }


def _defined_in(function: Any, module: ModuleType) -> bool:
    # functools.cache hides the function inside a wrapper that is no function itself.
    plain = inspect.unwrap(function) if callable(function) else function
    return inspect.isfunction(plain) and plain.__module__ == module.__name__
