"""A valid file with its text damaged: a scenario or a ScenarioError, and never Python in words."""

import random
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from study.conftest import DEMO

from storagecalc import ScenarioError, load_scenario

TEXT = DEMO.read_text(encoding="utf-8")
PIECES = (
    *("=", "[", "]", "{", "}", ",", ".", '"', "'", "#", "\n", "\\", "-", "−", "“", "”", " ", "_"),
    *("1.450", "460,50", "2027-02-30", "3/1/2027", "true", "yes", "nan", "inf", "x" * 400),
    *("07:30:00", "2027-01-01T00:00:00Z", "[[", "]]", "[]", "{}", "0x10", "1e400", "15 %", '"""'),
    *("\0", "\r", "\u202e", "é", "[needs]\n", "[[keep.commissions.steps]]\n", "a.b.c = 1\n"),
)
# What only a Python programmer would write.
PYTHON = re.compile(
    r"datetime|\bTrue\b|\bNone\b|\bFalse\b|<class|<function|object at|Traceback|pydantic|numpy|np\."
    r"|\bdict\b|\btuple\b|\bint\b|\bfloat\b|\bstr\b|NoneType|Input should|Value error|'[a-z_]+':"
    r"|\('[a-z_]+',|\[\]'"
)


def damaged(chance: random.Random) -> str:
    text = TEXT
    for _ in range(chance.randint(1, 4)):
        lines = text.split("\n")
        number = chance.randrange(len(lines))
        line = lines[number]
        place = chance.randint(0, len(line))
        done = chance.choice(("insert", "replace value", "cut", "drop", "twice", "swap"))
        if done == "insert":
            lines[number] = line[:place] + chance.choice(PIECES) + line[place:]
        elif done == "replace value":
            lines[number] = line.split("=")[0] + "= " + chance.choice(PIECES)
        elif done == "cut":
            lines[number] = line[:place]
        elif done == "drop":
            del lines[number]
        elif done == "twice":
            lines.insert(chance.randrange(len(lines)), line)
        else:
            other = chance.randrange(len(lines))
            lines[number], lines[other] = lines[other], line
        text = "\n".join(lines)
    return text


def told(path, text):
    """What a file with that text is told, sentence by sentence; nothing where it is right."""
    path.write_bytes(text.encode())
    try:
        load_scenario(path)
    except ScenarioError as error:
        return [str(fault) for fault in error.faults] or ["Traceback: nothing is told"]
    return []


def check(path, seed):
    text = damaged(random.Random(seed))
    for sentence in told(path, text):
        assert not PYTHON.search(sentence), sentence
        assert len(sentence) < 900
        assert sentence.isprintable()


@given(seed=st.integers(0, 2**32))
def test_damaged_text_gives_a_scenario_or_a_scenario_error(tmp_path_factory, seed):
    check(tmp_path_factory.getbasetemp() / "mutated.toml", seed)


@pytest.mark.slow
def test_two_thousand_damaged_texts(tmp_path):
    for seed in range(2000):
        check(tmp_path / "mutated.toml", seed)
