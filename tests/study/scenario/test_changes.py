"""Former keys become one fault with the line to write; changed ones are named once."""

import pytest
from study.small import SMALL

from storagecalc import ScenarioError
from storagecalc.study.scenario import changes
from storagecalc.study.scenario.changes import CHANGED, ChangedKey, FormerKey, changed_keys
from storagecalc.study.scenario.keys import key_tables
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.keys import amount_words


def former(monkeypatch, *keys):
    made = tuple(FormerKey(old=old, new=new, line=line) for old, new, line in keys)
    monkeypatch.setattr(changes, "FORMER", made)


def faults(raw):
    with pytest.raises(ScenarioError) as caught:
        scenario_from(raw, source="an older file")
    return [str(fault) for fault in caught.value.faults]


def test_a_former_key_is_one_fault_with_the_line_to_write(monkeypatch):
    former(monkeypatch, ("place.cellar", "place.desk_m", "desk_m = 12"))
    raw = {**SMALL, "place": {"cellar": True}}
    assert faults(raw) == ["place.cellar = true: is now place.desk_m: write desk_m = 12"]


def test_names_of_the_file_stay_in_both_keys(monkeypatch):
    former(
        monkeypatch, ("builds.NAME.slots", "builds.NAME.bays", "bays = as many as slots has now")
    )
    box = {key: value for key, value in SMALL["builds"]["box"].items() if key != "bays"}
    raw = {**SMALL, "builds": {"a.b": {**box, "slots": 8}, "c": {**box, "slots": 4}}}
    told = faults(raw)
    assert len(told) == 2  # and none that says bays are missing
    assert told[0].startswith("builds.a.b.slots = 8: is now builds.a.b.bays: write bays")
    assert told[1].startswith("builds.c.slots = 4: is now builds.c.bays")


def test_entries_of_lists_and_whole_tables_may_be_former_too(monkeypatch):
    former(
        monkeypatch,
        ("work.NAME.changes.0.lens", "work.NAME.changes.0.cameras", "cameras = 2"),
        ("studio", "place", "[place]"),
    )
    changed = [{"from_date": "2027-05-01", "cameras": 1}, {"from_date": "2027-06-01", "lens": 3}]
    work = {**SMALL["work"]["shoots"], "changes": changed}
    raw = {**SMALL, "work": {"shoots": work}, "studio": {"desk_m": 2}}
    told = faults(raw)
    assert "work.shoots.changes.1.lens = 3: is now work.shoots.changes.1.cameras" in told[0]
    assert told[1] == "studio: is now place: write [place]"


def test_other_faults_are_told_beside_it(monkeypatch):
    former(monkeypatch, ("place.cellar", "place.desk_m", "desk_m = 12"))
    told = faults({**SMALL, "place": {"cellar": True, "breaker_a": -1}, "currency": 7})
    assert len(told) == 3


@pytest.mark.parametrize("junk", [None, 7, "x", [], [7], {"a": 7}, {"a": []}, {7: {"slots": 3}}])
def test_junk_on_the_way_to_a_former_key_is_left_to_the_other_rules(monkeypatch, junk):
    former(monkeypatch, ("builds.NAME.slots.0.deep", "builds.NAME.bays", "bays = 8"))
    assert not any("is now" in fault for fault in faults({**SMALL, "builds": junk}))


def test_a_hostile_name_is_shortened_and_harmless(monkeypatch):
    former(monkeypatch, ("builds.NAME.slots", "builds.NAME.bays", "bays = 8"))
    name = "{x}\u202e" + "a" * 9000
    (told, *_) = faults({**SMALL, "builds": {name: {**SMALL["builds"]["box"], "slots": "9" * 900}}})
    assert "\u202e" not in told.split(": ")[0]
    assert len(told) < 1000


def test_what_builds_said_of_owned_things_is_one_fault_each_with_its_line():
    owned = {"old_drives": "ten", "old_drive_count": 3, "old_drive_age_years": 4.5,
             "box_age_years": {"low": 1, "middle": 2, "high": 3}}  # fmt: skip
    told = faults({**SMALL, "builds": {"a.b": {**SMALL["builds"]["box"], **owned}}})
    assert told == [
        'builds.a.b.old_drives = "ten": is now builds.a.b.drives_from: write drives_from = "old",'
        ' and a table [owned.old] of the box they are in, with drives = "ten"',
        "builds.a.b.old_drive_count = 3: is now owned.old.lots: write lots = [{ count = 3,"
        " age_years = 4 }] in [owned.old], with their own age",
        "builds.a.b.old_drive_age_years = 4.5: is now owned.old.lots: write lots ="
        " [{ count = 4, age_years = 4.5 }] in [owned.old], with their own count",
        "builds.a.b.box_age_years = { low = 1, middle = 2, high = 3 }: is now"
        ' builds.a.b.starts_in: write starts_in = "old", and a table [owned.old] of the box, with'
        " box_age_years = { low = 1, middle = 2, high = 3 }",
    ]


def test_every_key_in_the_place_of_a_former_one_is_a_key():
    known = {key.pattern for table in key_tables() for key in table.keys}
    known |= {table.way.removesuffix(".0") for table in key_tables()}
    new = {each.new.replace("owned.old", "owned.NAME") for each in changes.FORMER}
    assert new <= known
    assert [each.old for each in changes.FORMER if each.old in known] == []


def test_every_changed_key_is_a_key_and_says_what_was_and_what_is():
    known = {key.pattern for table in key_tables() for key in table.keys}
    assert [each.key for each in CHANGED if each.key not in known] == []
    assert len({each.key for each in CHANGED}) == len(CHANGED)
    for each in CHANGED:
        assert each.said.startswith("was ")
        assert "now" in each.said


def test_defaults_said_to_be_new_are_the_defaults():
    known = {key.pattern: key for table in key_tables() for key in table.keys}
    for each in CHANGED:
        if each.default:
            assert f"{amount_words(known[each.key].default)} unless written" in each.said


def changed(raw):
    return [each.key for each in changed_keys(scenario_from(raw, source="by hand"))]


def test_what_a_file_writes_or_leaves_to_a_new_default_matters():
    # It writes an order point and the care, and leaves three to their defaults.
    assert changed(SMALL) == [
        "builds.NAME.order_at_fraction",
        "prices.box_value_kept_per_year_fraction",
        "running.care_h_per_month",
        "network.read_chunk_mb",
        "team.working_tb_per_editor",
    ]
    needs = {"streams": 2, "depth_mm": 600}
    assert changed({**SMALL, "needs": needs})[0] == "needs.streams"
    assert "needs.confidence_fraction" not in changed({**SMALL, "needs": needs})


def test_a_file_that_writes_a_key_from_after_the_change_is_not_from_before():
    newer = {**SMALL, "prices": {**SMALL["prices"], "drive_sale_fraction": 0}}
    assert changed(newer) == []
    costs = {"rack": {"price": 80, "every_months": 12}}
    assert changed({**SMALL, "costs": costs}) == []


def test_what_came_with_a_change_are_keys():
    known = {key.pattern for table in key_tables() for key in table.keys}
    assert {newer for each in CHANGED for newer in each.came_with} <= known


def test_each_is_named_once_whatever_the_number_of_builds():
    box = SMALL["builds"]["box"]
    silent = {key: value for key, value in box.items() if key != "order_at_fraction"}
    many = {**SMALL, "builds": {"a": box, "b": box, "c.d": silent, "e": silent}}
    assert changed(many).count("builds.NAME.order_at_fraction") == 1
    alone = {**SMALL, "builds": {"a": silent}}
    assert changed(alone).count("builds.NAME.order_at_fraction") == 1


def test_a_default_left_out_matters_only_where_the_default_changed(monkeypatch):
    care = ChangedKey(key="running.care_h_per_month", said="was a; now b")
    default = ChangedKey(key="place.desk_m", said="was a; now b", meaning=False, default=True)
    monkeypatch.setattr(changes, "CHANGED", (care, default))
    assert changed(SMALL) == ["running.care_h_per_month", "place.desk_m"]
    running = {key: v for key, v in SMALL["running"].items() if key != "care_h_per_month"}
    assert changed({**SMALL, "running": running, "place": {"desk_m": 3}}) == []
