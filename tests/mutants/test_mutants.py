"""The tests notice wrong code: of small changes to models and study, nine in ten fail a test.

``STORAGECALC_MUTANTS=300`` tries more of them, and ``STORAGECALC_MUTANTS_S=3600`` for longer.
"""

import os
import time
import tomllib
from collections.abc import Iterator

import pytest
from house.tree import ROOT, kept, text
from mutants.mutate import Mutant, mutants
from mutants.trial import bench

COUNT = int(os.environ.get("STORAGECALC_MUTANTS", "60"))
MOST_S = float(os.environ.get("STORAGECALC_MUTANTS_S", "360"))
SEED = 1
NOTICED_FRACTION = 0.9


def every_mutant() -> Iterator[Mutant]:
    for tier in ("models", "study"):
        for name in kept(f"storagecalc/{tier}/", ".py"):
            yield from mutants(ROOT / name, name)


def equivalent() -> set[tuple[str, str, str, str]]:
    """Changes that change nothing that anyone could notice, by hand and with the reason."""
    listed = tomllib.loads(text("tests/mutants/equivalent.toml")).get("mutant", [])
    assert all(each["reason"] for each in listed)
    return {(each["file"], each["function"], each["was"], each["now"]) for each in listed}


def test_what_is_called_equivalent_is_a_mutant():
    assert equivalent() <= {mutant.named for mutant in every_mutant()}


@pytest.mark.slow
def test_nine_in_ten_are_noticed(tmp_path, capsys):
    until = time.monotonic() + MOST_S
    without = equivalent()
    found = sorted(
        (each for each in every_mutant() if each.named not in without),
        key=lambda mutant: mutant.rank(SEED),
    )[:COUNT]
    made = bench(tmp_path)
    mapped_s = time.monotonic() - until + MOST_S
    some = {test for mutant in found[:5] for test in made.tests_of(mutant)[:20]}
    assert made.passes(some, made.folders[0]), "the tests fail without a mutant"
    tried, left = made.survivors(found, until=until)
    survivors = [mutant.words for mutant in left]
    took_s = time.monotonic() - until + MOST_S
    with capsys.disabled():
        print(f"\n{tried} mutants tried, {len(left)} not noticed, in {took_s:.0f} s")
        print(f"of which {mapped_s:.0f} s to learn which test runs which line")
        print("\n".join(survivors))
    assert len(left) <= (1 - NOTICED_FRACTION) * tried, survivors
