"""Tables: which columns stand to the right, on every face."""

from dataclasses import asdict

from storagecalc.views.page.passage import Passage
from storagecalc.views.text.table import text_table

TABLE = text_table(
    "Both kinds",
    ("what", "cost", "chance", "month", "mixed"),
    [
        ("1 box", "EUR 1,200", "5 in 100,000", "March 2027", "12 TB"),
        ("2 drives", "€ -40", "fewer than 1 in 100,000", "May 2027", "never"),
        ("none", "", "none by this model", "June 2027", "3 TB"),
    ],
    [("", "", "", "", ""), ("", "short", "", "", ""), ("", "", "", "", "")],
)


def test_columns_of_numbers_stand_to_the_right_and_what_names_a_row_never():
    assert TABLE.align == "lrrll"
    assert asdict(TABLE)["align"] == TABLE.align


def test_a_table_without_rows_has_a_side_for_each_head():
    assert text_table("", ("what", "cost"), []).align == "ll"


def test_heads_and_cells_end_together_in_a_terminal():
    title, head, *lines = TABLE.lines().splitlines()
    assert title == "Both kinds"
    end = head.index("cost") + len("cost")
    assert [line[:end].rstrip()[-5:] for line in lines[:2]] == ["1,200", "€ -40"]
    assert lines[0][:end].endswith("EUR 1,200")
    assert head.index("month") == lines[0].index("March")


def test_a_notebook_and_a_report_have_the_same_sides():
    page = Passage(table=TABLE)._repr_html_()
    assert 'class="sc-right">cost</th>' in page
    assert 'class="sc-right sc-short" data-head="cost">€ -40</td>' in page
    assert 'class="sc-left">month</th>' in page
    assert ">12 TB</td>" in page
    assert repr(Passage(table=TABLE)) == TABLE.lines()
