"""Words of the owner's page around the answers: whose prices, what money, what was moved."""

from dataclasses import replace

import pytest
from study.decision.crafted import crafted

from storagecalc.study.scenario.sliders import sliders
from storagecalc.views.text.first_page import small_lines, what_if


def crafted_with(changes, **keys):
    whole = crafted({"a": 100, "b": 300}, **keys)
    return replace(whole, scenario=whole.scenario.varied(changes))


@pytest.mark.parametrize(
    ("prices", "words"),
    [("invented", "Prices invented"), ("a guess", "Prices a guess"), ("quoted", "Prices quoted")],
)
def test_whose_page_whose_prices_and_what_money(prices, words):
    whole = crafted_with({"prices_are": prices, "start_date": "2028-03-01", "title": "Quay"})
    small, basis = small_lines(whole)
    assert small == "Quay · two years from March 2028"
    assert basis == (f"{words}, {whole.scenario.tax} · money: mean of 100 futures, in today's EUR")


def test_without_futures_it_says_that_there_is_only_the_middle():
    _, basis = small_lines(crafted_with({}, draws=0))
    assert "money: middle of every range, in" in basis


def test_only_what_stands_elsewhere_than_the_file_says_is_told():
    whole = crafted({"a": 100, "b": 300})
    keys = ["drives.ten.price", "builds.box.order_at_fraction", "discount_rate_per_year"]
    found = sliders(whole.scenario, keys)
    at_start = {each.key: each.start for each in found}
    assert what_if(whole, found, at_start) == ""
    nearly = {key: value * (1 + 1e-12) for key, value in at_start.items()}
    assert what_if(whole, found, nearly) == ""
    price, share, _ = found
    moved = {**at_start, price.key: 125.0, share.key: 0.75}
    told = what_if(whole, found, moved)
    assert told.startswith("What if, not as planned: ")
    first, second = told.removeprefix("What if, not as planned: ").removesuffix(".").split(" and ")
    assert first.endswith("(ten) 125 EUR, not 100 EUR")
    assert second.endswith("(box) 75 %, not 100 %")
