"""Where keys stand in a file, and with which characters."""

import tomllib

import pytest
from study.conftest import DEMO
from study.scenario.written import RIGHT

from storagecalc.study.scenario.places import places_in

TEXT = '''\
a = 1.450
[b."c.d"]
e.f = "x = 1"
g = { h = 2, i = { j = 3 } }
[[k]]
l = [
  { m = 4 },  # not here = 5
  { m = 5 },
]
[[k]]
[k.n]
o = """
p = 6
"""
q = 7
'''
LINES = {
    "a": 1, "b": 2, "b.c.d": 2, "b.c.d.e": 3, "b.c.d.e.f": 3, "b.c.d.g": 4, "b.c.d.g.h": 4,
    "b.c.d.g.i": 4, "b.c.d.g.i.j": 4, "k": 5, "k.0": 5, "k.0.l": 6, "k.0.l.0": 7, "k.0.l.0.m": 7,
    "k.0.l.1": 8, "k.0.l.1.m": 8, "k.1": 10, "k.1.n": 11, "k.1.n.o": 12, "k.1.n.q": 15,
}  # fmt: skip


def test_every_key_has_its_line():
    assert {key: place.line for key, place in places_in(TEXT).by_key.items()} == LINES


def test_values_keep_their_characters_and_begin_where_they_stand():
    places = places_in(TEXT).by_key
    assert places["a"].raw == "1.450"
    assert places["b.c.d.e.f"].raw == '"x = 1"'
    for place in places.values():
        if place.raw:
            assert TEXT[place.start :].startswith(place.raw)


def test_what_is_not_there_has_the_line_of_its_table():
    places = places_in(TEXT)
    assert places.line_of("k.1.n.missing") == 11
    assert places.line_of("nowhere.at.all") is None
    places.moved["k.1.r"] = "k.1.n"
    assert places.line_of("k.1.r.q") == 15


@pytest.mark.parametrize("text", [RIGHT, TEXT, DEMO.read_text(encoding="utf-8")])
def test_it_finds_the_keys_that_the_parser_finds(text):
    def keys(found, way=()):
        named = found.items() if isinstance(found, dict) else enumerate(found)
        for name, value in named:
            yield ".".join(map(str, (*way, name)))
            if isinstance(value, (dict, list)):
                yield from keys(value, (*way, name))

    assert set(places_in(text).by_key) == set(keys(tomllib.loads(text)))


@pytest.mark.parametrize(
    "text",
    ["", "[", "[[", "a", "a =", "a = [", "a = {", "a = { b", "= 1", "]", '"', "[a\nb = 1", "\0"],
)
def test_any_text_has_some_places(text):
    assert isinstance(places_in(text).by_key, dict)
