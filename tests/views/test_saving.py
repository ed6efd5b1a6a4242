"""Settings saved as a scenario: where, what of it, and that it gives the same answers again."""

import struct
import threading
import tomllib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, is_dataclass
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc import Scenario, evaluate, load_scenario
from storagecalc.study.scenario.load import scenario_from
from storagecalc.study.scenario.quantity import Range, middle
from storagecalc.study.scenario.sliders import moved, sliders
from storagecalc.views.files import FileError, unused_name, write_new
from storagecalc.views.saving import saver, scenario_toml
from storagecalc.views.text.numbers import LONGEST_TITLE, month, plain
from storagecalc.views.text.saved import saved_title

EXAMPLES = Path(__file__).parents[2] / "data_examples"
NAMES = ("stage_films", "one_desk", "twelve_people", "mid_life")
MOVED = {"work.stage.shoot_days_per_month": 5.25, "filling.free_fraction": 0.2}
# Any text but what no TOML file and no file of text can hold: halves of a surrogate pair.
TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40).filter(str.strip)
HOSTILE = st.one_of(
    TEXT,
    st.sampled_from(
        [
            "<script>alert(1)</script>", "=1+1", "a.b", '"', "\\", "'''", '"""\n[builds]', "# no",
            "\u202e\u2028\x00\x7f\x85", "\r\n", "] = 1", "x" * 10_000,
        ]
    ),
)  # fmt: skip


def contents(value: Any) -> Iterator[bytes]:
    """All numbers and texts of a result as bytes, so that equal means equal to the last digit."""
    if isinstance(value, Scenario):
        return
    if is_dataclass(value) and not isinstance(value, type):
        for each in fields(value):
            yield from contents(getattr(value, each.name))
    elif isinstance(value, dict):
        for key, part in value.items():
            yield str(key).encode()
            yield from contents(part)
    elif isinstance(value, (list, tuple)):
        for part in value:
            yield from contents(part)
    elif isinstance(value, (float, np.floating)):
        yield struct.pack("<d", value)
    elif isinstance(value, np.ndarray):
        yield value.tobytes()
    else:
        yield repr(value).encode()


def saved_again(scenario: Scenario, folder: Path) -> Scenario:
    """The scenario written to a file and loaded from it."""
    path = folder / "again.toml"
    path.write_text(scenario_toml(scenario), encoding="utf-8", newline="")
    return load_scenario(path)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    copy = tmp_path / "stage_films.toml"
    copy.write_bytes((EXAMPLES / "stage_films.toml").read_bytes())
    return copy


def test_it_is_saved_beside_the_original_which_stays_as_it_was(file):
    before = file.read_bytes()
    save = saver(load_scenario(file), file)
    said = save(dict(MOVED))
    assert file.read_bytes() == before
    new = file.with_name("stage_films-2.toml")
    assert sorted(path.name for path in file.parent.iterdir()) == ["stage_films-2.toml", file.name]
    assert str(new) in said
    assert "stage_films.toml is as it was" in said
    again = load_scenario(new)
    assert again.filling.free_fraction == 0.2
    assert middle(again.work["stage"].shoot_days_per_month) == 5.25
    assert isinstance(again.work["stage"].shoot_days_per_month, Range)
    titled = {"title": again.title}
    assert again == moved(load_scenario(file), MOVED).varied(titled)


def test_its_head_says_where_it_comes_from_and_what_was_moved(file):
    saver(load_scenario(file), file)(dict(MOVED))
    head = file.with_name("stage_films-2.toml").read_text(encoding="utf-8").split("\n\n")[0]
    assert head.splitlines() == [
        "# Saved from the live page of stage_films.toml. Comments stand only there.",
        "# Moved on the page (the middle, where it is a range):",
        "# work.stage.shoot_days_per_month: 4 became 5.25",
        "# filling.free_fraction: 0.15 became 0.2",
    ]


FREE = {"filling.free_fraction": 0.2}
DAY = date(2027, 3, 9)
THREE = {**MOVED, "horizon_months": 60}


@pytest.mark.parametrize(
    ("title", "values", "told"),
    [
        ("Stage " * 9, MOVED, f"{'Stage ' * 9}(saved 9 March 2027)"),  # no room for the changes
        ("Stage", {"team.editors": 9}, "Stage (changed: people who edit at once 9)"),
        ("Stage", THREE, "Stage (saved 9 March 2027)"),
        ("Stage", {}, "Stage (saved 9 March 2027)"),
        ("Stage (changed: drive size 8)", {"team.editors": 9}, "Stage (saved 9 March 2027)"),
        ("Stage (saved 1 May 2026)", {}, "Stage (saved 9 March 2027)"),
        ("Stage (invented)", {}, "Stage (invented) (saved 9 March 2027)"),
        ("x" * 200, {}, f"{'x' * 78}… (saved 9 March 2027)"),
    ],
)
def test_its_title_tells_it_from_the_one_it_came_from(demo, title, values, told):
    scenario = demo.varied({"title": title})
    assert saved_title(scenario, values, DAY) == told
    assert plain(told, LONGEST_TITLE) == told


def test_a_saved_file_has_its_own_title_and_dates_count_from_the_scenario(file):
    saver(load_scenario(file), file)(dict(FREE))
    again = load_scenario(file.with_name("stage_films-2.toml"))
    assert again.title == f"{load_scenario(file).title} (saved {today()})"
    assert again.start_date == load_scenario(file).start_date


def today() -> str:
    day = date.today()
    return f"{day.day} {month(day)}"


def test_saving_again_takes_the_next_name(file):
    save = saver(load_scenario(file), file)
    for _ in range(3):
        save({})
    names = sorted(path.name for path in file.parent.iterdir())
    assert names == [f"stage_films{end}.toml" for end in ("-2", "-3", "-4", "")]


def test_savers_that_race_lose_nothing(file):
    """Two panels of one scenario, each saving again and again at the same time."""
    scenario, fractions = load_scenario(file), [0.1 + number / 100 for number in range(12)]
    start = threading.Barrier(len(fractions))

    def save(fraction):
        start.wait()
        saver(scenario, file)({"filling.free_fraction": fraction})

    with ThreadPoolExecutor(len(fractions)) as pool:
        list(pool.map(save, fractions))
    saved = sorted(path for path in file.parent.iterdir() if path != file)
    found = [load_scenario(path).filling.free_fraction for path in saved]
    assert sorted(found) == pytest.approx(fractions)
    assert len({path.name for path in saved}) == len(fractions)


def test_a_file_that_could_not_be_written_leaves_no_name_behind(tmp_path):
    with pytest.raises(FileError):
        write_new(tmp_path / "plan.toml", "half a character: \ud800")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("there", "name", "next_name"),
    [
        ([], "plan.toml", "plan-2.toml"),
        (["plan-2.toml", "plan-4.toml"], "plan.toml", "plan-3.toml"),
        ([], "plan-2.toml", "plan-3.toml"),
        ([], "plan-2027.toml", "plan-2027-2.toml"),
        ([], "plan", "plan-2"),
    ],
)
def test_names_count_on(tmp_path, there, name, next_name):
    for other in there:
        (tmp_path / other).touch()
    assert unused_name(tmp_path / name).name == next_name


def test_a_link_that_leads_nowhere_is_a_name_in_use(tmp_path):
    (tmp_path / "plan-2.toml").symlink_to(tmp_path / "gone")
    assert unused_name(tmp_path / "plan.toml").name == "plan-3.toml"


def test_what_cannot_be_written_is_told(file, tmp_path):
    save = saver(load_scenario(file), tmp_path / "gone" / "stage_films.toml")
    with pytest.raises(ValueError, match=r"Not saved: .* folder that does not exist"):
        save({})


def test_values_that_break_a_rule_are_refused_and_nothing_is_written(file):
    save = saver(load_scenario(file), file)
    with pytest.raises(ValueError, match="free_fraction"):
        save({"filling.free_fraction": 0.9})
    assert [path.name for path in file.parent.iterdir()] == [file.name]


@pytest.mark.parametrize("name", NAMES)
def test_an_example_saved_and_loaded_again_gives_the_same_bytes(name, tmp_path):
    scenario = load_scenario(EXAMPLES / f"{name}.toml")
    again = saved_again(scenario, tmp_path)
    assert again == scenario
    assert again.as_written() == scenario.as_written()
    one, other = (list(contents(evaluate(each, draws=60))) for each in (scenario, again))
    assert one == other


@given(
    name=st.sampled_from(NAMES),
    names=st.lists(HOSTILE, min_size=8, max_size=8, unique_by=lambda text: text.strip().casefold()),
    share=st.floats(0, 1),
    which=st.integers(0, 10_000),
)
def test_any_scenario_saved_and_loaded_again_gives_the_same_bytes(
    tmp_path_factory, name, names, share, which
):
    scenario = renamed(load_scenario(EXAMPLES / f"{name}.toml"), names)
    slider = sliders(scenario, ["*"])
    chosen = slider[which % len(slider)]
    value = chosen.lowest + share * (chosen.highest - chosen.lowest)
    try:
        changed = moved(scenario, {chosen.key: value})
    except ValueError:  # what the page refuses is never saved
        return
    again = saved_again(changed, tmp_path_factory.mktemp("saved"))
    assert again.as_written() == changed.as_written()
    one, other = (list(contents(evaluate(each, draws=8))) for each in (changed, again))
    assert one == other


def renamed(scenario: Scenario, names: list[str]) -> Scenario:
    """The scenario with hostile names: title, currency, a build's name, and keys of tables."""
    raw = scenario.as_written()
    title, currency, build, work, keep, drives, elsewhere, copy = names
    raw |= {"title": f"{title}!", "currency": currency.strip()[:12].strip() or "EUR"}
    first = next(iter(raw["builds"]))
    raw["builds"][first]["name"] = f"{build} {first}"
    raw["work"] = {f"{work}{key}": table for key, table in raw["work"].items()}
    raw["keep"] = {f"{keep}{key}": table for key, table in raw["keep"].items()}
    raw["drives"] = {f"{drives}{key}": table for key, table in raw["drives"].items()}
    raw["elsewhere"] = {
        f"{elsewhere}{key}": table for key, table in raw.get("elsewhere", {}).items()
    }
    raw["copies"] = {f"{copy}{key}": table for key, table in raw.get("copies", {}).items()}
    raw["owned"] = {
        f"{copy}{key}": table | {"drives": f"{drives}{table['drives']}"}
        for key, table in raw.get("owned", {}).items()
    }
    for table in raw["work"].values():
        table["keep"] = f"{keep}{table['keep']}"
    for table in raw["builds"].values():
        for key, prefix in (("drives", drives), ("swap_to", drives), ("starts_in", copy),
                            ("drives_from", copy)):  # fmt: skip
            if key in table:
                table[key] = f"{prefix}{table[key]}"
        table["keeps"] = [f"{copy}{key}" for key in table.get("keeps", ())]
    for table in raw.get("shortages", {}).values():
        table["drives"] = [f"{drives}{key}" for key in table.get("drives", ())]
    for rule in raw["keep"].values():
        for step in (rule, *rule.get("steps", ())):
            if step.get("rest_goes_to", "deleted") != "deleted":
                step["rest_goes_to"] = f"{elsewhere}{step['rest_goes_to']}"
    for option in raw.get("options", {}).values():
        if "to" in option:
            option["to"] = f"{elsewhere}{option['to']}"
    return scenario_from(raw, source="renamed")


def test_what_is_written_is_plain_toml(file):
    raw = load_scenario(file).as_written()
    assert tomllib.loads(scenario_toml(load_scenario(file))) == tomllib.loads(
        scenario_toml(scenario_from(raw, source="again"))
    )
    assert "Range(" not in str(raw)
