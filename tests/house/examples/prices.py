"""Examples for ``models/prices.py``."""

from house.examples import Example

EXAMPLES = {
    "price_by_month": Example(
        base={"price_today": 300.0, "change_per_year": -0.1, "months": 30},
        other={"price_today": 310.0, "change_per_year": 0.1, "months": 31},
        vectors=["price_today", "change_per_year"],
        gives_array=True,
    ),
}
