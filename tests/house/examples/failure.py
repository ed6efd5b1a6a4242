"""Examples for ``models/failure.py``."""

from house.examples import Example

GROUP = {
    "drives_per_group": 8,
    "parity_drives": 2,
    "failures_per_drive_year": 0.015,
    "rebuild_h": 24.0,
}
OTHER_GROUP = {
    "drives_per_group": 9,
    "parity_drives": 1,
    "failures_per_drive_year": 0.02,
    "rebuild_h": 72.0,
}
REPAIR = {"repair": "parallel"}
OTHER_REPAIR = {"repair": "one at a time"}
RATES = ["failures_per_drive_year", "rebuild_h"]
# A group may wait for its first drives, so the counts by month may be zero but not negative.
COUNTS = [0, 6, 6, 8]
OTHER_COUNTS = [6, 6, 6, 8]

EXAMPLES = {
    "loss_probability": Example(
        base={**GROUP, "horizon_years": 5.0, **REPAIR},
        other={**OTHER_GROUP, "horizon_years": 7.0, **OTHER_REPAIR},
        vectors=[*GROUP, "horizon_years"],
        no_number=["repair"],
    ),
    "loss_probability_by_month": Example(
        base={
            "drives_per_group_by_month": COUNTS,
            "parity_drives": 2,
            "failures_per_drive_year": 0.015,
            "rebuild_h": 24.0,
            **REPAIR,
        },
        other={
            "drives_per_group_by_month": OTHER_COUNTS,
            "parity_drives": 1,
            "failures_per_drive_year": 0.02,
            "rebuild_h": 72.0,
            **OTHER_REPAIR,
        },
        vectors=["drives_per_group_by_month", "parity_drives", *RATES],
        gives_array=True,
        no_number=["repair"],
    ),
    "mean_time_to_loss_h": Example(
        base={**GROUP, **REPAIR},
        other={**OTHER_GROUP, **OTHER_REPAIR},
        vectors=list(GROUP),
        no_number=["repair"],
    ),
    "failure_rate_interval": Example(
        base={"failures": 19, "drive_days": 400_000.0, "band_fraction": 0.95},
        other={"failures": 0, "drive_days": 500_000.0, "band_fraction": 0.8},
        vectors=["failures", "drive_days", "band_fraction"],
    ),
    "read_error_probability": Example(
        base={"read_tb": 12.0, "errors_per_bit": 1e-15},
        other={"read_tb": 14.0, "errors_per_bit": 1e-14},
        vectors=["read_tb", "errors_per_bit"],
    ),
    "shortest_rebuild_h": Example(
        base={"drive_tb": 18.0, "drive_mb_s": 200.0},
        other={"drive_tb": 20.0, "drive_mb_s": 180.0},
        vectors=["drive_tb", "drive_mb_s"],
    ),
    "any_loss_probability": Example(
        base={"probabilities": [0.1, 1e-9]},
        other={"probabilities": [0.1, 2e-9]},
        vectors=["probabilities"],
    ),
    "expected_drive_failures_by_month": Example(
        base={"drive_count_by_month": [8, 8, 12], "failures_per_drive_year": 0.015},
        other={"drive_count_by_month": [8, 9, 12], "failures_per_drive_year": 0.02},
        vectors=["drive_count_by_month", "failures_per_drive_year"],
        gives_array=True,
    ),
}
