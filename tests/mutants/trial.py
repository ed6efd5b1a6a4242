"""Trials of mutants, each in a copy of the package: the quickest tests that run its lines."""

import ast
import itertools
import json
import os
import shutil
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from queue import SimpleQueue

from house.tree import ROOT, kept_files
from mutants.mutate import Mutant

COPIED = ("pyproject.toml", "storagecalc/", "tests/", "data_examples/")
ROOMS = ("tests/models", "tests/study", "tests/published")
FILES = ("tests/house/test_arguments.py", "storagecalc/models")
# The quickest tests first; only what they do not notice is shown to some more.
ROUNDS = (0, 20, 100)
PROCESSES = 2
OPTIONS = "--import-mode=importlib --doctest-modules -q -x -p no:nbval -p no:cacheprovider"
# A mutant that takes far longer than the tests did has been noticed.
PATIENCE_S = 60


@dataclass
class Bench:
    """Copies of the package, one a process, and what its tests are known to run."""

    folders: list[Path]
    tests_by_line: dict[tuple[str, int], set[str]] = field(default_factory=lambda: defaultdict(set))
    seconds: dict[str, float] = field(default_factory=dict)
    changes: Iterator[int] = field(default_factory=itertools.count)

    def tests_of(self, mutant: Mutant) -> list[str]:
        """The quickest tests that run the changed lines, or use the constant that is changed.

        One of another topic counts as slower, as it is likelier to look at something else.
        """
        if mutant.constants:
            lines = self._lines_with(mutant.constants)
        else:
            lines = [(mutant.file, line) for line in mutant.lines]
        found = set().union(*(self.tests_by_line[line] for line in lines))
        found = found or self.tests_by_line[mutant.file, mutant.statement]
        *_, room, file = mutant.file.removesuffix(".py").split("/")

        def weighed_s(test: str) -> float:
            away_s = 0.0 if f"test_{file}.py" in test else 0.2 if f"/{room}/" in test else 1.0
            return self.seconds.get(test, 0.0) + away_s

        return sorted(found, key=weighed_s)

    def _lines_with(self, names: Sequence[str]) -> Iterator[tuple[str, int]]:
        package = self.folders[0] / "storagecalc"
        for file in sorted(package.rglob("*.py")):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if getattr(node, "id", getattr(node, "attr", None)) in names:
                    yield file.relative_to(package.parent).as_posix(), node.lineno

    def survivors(self, mutants: Sequence[Mutant], *, until: float) -> tuple[int, list[Mutant]]:
        """How many could be tried in time, and those that no test noticed."""
        free: SimpleQueue[Path] = SimpleQueue()
        for folder in self.folders:
            free.put(folder)

        def survives(mutant: Mutant) -> bool | None:
            if time.monotonic() > until:
                return None
            folder = free.get()
            survived = self._survives(mutant, folder)
            free.put(folder)
            return survived

        with ThreadPoolExecutor(len(self.folders)) as pool:
            told = list(pool.map(survives, mutants))
        left = [mutant for mutant, survived in zip(mutants, told, strict=True) if survived]
        return len(told) - told.count(None), left

    def _survives(self, mutant: Mutant, folder: Path) -> bool:
        tests = self.tests_of(mutant)
        rounds = [tests[first:last] for first, last in itertools.pairwise(ROUNDS)]
        file = folder / mutant.file
        file.write_text(mutant.source(), encoding="utf-8")
        # Python knows compiled code by its file's second and size: no two mutants share one.
        os.utime(file, (next(self.changes),) * 2)
        try:
            return all(self.passes(some, folder) for some in rounds if some)
        finally:
            shutil.copy2(ROOT / mutant.file, file)

    def passes(self, tests: Iterable[str], folder: Path) -> bool:
        """Whether these tests pass in a copy as it stands."""
        tests = list(tests)
        patience_s = PATIENCE_S + 5 * sum(self.seconds.get(test, 0.0) for test in tests)
        try:
            ran = _pytest(tests, folder, timeout=patience_s)
        except subprocess.TimeoutExpired:
            return False
        return ran.returncode == 0


def bench(place: Path) -> Bench:
    """Copies of the checkout in the folder, and the lines that each test runs there."""
    made = Bench(folders=[_copied(place / str(number)) for number in range(PROCESSES)])
    tests = sorted(file for room in ROOMS for file in (ROOT / room).rglob("test_*.py"))
    names = [*(file.relative_to(ROOT).as_posix() for file in tests), *FILES]
    shares = [names[number::PROCESSES] for number in range(PROCESSES)]
    with ThreadPoolExecutor(PROCESSES) as pool:
        for told in pool.map(_touched, shares, made.folders):
            made.seconds |= told["seconds"]
            for file, lines in told["lines"].items():
                for line, found in lines.items():
                    made.tests_by_line[file, int(line)].update(found)
    return made


def _copied(folder: Path) -> Path:
    for name in kept_files():
        if name.startswith(COPIED):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    return folder


def _touched(tests: list[str], folder: Path) -> dict[str, dict]:
    told = folder / "touched.json"
    _pytest(
        ["-p", "mutants.touched", "--maxfail=100000", *tests],
        folder,
        timeout=600,
        COVERAGE_CORE="ctrace",
        STORAGECALC_TOUCHED=str(told),
        STORAGECALC_TOUCHED_PACKAGE=str(folder / "storagecalc"),
    )
    return json.loads(told.read_text(encoding="utf-8"))


def _pytest(arguments: list[str], folder: Path, *, timeout: float, **settings: str):
    """One run of pytest in a copy, alone with the modules of the copy."""
    kept = {name: value for name, value in os.environ.items() if "STORAGECALC" not in name}
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
    search = os.pathsep.join((str(folder), str(folder / "tests")))
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-o", f"addopts={OPTIONS}", "-m", "not slow", *arguments],
        cwd=folder,
        env=kept | threads | {"PYTHONPATH": search} | settings,
        timeout=timeout,
        capture_output=True,
        text=True,
        check=False,
    )
