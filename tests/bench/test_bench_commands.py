"""How long the short commands take from a cold start."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "data_examples" / "stage_films.toml"
COLD_S = 1.0
RUN = "import sys; from storagecalc.views.cli import main; sys.exit(main(sys.argv[1:]))"


@pytest.mark.slow
@pytest.mark.parametrize("command", ["formats", "check", "new", "keys"])
def test_a_cold_start_takes_less_than_a_second(command, tmp_path):
    def seconds(number: int) -> float:
        given = {"check": [str(DEMO)], "new": [str(tmp_path / f"{number}.toml")]}
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-c", RUN, command, *given.get(command, [])],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        return time.perf_counter() - start

    best = min(seconds(number) for number in range(5))
    assert best < COLD_S, f"{command}: {best:.2f} s at best"
