"""What is in the checkout: its files, their text, and what the Python in them imports."""

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "storagecalc"
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def kept_files() -> tuple[str, ...]:
    """Every file that belongs to the project, as a path from its root.

    Asks the version control, which knows what is ignored; where there is none, walks the folders.
    """
    asked = ["git", "-C", str(ROOT), "ls-files", "-z", "-co", "--exclude-standard"]
    try:
        listed = subprocess.run(asked, capture_output=True, text=True, check=True).stdout.split(
            "\0"
        )
    except (OSError, subprocess.CalledProcessError):
        unkept = (".venv", "__pycache__", "reports", ".git", ".egg-info", "_cache", ".hypothesis")
        listed = [
            path.relative_to(ROOT).as_posix()
            for path in ROOT.rglob("*")
            if not any(part.endswith(unkept) for part in path.relative_to(ROOT).parts)
        ]
    return tuple(sorted(name for name in listed if (ROOT / name).is_file()))


def kept(prefix: str, suffix: str) -> list[str]:
    """The project's files below a folder whose names end in the suffix."""
    return [name for name in kept_files() if name.startswith(prefix) and name.endswith(suffix)]


@cache
def text(name: str) -> str:
    """The text of a file; what is no text reads as an empty string."""
    try:
        return (ROOT / name).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


@cache
def parsed(name: str) -> ast.Module:
    """The syntax tree of one Python file."""
    return ast.parse(text(name), filename=name)


def module_name(name: str) -> str:
    """``storagecalc/models/units.py`` as ``storagecalc.models.units``."""
    return name.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def imported(name: str) -> Iterator[tuple[str, int, bool]]:
    """Each imported dotted name in a file, its line, and whether importing the file runs it.

    ``from a import b`` gives ``a.b``: whether b is a module is for the reader to see.
    """
    late = _lines_run_late(parsed(name))
    here = module_name(name).split(".") + ([""] if name.endswith("__init__.py") else [])
    for node in ast.walk(parsed(name)):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name, node.lineno, node.lineno not in late
        elif isinstance(node, ast.ImportFrom):
            above = ".".join(here[: -node.level]) if node.level else ""
            start = ".".join(part for part in (above, node.module or "") if part)
            for alias in node.names:
                yield f"{start}.{alias.name}", node.lineno, node.lineno not in late


def functions(name: str) -> Iterator[Function]:
    """Every function in a file, methods and inner functions too."""
    for node in ast.walk(parsed(name)):
        if isinstance(node, Function):
            yield node


def line_count(function: Function) -> int:
    """Lines of a function from ``def`` to its end, its docstring not counted."""
    count = (function.end_lineno or function.lineno) - function.lineno + 1
    if ast.get_docstring(function) is not None:
        words = function.body[0]
        count -= (words.end_lineno or words.lineno) - words.lineno + 1
    return count


def _lines_run_late(tree: ast.Module) -> set[int]:
    """Lines that importing the file does not run: inside functions, and for type checkers only."""
    late: set[int] = set()
    for node in ast.walk(tree):
        for_types = isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        if isinstance(node, Function) or for_types:
            late |= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    return late
