"""What is said of things that are owned: what one buys, what one goes on with, what stays."""

import pytest
from study.small import SMALL, owned, with_tables

from storagecalc import evaluate
from storagecalc.study.scenario.load import scenario_from
from storagecalc.views.text.answers import four_answers
from storagecalc.views.text.decision import recommendation
from storagecalc.views.text.lanes import most_label
from storagecalc.views.text.money import order_table

OLD = owned((3, 1), redundancy="single parity", name="The old box")
STILL = {"work.shoots.shoot_days_per_month": 1}


@pytest.fixture
def small():
    return scenario_from(SMALL, source="by hand")


def told(scenario):
    evaluation = evaluate(scenario)
    return recommendation(evaluation), four_answers(evaluation)["pay now"].note


def test_what_stays_is_told_with_the_purchase(small):
    kept = {**STILL, "owned.old": OLD, "builds.box.keeps": ["old"]}
    advice, note = told(with_tables(small, {**kept, "builds.box.keeps_months": 14}))
    assert advice == "Buy “box” now and keep “The old box” beside it."
    assert note == (
        "1 box, 4 drives and the work of bringing it in. “The old box” stays (20 TB to plan with)"
        " until March 2028."
    )
    advice, note = told(with_tables(small, kept))
    assert note.endswith("(20 TB to plan with) to the end.")


def test_what_stays_stands_before_the_orders(small):
    evaluation = evaluate(with_tables(small, {**STILL, "owned.old": OLD,
                                              "builds.box.keeps": ["old"]}))  # fmt: skip
    first, second, *_ = order_table(evaluation, evaluation.builds[0]).rows
    stays = "“The old box” stays (20 TB to plan with) to the end"
    assert first == ("January 2027", stays, "no order", "EUR 0")
    assert second[:2] == ("January 2027", "1 box")


def test_the_picture_says_that_the_most_is_beside_what_stays(small):
    kept = {**STILL, "owned.old": OLD, "builds.box.keeps": ["old"]}
    (beside,) = evaluate(with_tables(small, kept)).builds
    (alone,) = evaluate(small).builds
    assert most_label([beside], [], above=False) == ("box", ": 70 TB beside what stays")
    assert most_label([alone], [], above=False) == ("box", ": 70 TB")


def test_two_that_stay_are_told_by_the_keys_of_the_file(small):
    second = {key: value for key, value in OLD.items() if key != "name"}
    tables = {**STILL, "owned.old": OLD, "owned.older_box": second,
              "builds.box.keeps": ["older_box", "old"]}  # fmt: skip
    advice, note = told(with_tables(small, tables))
    assert advice == "Buy “box” now and keep “older box” and “The old box” beside it."
    assert note.endswith(
        " “older box” stays (20 TB to plan with) to the end. “The old box” stays (20 TB to plan"
        " with) to the end."
    )


def test_a_long_name_takes_no_room_from_the_act(small):
    box = {**OLD, "name": "one two three four five six seven"}
    name = "eight nine ten one two three"
    tables = {**STILL, "builds.box.name": name, "owned.a": box, "owned.b": box, "owned.c": box,
              "builds.box.keeps": ["a", "b", "c"]}  # fmt: skip
    advice, _ = told(with_tables(small, tables))
    assert advice == f"Buy “{name}” now."


def test_a_box_that_is_owned_is_gone_on_with(small):
    """Three of its four drives are there: one is bought; then none."""
    tables = {**STILL, "owned.old": OLD, "builds.box.starts_in": "old",
              "builds.box.drives_from": "old"}  # fmt: skip
    advice, note = told(with_tables(small, tables))
    assert advice.startswith("Go on with “box”: buy 1 drive")
    whole = owned((4, 1), redundancy="single parity")
    advice, note = told(with_tables(small, {**tables, "owned.old": whole}))
    assert (advice, note) == ("Go on with “box”.", "Nothing is bought now.")


def test_what_does_not_stay_is_not_told_to_be_kept(small):
    tables = {**STILL, "owned.old": {**OLD, "box_age_years": 12}, "builds.box.keeps": ["old"]}
    advice, note = told(with_tables(small, tables))
    assert advice == "Buy “box” now."
    assert "stays" not in note
