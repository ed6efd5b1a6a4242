"""Examples for ``models/early_deletion.py``."""

from house.examples import Example

EXAMPLES = {
    "deleted_early_tb_by_month": Example(
        base={
            "intake_tb_by_month": [[2.0, 3.0, 2.0, 3.0], [1.0, 0.0, 1.0, 0.5]],
            "keep_fraction_by_age": [
                [1.0, 1.0, 0.5, 0.5, 0.2, 0.2, 0.2],
                [1.0, 1.0, 1.0, 1.0, 0.0, 0.0, 0.0],
            ],
            "stored_tb": [4.0, 1.0],
            "oldest_months": [3.0, 2.0],
            "limit_tb_by_month": [5.0, 5.0, 6.0, 6.0],
        },
        other={
            "intake_tb_by_month": [[2.0, 3.5, 2.0, 3.0], [1.0, 0.0, 1.0, 0.5]],
            "keep_fraction_by_age": [
                [1.0, 1.0, 0.6, 0.5, 0.2, 0.2, 0.2],
                [1.0, 1.0, 1.0, 1.0, 0.0, 0.0, 0.0],
            ],
            "stored_tb": [4.0, 2.0],
            "oldest_months": [2.0, 2.0],
            "limit_tb_by_month": [5.0, 4.0, 6.0, 6.0],
        },
        vectors=["limit_tb_by_month"],
        gives_array=True,
    ),
}
