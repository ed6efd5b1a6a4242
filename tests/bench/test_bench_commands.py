"""How long the short commands take from a cold start, as multiples of the start of Python itself
with the two packages that every command needs, in one run."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "data_examples" / "stage_films.toml"
# A check draws as many futures as a comparison, and puts each guess low and high. Where Python with
# numpy and pydantic starts in 0.15 s, that is a second and a half, and a second for the others.
MOST_STARTS = {"check": 20, "formats": 10, "new": 10, "keys": 10}
RUN = "import sys; from storagecalc.views.cli import main; sys.exit(main(sys.argv[1:]))"
BARE = "import numpy, pydantic, pydantic_core, argparse, json, tomllib"


def seconds(code: str, *given: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code, *given], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


@pytest.mark.slow
@pytest.mark.parametrize("command", MOST_STARTS)
def test_a_cold_start_takes_a_few_starts_of_python(command, tmp_path):
    bare, whole = [], []
    for number in range(5):
        given = {"check": [str(DEMO)], "new": [str(tmp_path / f"{number}.toml")]}
        bare.append(seconds(BARE))
        whole.append(seconds(RUN, command, *given.get(command, [])))
    ratio = min(whole) / min(bare)
    print(f"\n{command}: {min(whole):.2f} s at best, {ratio:.1f} bare starts of {min(bare):.2f} s")
    assert ratio < MOST_STARTS[command]
