"""Why builds differ, in words: causes are told as what they are."""

import copy

from study.small import SMALL

from storagecalc import evaluate
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.reasons import difference_sentences

LATER = "the same drives, bought at another time"


def difference(*, drives_of_the_other):
    """Eight drives at once, or four and then four more at prices that have risen since."""
    raw = copy.deepcopy(SMALL)
    raw["prices"]["drive_change_per_year"] = 0.5
    raw["drives"]["dear"] = raw["drives"]["ten"] | {"price": 130}
    full = {"drives_at_first": 8, "drives": drives_of_the_other, "name": "full at once"}
    raw["builds"]["full"] = raw["builds"]["box"] | full
    return difference_sentences(evaluate(scenario_from(raw, source="two builds")))[0]


def test_the_same_drives_at_another_time_are_told_apart_from_other_drives():
    assert LATER in difference(drives_of_the_other="ten")
    assert "for drives" in difference(drives_of_the_other="dear")
