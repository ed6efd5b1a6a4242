"""Any file that TOML reads stays as it is, and every key in it has its place."""

import tomllib

import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.study.scenario.places import places_in
from storagecalc.study.scenario.slips import put_right

CHARACTERS = st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n\t")
WORDS = st.one_of(st.text(CHARACTERS, max_size=12), st.text("=\"'#“”’−,.[]{}1 a\n\\", max_size=12))
NUMBERS = st.one_of(st.integers(-(10**9), 10**9), st.floats())
PLAIN = st.one_of(WORDS, NUMBERS, st.booleans(), st.dates(), st.datetimes(), st.times())
VALUES = st.recursive(
    PLAIN,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(WORDS, inner, max_size=4)),
    max_leaves=12,
)
FILES = st.dictionaries(WORDS, VALUES, max_size=6).map(tomli_w.dumps)


def keys(found, way=()):
    named = found.items() if isinstance(found, dict) else enumerate(found)
    for name, value in named:
        yield ".".join(map(str, (*way, name)))
        if isinstance(value, (dict, list)):
            yield from keys(value, (*way, name))


@given(text=FILES)
def test_what_toml_reads_is_left_alone(text):
    assert put_right(text) == (text, [])


@given(text=FILES)
def test_every_key_has_a_place(text):
    assert set(places_in(text).by_key) == set(keys(tomllib.loads(text)))
