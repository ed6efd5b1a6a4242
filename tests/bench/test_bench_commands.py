"""How long the short commands take from a cold start."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "data_examples" / "stage_films.toml"
# A check draws as many futures as a comparison, and puts each guess low and high.
COLD_S = {"check": 1.5, "formats": 1.0, "new": 1.0, "keys": 1.0}
RUN = "import sys; from storagecalc.views.cli import main; sys.exit(main(sys.argv[1:]))"


@pytest.mark.slow
@pytest.mark.parametrize("command", COLD_S)
def test_a_cold_start_takes_about_a_second(command, tmp_path):
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
    assert best < COLD_S[command], f"{command}: {best:.2f} s at best"
