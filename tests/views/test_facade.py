"""The package's own front door: all that a notebook imports, and quick to open."""

import json
import subprocess
import sys

import pytest

import storagecalc

SLOW = ("pydantic", "pandas", "scipy", "plotly", "anywidget")
TRIAL = f"""
import json, sys, time
began = time.perf_counter()
import storagecalc
took_s = time.perf_counter() - began
early = [name for name in {SLOW!r} if name in sys.modules]
listed = set(storagecalc.__all__) <= set(dir(storagecalc))
absent = [name for name in storagecalc.__all__ if not callable(getattr(storagecalc, name))]
print(json.dumps([took_s, early, listed, absent]))
"""


def test_it_opens_at_once_and_every_name_is_there_when_asked_for():
    said = subprocess.run([sys.executable, "-c", TRIAL], capture_output=True, check=True, text=True)
    took_s, early, listed, absent = json.loads(said.stdout)
    assert took_s < 0.1
    assert early == []
    assert listed
    assert absent == []


def test_another_name_is_refused_with_those_there_are():
    with pytest.raises(AttributeError, match=r"no 'evaluated'; it has .*evaluate, "):
        storagecalc.evaluated  # noqa: B018
