"""The starter scenario: valid as written, every default can be uncommented, nothing is stale."""

import math
import re
import tomllib
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from storagecalc import ScenarioError, evaluate, load_scenario
from storagecalc.study.decision.needs import standings
from storagecalc.study.decision.records import records
from storagecalc.study.scenario.keys import key_tables
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.quantity import Range, entries
from storagecalc.study.scenario.starter import INVENTED
from storagecalc.views.cli import main
from storagecalc.views.text.starter import starter_text
from storagecalc.views.text.toml import toml_key, toml_value

START = date(2027, 3, 1)
TEXT = starter_text(title="Our studio", start_date=START)
DEFAULT = re.compile(r"^#([a-z_][\w.]* = .*)$", re.MULTILINE)
HOSTILE = [
    '"', "'''", '"""', "\\", "a\nb\r\nc", "\x00\x07\x7f\x85", "\u202egnp.tpircs", "<b>&amp;</b>",
    "[work.x]\nkeep = 1", "# no comment", "=1+1", "\ud800 half", "\U0001f3a5\u200d", "x" * 10_000,
    "\ufeff mark",
]  # fmt: skip


def loaded(text):
    return scenario_from(tomllib.loads(text), source="the starter")


def test_what_is_written_loads_and_evaluates(tmp_path: Path):
    path = tmp_path / "studio.toml"
    assert main(["new", str(path)]) == 0
    evaluation = evaluate(load_scenario(path), draws=50)
    for build in evaluation.builds:
        assert math.isfinite(build.money.net_present_cost.p90)
        assert build.capacity.ladder.plannable_tb > float(evaluation.held_tb_by_month.point[0])
    assert list(tmp_path.iterdir()) == [path]


def test_check_finds_nothing_wrong_with_it(tmp_path: Path, capsys):
    path = tmp_path / "studio.toml"
    main(["new", str(path), "--title", "A “first” try"])
    assert main(["check", str(path)]) == 0
    text = capsys.readouterr().out
    for words in ("A “first” try: nothing wrong", "What matters most", "We assumed"):
        assert words in text


def test_starts_this_month_and_says_that_prices_are_invented(tmp_path: Path):
    main(["new", str(tmp_path / "a.toml")])
    scenario = load_scenario(tmp_path / "a.toml")
    assert scenario.start_date == date.today().replace(day=1)
    assert scenario.prices_are == "invented"


def test_every_default_uncommented_gives_the_same_numbers():
    uncommented = DEFAULT.sub(r"\1", TEXT)
    assert len(DEFAULT.findall(TEXT)) > 40
    plain, full = loaded(TEXT), loaded(uncommented)
    assert not any(not entry.written for entry in entries(full))
    assert records(evaluate(full, draws=20)) == records(evaluate(plain, draws=20))


def test_each_default_may_be_uncommented_alone():
    for line in DEFAULT.findall(TEXT):
        assert loaded(TEXT.replace(f"#{line}\n", f"{line}\n")) == loaded(TEXT)


def test_every_assumption_stands_there_as_a_line():
    lines = dict(line.split(" = ", 1) for line in DEFAULT.findall(TEXT))
    for entry in entries(loaded(TEXT)):
        if not entry.written:
            value = tomllib.loads(f"a = {lines[entry.key]}")["a"]
            shown = Range(**value) if isinstance(value, dict) else value
            assert shown == entry.value


def test_every_declared_key_is_spoken_of():
    dotted = re.sub(r"(?<=work|keep|uild)s?\.[a-z_]+\.", ".NAME.", TEXT)
    for table in key_tables():
        for key in table.keys:
            assert re.search(rf"\b{key.field}\b", dotted), key.pattern
            if key.quantity is not None:
                assert key.quantity.label.lower() in TEXT.lower()
                assert key.quantity.find_out.lower() in TEXT.lower()


def test_every_value_has_a_comment_above_it_the_first_time():
    lines = [line for line in TEXT.splitlines() if line]
    explained = set()
    for before, line in pairwise(lines):
        found = re.match(r"#?([a-z_][\w.]*) = ", line)
        if found and (field := found[1].split(".")[-1]) not in explained:
            assert before.startswith("# "), line
            explained.add(field)


def test_about_fifteen_values_and_the_names_that_tie_them_together():
    ties = {"keep", "drives", "next_build"}
    asked = ["title", "currency", "start_date", *INVENTED]
    own = {key.split(".")[-1] for key in asked} - ties
    assert len(own) <= 18 + 5  # three needs, and a copy in two lines


def test_what_protects_is_asked_for_and_not_commented_out():
    scenario = loaded(TEXT)
    needs = scenario.needs
    assert {needs.headroom_months, needs.loss_probability, needs.copies} & {None} == set()
    evaluation = evaluate(scenario, draws=200)
    assert set(evaluation.asked) == {"headroom_months", "loss_probability", "copies"}
    assert any(standing.meets_needs for standing in standings(evaluation))


def test_guesses_that_move_speed_or_space_most_are_ranges():
    guessed = {entry.key: entry.value for entry in entries(loaded(TEXT)) if not entry.written}
    for key in (
        "network.read_chunk_mb",
        "work.films.proxies_and_exports_fraction",
        "team.working_tb_per_editor",
    ):
        assert isinstance(guessed[key], Range)


def test_lines_may_be_copied_under_another_name_and_headings_put_at_the_end():
    more = [line for line in TEXT.splitlines() if line.startswith("work.films.")]
    copied = "\n".join(line.replace("work.films.", "work.weddings.") for line in more)
    heading = (
        '[builds.third]\ndrives = "large"\nbays = 6\ndrives_at_first = 4\n'
        'redundancy = "mirror"\nbox_price = 900\n'
    )
    scenario = loaded(f"{TEXT}\n{copied}\n{heading}".replace('"mirror"', '"single parity"'))
    assert list(scenario.work) == ["films", "weddings"]
    assert "third" in scenario.builds


@pytest.mark.parametrize("title", HOSTILE)
def test_hostile_titles_stay_titles(tmp_path: Path, title, capsys, monkeypatch):
    monkeypatch.setattr("storagecalc.views.cli.DRAWS", 20)
    path = tmp_path / "a.toml"
    if not title.strip():
        return
    assert main(["new", str(path), "--title", title]) == 0
    written = path.read_text(encoding="utf-8")
    assert all(char.isprintable() or char == "\n" for char in written)
    want = title.replace("\ud800", "\N{REPLACEMENT CHARACTER}").strip()
    assert load_scenario(path).title == want
    assert main(["check", str(path)]) == 0
    assert all(char.isprintable() or char == "\n" for char in capsys.readouterr().out)


@example(title="\x1f")
@example(title="0\x1f")
@given(title=st.text(min_size=1, max_size=40))
def test_any_title_comes_back(title):
    if not title.strip():
        with pytest.raises(ScenarioError, match="title"):
            starter_text(title=title, start_date=START)
        return
    assert loaded(starter_text(title=title, start_date=START)).title == title.strip()


def test_an_empty_title_is_refused(tmp_path: Path, capsys):
    assert main(["new", str(tmp_path / "a.toml"), "--title", " "]) == 2
    assert "must not be empty" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_an_existing_file_is_left_alone(tmp_path: Path, capsys):
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    assert main(["new", str(path)]) == 2
    assert "exists and is left as it is" in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == "mine"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "is a folder"),
        (".", "is a folder"),
        ("no/such/folder.toml", "folder that does not exist"),
        ("n" * 300 + ".toml", "cannot be written"),
        ("nul\0.toml", "no file can have"),
    ],
)
def test_what_cannot_be_written_is_explained(tmp_path: Path, name, words, capsys):
    path = str(tmp_path / name) if name else ""
    assert main(["new", path]) == 2
    heard = capsys.readouterr()
    assert words in heard.err
    assert "Traceback" not in heard.err
    assert not list(tmp_path.iterdir())


def test_a_link_that_leads_nowhere_is_not_followed(tmp_path: Path):
    link = tmp_path / "link.toml"
    try:
        link.symlink_to(tmp_path / "nowhere.toml")
    except OSError:
        pytest.skip("no symbolic links on this system")
    assert main(["new", str(link)]) == 2
    assert link.is_symlink()


@given(value=st.recursive(
    st.one_of(st.text(), st.booleans(), st.integers(-(2**62), 2**62), st.dates(),
              st.floats(allow_nan=False, allow_infinity=False)),
    lambda inner: st.one_of(st.lists(inner), st.dictionaries(st.text(), inner)),
    max_leaves=8,
))  # fmt: skip
def test_whatever_is_written_as_toml_reads_as_itself(value):
    text = f"{toml_key('a b')} = {toml_value(value)}"
    assert tomllib.loads(text)["a b"] == value


@pytest.mark.parametrize("value", [None, object()])
def test_what_no_scenario_holds_is_not_written(value):
    with pytest.raises(ValueError, match="value must be"):
        toml_value(value)
