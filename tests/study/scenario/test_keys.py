"""What a key may hold, read from the tables that check it."""

from storagecalc.models.layouts import REDUNDANCIES
from storagecalc.study.scenario.builds import Build
from storagecalc.study.scenario.keys import choices_of


def test_choices_are_those_the_table_takes():
    assert set(choices_of(Build, "grows_by")) == {"one drive", "groups", "whole pools", "swapping"}
    assert choices_of(Build, "redundancy") == REDUNDANCIES
    assert choices_of(Build, "bays") == ()
