"""Examples for ``models/prices.py``."""

import numpy as np
from house.examples import Example

EXAMPLES = {
    "price_by_month": Example(
        base={"price_today": 300.0, "change_per_year": -0.1, "months": 30},
        other={"price_today": 310.0, "change_per_year": 0.1, "months": 31},
        vectors=["price_today", "change_per_year"],
        gives_array=True,
    ),
    "stray_factors": Example(
        base={"shock_per_year": 0.1, "shares_by_year": np.array([0.5, 0.9, 0.2]), "months": 30},
        other={"shock_per_year": 0.2, "shares_by_year": np.array([0.5, 0.9, 0.1]), "months": 31},
        vectors=["shock_per_year", "shares_by_year"],
        gives_array=True,
    ),
    "shortage_factors": Example(
        base={
            "price_factor": 1.5,
            "begins_after_months": 4.0,
            "lasts_months": 6.0,
            "recovery_months": 3.0,
            "months": 24,
        },
        other={
            "price_factor": 1.6,
            "begins_after_months": 5.0,
            "lasts_months": 6.5,
            "recovery_months": 4.0,
            "months": 25,
        },
        vectors=["price_factor", "begins_after_months", "lasts_months", "recovery_months"],
        gives_array=True,
    ),
}
