"""Examples for ``models/months.py``."""

from house.examples import Example

SERIES = {"by_month": [1.0, 2.0, 4.0, 8.0]}
OTHER_SERIES = {"by_month": [1.0, 2.0, 4.0, 9.0]}

EXAMPLES = {
    "delayed": Example(
        base={**SERIES, "delay_months": 1},
        other={"by_month": [3.0, 2.0, 4.0, 8.0], "delay_months": 2},
        vectors=["by_month"],
        columns=["delay_months"],
        gives_array=True,
        may_be_negative=["by_month"],
    ),
    "hastened": Example(
        base={**SERIES, "lead_months": 1},
        other={**OTHER_SERIES, "lead_months": 2},
        vectors=["by_month"],
        columns=["lead_months"],
        gives_array=True,
        may_be_negative=["by_month"],
    ),
}
