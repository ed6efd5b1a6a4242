"""Examples for ``models/ranges.py``."""

from house.examples import Example

TRIPLE = {"low": 4.0, "middle": 6.0, "high": 9.0}
BOUNDS = {"lower_bound": 0.0, "upper_bound": 30.0}
OTHERS = {"low": 4.5, "middle": 6.5, "high": 9.5, "lower_bound": 1.0, "upper_bound": 40.0}

EXAMPLES = {
    "metalog_quantile": Example(
        base={"y": 0.3, **TRIPLE, **BOUNDS},
        other={"y": 0.4, **OTHERS},
        vectors=["y", "low", "middle", "high"],
        # Bounds may lie anywhere; the points must then lie inside.
        may_be_negative=["lower_bound", "upper_bound"],
    ),
    "middle_limits": Example(
        base={"low": 4.0, "high": 9.0, **BOUNDS},
        other={name: value for name, value in OTHERS.items() if name != "middle"},
        vectors=["low", "high"],
        may_be_negative=["lower_bound", "upper_bound"],
    ),
    "moved_ends": Example(
        base={**TRIPLE, "to_middle": 12.0, **BOUNDS},
        other={**OTHERS, "to_middle": 13.0},
        vectors=["low", "middle", "high", "to_middle"],
        may_be_negative=["lower_bound", "upper_bound"],
    ),
    "percentile_nodes": Example(base={"count": 8}, other={"count": 9}, gives_array=True),
}
