"""Examples for ``models/months.py``."""

from house.examples import Example

SERIES = {"by_month": [1.0, 2.0, 4.0, 8.0]}
OTHER_SERIES = {"by_month": [1.0, 2.0, 4.0, 9.0]}

EXAMPLES = {
    "grown_by_month": Example(
        base={"change_per_year": 0.1, "months": 30},
        other={"change_per_year": -0.1, "months": 31},
        vectors=["change_per_year"],
        gives_array=True,
    ),
    "new_by_month": Example(
        base={"total_by_month": [1.0, 2.0, 4.0]},
        other={"total_by_month": [1.0, 3.0, 4.0]},
        vectors=["total_by_month"],
        gives_array=True,
        may_be_negative=["total_by_month"],
    ),
    "delayed": Example(
        base={**SERIES, "delay_months": 1},
        other={"by_month": [3.0, 2.0, 4.0, 8.0], "delay_months": 2},
        vectors=["by_month"],
        columns=["delay_months"],
        gives_array=True,
        may_be_negative=["by_month"],
    ),
    "advanced": Example(
        base={**SERIES, "lead_months": 1},
        other={**OTHER_SERIES, "lead_months": 2},
        vectors=["by_month"],
        columns=["lead_months"],
        gives_array=True,
        may_be_negative=["by_month"],
    ),
}
