"""The owner's four answers: which figure each tells, on figures that all differ."""

import math
from dataclasses import replace

import pytest
from study.decision.crafted import crafted, lasts
from views.figures import five, with_figures
from views.orders import NEVER, order

from storagecalc import evaluate
from storagecalc.study.capacity.purchase_plan import PlannedOrder, PurchasePlan
from storagecalc.views.text.answers import four_answers

FURTHER = {"remedy.kind": "next box", "remedy.next_build": "box"}


def answer(name, figures, *, evaluation=None):
    return four_answers(with_figures(figures, evaluation=evaluation))[name]


def test_what_is_paid_now_is_the_mean_with_what_it_brings_and_its_ends():
    told = answer("pay now", {"money.upfront_cost": five(11, 22, 33, 44, 55)})
    assert (told.label, told.value) == ("To pay now", "EUR 22")
    assert told.note == (
        "1 box, 4 drives and the work of bringing it in. 33 to 55 in 8 of 10 futures."
    )
    assert told.whole == f"EUR 22. {told.note}"


def test_a_price_that_is_sure_has_no_ends():
    told = answer("pay now", {"money.upfront_cost": five(11, 22, 33, 44, 33)})
    assert told.note == "1 box, 4 drives and the work of bringing it in."


def test_what_the_file_names_keeps_its_name_and_nothing_is_said_to_be_nothing():
    orders = (order("other: new_switch", 1, [0, 0], [400, 400]),)
    told = answer("pay now", {"money.orders": orders, "money.upfront_cost": five(1, 1, 1, 1, 1)})
    assert told.note == "“new switch”."
    told = answer("pay now", {"money.orders": (), "money.upfront_cost": five(0, 0, 0, 0, 0)})
    assert (told.value, told.note) == ("EUR 0", "Nothing is bought now.")


def test_over_the_years_is_the_mean_with_what_lies_outside():
    cost = {"money.net_present_cost": five(101, 202, 110, 204, 310)}
    told = answer("over", cost)
    assert (told.label, told.value) == ("Over two years", "EUR 202")
    assert told.note == "110 to 310 in 8 of 10 futures; in 1 of 10 less, in 1 of 10 more."
    point = answer("over", cost, evaluation=crafted({"a": 100, "b": 300}, draws=0))
    assert point.note == "At the middle of every range."


LATER = (
    order("box", 1, [0] * 5, [1000] * 5),
    order("work", 1, [2] * 5, [60] * 5),
    order("drives", 2, [3, 5, 5, 9, NEVER], [100, 200, 300, 844, 0]),
    order("shelf", 1, [11] * 5, [700] * 5),
)


def test_the_next_order_has_a_last_month_its_thing_and_its_mean_price():
    """Placed in four of five futures at 361 on average; the work before it makes no room."""
    figures = {"money.orders": LATER, "capacity.first_order_months": 7.0}
    told = answer("next order", figures)
    assert (told.label, told.value) == ("Next order", "By August 2027")
    assert told.note == ("Two more drives, EUR 360 then; earlier if it is 100 % full.")


def test_the_order_point_is_that_of_the_build():
    whole = crafted({"a": 100, "b": 300})
    changed = whole.scenario.varied({"builds.box.order_at_fraction": 0.85})
    figures = {"money.orders": LATER, "capacity.first_order_months": 7.0}
    told = answer("next order", figures, evaluation=replace(whole, scenario=changed))
    assert told.note.endswith("earlier if it is 85 % full.")


@pytest.mark.parametrize(
    ("later", "grows", "remedy", "thing"),
    [
        (order("shelf", 1, [4, 4], [700, 700]), True, {}, "The shelf"),
        (order("drives", 1, [4, 4], [50, 50]), True, {}, "One more drive"),
        (order("further box", 1, [4, 4], [900, 900]), True, FURTHER, "A further box"),
        (None, True, {}, "The next drives"),
        (None, False, FURTHER, "A further box"),
        (None, False, {}, "More space"),
    ],
)
def test_what_the_next_order_is_for(later, grows, remedy, thing):
    whole = crafted({"a": 100, "b": 300})
    whole = replace(whole, scenario=whole.scenario.varied(remedy))
    figures = {"money.orders": (later,) if later else (), "capacity.grows": grows,
               "capacity.first_order_months": 3.0}  # fmt: skip
    told = answer("next order", figures, evaluation=whole)
    assert told.note.startswith(f"{thing}{',' if later else ';'} ")


def test_what_is_swapped_asks_for_larger_drives():
    whole = crafted({"a": 100, "b": 300})
    drives = {**whole.scenario.as_written()["drives"], "twenty": {"size_tb": 20, "price": 200}}
    swap = {"drives": drives, "builds.box.grows_by": "swapping", "builds.box.swap_to": "twenty"}
    swapping = replace(whole, scenario=whole.scenario.varied(swap))
    figures = {"money.orders": (), "capacity.first_order_months": 3.0}
    assert answer("next order", figures, evaluation=swapping).note.startswith("The larger drives;")


@pytest.mark.parametrize(("months", "now"), [(-2.0, True), (0.0, True), (1.0, False)])
def test_what_is_due_at_once_goes_out_with_the_first(months, now):
    figures = {"money.orders": LATER, "capacity.first_order_months": months}
    told = answer("next order", figures)
    assert (told.value == "Now, with the first") is now
    if now:
        assert told.note == "Two more drives on top: it may be full before a later order comes."
    else:
        assert told.value == "By February 2027"


def test_where_no_order_falls_due_it_says_in_how_many_futures_it_fills():
    never = {"capacity.first_order_months": math.inf, "capacity.fills_fraction": 0.15}
    told = answer("next order", never)
    assert told.value == "Not before January 2029"
    assert told.note == "As bought it is full before then in 15 of 100 futures."
    point = answer("next order", never, evaluation=crafted({"a": 1, "b": 2}, draws=0))
    assert (point.value, point.note) == ("Not before January 2029", "")


LOSS = {"loss.box_loss_probability": 1 / 500, "loss.lost_at_once_tb": 66,
        "loss.expected_tb_lost": 0.5}  # fmt: skip
DRIVES = "Drive failures alone destroy everything in a pool: 20 in 10,000 within two years."


@pytest.mark.parametrize(
    ("copies", "value", "note"),
    [
        ({}, "No second copy", "Fire, theft or deletion can take everything, up to 66 TB."),
        (
            {"the_shelf": False},
            "No copy elsewhere",
            "Fire, water or theft can take box and “the shelf” together.",
        ),
        (
            {"far": True},
            "Fire, theft, deletion",
            "Against that stands “far” elsewhere, as long as it is whole.",
        ),
        (
            {"far": True, "near": False, "farther": True},
            "Fire, theft, deletion",
            "Against that stand “far” and “farther” elsewhere, as long as they are whole.",
        ),
    ],
)
def test_no_chance_of_loss_stands_without_the_copies_that_answer_for_the_rest(copies, value, note):
    written = {key: {"price": 100, "another_building": away} for key, away in copies.items()}
    whole = crafted({"a": 100, "b": 300})
    whole = replace(whole, scenario=whole.scenario.varied({"copies": written}))
    told = answer("main risk", LOSS, evaluation=whole)
    assert (told.label, told.value, told.note) == ("Main risk", value, f"{note} {DRIVES}")


def test_a_chance_below_one_in_100_000_is_told_as_no_more_than_that(demo):
    safe = demo.varied({f"builds.{key}.redundancy": "triple parity" for key in demo.builds})
    told = four_answers(evaluate(safe, draws=20))["main risk"].note
    assert "pool: fewer than 1 in 100,000 within seven years." in told


def test_the_answers_are_those_of_the_recommended():
    """The second is the cheaper one, and only its figures are told."""
    figures = {"money.upfront_cost": five(1, 2, 3, 4, 5), "loss.box_loss_probability": 1 / 500}
    whole = with_figures(figures, evaluation=crafted({"a": 300, "b": 100}), number=1)
    told = four_answers(with_figures({"loss.box_loss_probability": 1 / 50}, evaluation=whole))
    assert list(told) == ["pay now", "over", "next order", "main risk"]
    assert told["pay now"].value == "EUR 2"
    assert told["over"].value == "EUR 100"
    assert "pool: 2 in 1,000 within" in told["main risk"].note


def test_the_answers_are_those_of_the_recommended_and_not_of_the_cheapest():
    """The dearer of two level ones meets the needs in nine more of a hundred futures."""
    needs = {"headroom_months": (24, {"a": lasts(83), "b": lasts(92)})}
    told = four_answers(crafted({"a": 10_000, "b": 10_150}, needs))
    assert told["over"].value == "EUR 10,200"


def test_a_copy_elsewhere_that_may_be_full_is_told_with_the_month(demo):
    """The example begins with some 25 TB, and a copy holds 30."""
    copies = {"far": {"price": 900, "capacity_tb": 30, "another_building": True}}
    studio = demo.varied({"copies": copies})
    told = four_answers(evaluate(studio, draws=40))["main risk"]
    assert told.value == "Fire, theft, deletion"
    assert "“far” elsewhere, but from " in told.note
    assert " on it may not hold everything." in told.note


def test_what_is_planned_next_is_all_that_its_month_brings_with_three_digits():
    line = PlannedOrder(month=7, pool=1, unit="shelf", drives="ten", count=2, swap=False)
    plan = PurchasePlan(orders=(line,), lack_price="bridging", line_tb_by_month=(),
                        line_fraction=1.0, under_fraction=1.0)  # fmt: skip
    whole = replace(crafted({"a": 100, "b": 300}), plans={"a": plan})
    two = replace(order("drives", 2, [7, 7], [234, 236]), drives="ten")
    orders = (order("box", 1, [0, 0], [900, 900]), order("shelf", 1, [7, 7], [700, 700]), two)
    figures = {"money.orders": orders, "capacity.first_order_months": 7.0}
    told = answer("next order", figures, evaluation=whole)
    assert told.value == "By August 2027"
    assert told.note == (
        "1 shelf and 2 drives of 10 TB, EUR 935 then; if more comes than planned for, plan anew."
    )
