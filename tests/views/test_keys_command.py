"""The key reference is what the declarations say, and says something of every key."""

from pathlib import Path

from storagecalc.study.scenario.keys import key_tables, keys_in, pattern_of
from storagecalc.study.scenario.quantity import entries
from storagecalc.views.cli import main
from storagecalc.views.text.keys import PLAIN_KEYS, key_reference, label_words, number_words

PAGE = Path(__file__).parents[2] / "data_examples" / "SCENARIO_KEYS.md"
KEYS = [key for table in key_tables() for key in table.keys]


def test_the_page_is_current():
    """If this fails: storagecalc keys > data_examples/SCENARIO_KEYS.md."""
    assert PAGE.read_text(encoding="utf-8") == key_reference()


def test_the_command_prints_the_page(capsys):
    assert main(["keys"]) == 0
    assert capsys.readouterr().out == key_reference()


def test_every_key_that_is_no_quantity_has_words_of_its_own():
    unwritten = [
        key.pattern
        for key in KEYS
        if key.quantity is None and not {key.pattern, key.field} & PLAIN_KEYS.keys()
    ]
    assert not unwritten, "give these a label and a hint in views/text/keys.py"


def test_no_words_are_left_over():
    known = {key.pattern for key in KEYS} | {key.field for key in KEYS if key.quantity is None}
    assert PLAIN_KEYS.keys() <= known


def test_every_quantity_of_the_demo_is_in_the_reference(demo):
    patterns = {key.pattern for key in KEYS}
    assert {pattern_of(entry.key, demo) for entry in entries(demo)} <= patterns
    assert len(patterns) == len(KEYS)


def test_a_row_says_label_span_default_status_and_whether_a_range_is_allowed():
    rows = key_reference().splitlines()
    cameras = next(row for row in rows if row.startswith("| `cameras`"))
    assert cameras == (
        "| `cameras` | cameras on a shoot day | cameras | 0 to 60 | 1 | a guess | yes |"
        " the call sheets |"
    )
    bays = next(row for row in rows if row.startswith("| `bays`"))
    assert "| must |" in bays
    assert "| yes |" not in bays


def test_every_row_has_as_many_cells_as_the_head():
    rows = [line for line in key_reference().splitlines() if line.startswith("|")]
    assert {row.count("|") for row in rows} == {9}
    assert all(label_words(key) for key in KEYS)


def test_names_with_dots_are_told_from_keys(demo):
    odd = demo.model_copy(update={"work": {"stage": demo.work["stage"], "a.b": demo.work["stage"]}})
    assert keys_in("work.a.b.cameras", odd) == ("work", "a.b", ("cameras",))
    assert pattern_of("work.a.b.changes.3.cameras", odd) == "work.NAME.changes.0.cameras"
    assert pattern_of("place.desk_m", odd) == "place.desk_m"
    assert pattern_of("horizon_months", odd) == "horizon_months"


def test_numbers_keep_all_their_digits():
    words = [number_words(value) for value in (1e-15, 0, 0.0135, 7200, 1_000_000, -0.05)]
    assert words == ["1e-15", "0", "0.0135", "7,200", "1,000,000", "-0.05"]
