"""Examples for ``models/convolution.py``."""

from house.examples import Example

EXAMPLES = {
    "convolved": Example(
        base={"series_by_month": [1.0, 2.0, 4.0], "kernel_by_age": [1.0, 0.5]},
        other={"series_by_month": [1.0, 3.0, 4.0], "kernel_by_age": [1.0, 0.25]},
        vectors=[],
        gives_array=True,
        may_be_negative=["series_by_month", "kernel_by_age"],
    ),
    "sums_ahead": Example(
        base={"weight_by_age": [1.0, 0.5], "curve_by_age": [1.0, 0.5, 0.25, 0.0], "months": 3},
        other={"weight_by_age": [1.0, 1.0], "curve_by_age": [1.0, 0.75, 0.25, 0.0], "months": 2},
        vectors=[],
        gives_array=True,
        may_be_negative=["curve_by_age"],
    ),
}
