"""Numbers that could be misread are asked about, with both readings and how to write each."""

import pytest
from study.scenario.written import changed, line_of, taken, told

from storagecalc.study.scenario.keys import key_tables
from storagecalc.study.scenario.readings import spelled, two_readings

BOX = "box_price = 1200"
# A line of the right file, what stands there instead, and what must be said of it.
ASKED = [
    (
        *(BOX, "box_price = 1.450"),
        "builds.small.box_price = 1.450: may be read in two ways: write 1450 for one thousand four"
        " hundred and fifty, 1.45 for one point four five",
    ),
    (BOX, "box_price = 1,450", "write 1450 for one thousand four hundred and fifty, 1.45 for"),
    (
        BOX,
        "box_price = 12,000",
        "write 12000 for twelve thousand, 12.00 for twelve",
    ),
    (BOX, "box_price = 1.450 EUR", "= 1.450 EUR: may be read in two ways: write 1450 for"),
    (BOX, "box_price = 1,5", "= 1,5: is very little for this: write 1.50 if it is one point five"),
    (BOX, "box_price = 12.000", "write 12000 for twelve thousand, 12.00 for twelve"),
    (BOX, "box_price = 150.000", "write 150000 for one hundred and fifty thousand, 150.00 for"),
    (BOX, "box_price = 12", "write 12000 for twelve thousand; write 12.00 if it is twelve"),
    (BOX, "box_price = 1.5", "is very little for this: write 1.50 if it is one point five"),
    (
        BOX,
        "box_price = { low = 1000, middle = 1.450, high = 2000 }",
        "price.middle = 1.4",
    ),
    ("upfront_cost = 9000", "upfront_cost = 12.000", "write 12000 for twelve thousand, 12.00"),
    ("upfront_cost = 9000", "upfront_cost = 9", "write 9000 for nine thousand; write 9.00"),
    ("price = 300", "price = 1.300", "write 1300 for one thousand three hundred, 1.30 for"),
    ("per_shoot_day = 200", "per_shoot_day = 1.200", "one thousand two hundred, 1.2 for one point"),
    ("rate_mbit_s = 100", "rate_mbit_s = 1.200", "write 1200 for one thousand two hundred, 1.2"),
    ("depth_mm = 400", "depth_mm = 1.200", "must be from 50 to 1,300 mm: write 1200 for one"),
    ("mtu_bytes = 9000", "mtu_bytes = 9.000", "must be from 576 to 9,216 bytes: write 9000 for"),
    ("mtu_bytes = 9000", "mtu_bytes = 1.500", "must be from 576 to 9,216 bytes: write 1500 for"),
]


@pytest.mark.parametrize(("right", "wrong", "said"), ASKED)
def test_a_number_of_two_readings_is_one_fault_with_both(tmp_path, right, wrong, said):
    text = changed((right, wrong))
    (only,) = told(tmp_path, text)
    assert said in only
    assert only.startswith(f"line {line_of(text, wrong)}, ")


@pytest.mark.parametrize(
    ("right", "meant"),
    [
        (BOX, "box_price = 1450"),
        (BOX, "box_price = 1.45"),
        (BOX, "box_price = 12.00"),
        (BOX, "box_price = 0"),
        (BOX, "box_price = 1_450"),
        (BOX, "box_price = 460.50"),
        (BOX, "box_price = 1450.000"),
        ("price = 300", "price = 9.50"),
        ("per_kwh = 0.285", "per_kwh = 0.305"),
        ("size_tb = 12", "size_tb = 1.920"),
        ("cameras = 2\n", "cameras = 1.250\n"),
        ("day = 1.5", "day = 1.125"),
        ("month = 0.15", "month = 0.150"),
        ("month = 0.15", "month = 3.500"),
        ("horizon_months = 84", "horizon_months = 84.000"),
    ],
)
def test_what_can_mean_one_thing_only_is_taken(tmp_path, right, meant):
    assert taken(tmp_path, changed((right, meant)))


def test_each_way_of_writing_that_is_offered_is_taken(tmp_path):
    for number in ("1450", "1.45", "12000", "12.00"):
        assert taken(tmp_path, changed((BOX, f"box_price = {number}")))


@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("0", "zero"),
        ("12", "twelve"),
        ("21", "twenty-one"),
        ("100", "one hundred"),
        ("1.05", "one point zero five"),
        ("1450", "one thousand four hundred and fifty"),
        ("1001", "one thousand and one"),
        ("60020", "sixty thousand and twenty"),
        ("999999", "nine hundred and ninety-nine thousand nine hundred and ninety-nine"),
    ],
)
def test_numbers_are_spelled_as_they_are_read_out(number, words):
    assert spelled(number) == words


def test_readings_of_a_comma_and_of_a_point_are_the_same():
    assert two_readings("2,500") == two_readings("2.500")


def test_a_price_or_limit_of_money_has_a_floor_within_its_range():
    """Prices of whole things and limits; a price per hour, TB or kWh is small by nature."""
    money = [
        key
        for table in key_tables()
        for key in table.keys
        if key.quantity is not None and key.quantity.unit == "money"
    ]
    for key in money:
        whole = "price_per_" not in key.field
        assert bool(key.quantity.floor) == whole, key.pattern
        assert key.quantity.floor <= max(key.quantity.highest / 1000, key.quantity.lowest)
