"""Examples for ``models/footage.py``."""

from house.examples import Example

DAYS = {
    "shoot_days_per_month": 8.0,
    "cameras": 2.0,
    "hours_per_camera_day": 3.0,
    "mbit_s": 100.0,
}
OTHER_DAYS = {
    "shoot_days_per_month": 9.0,
    "cameras": 3.0,
    "hours_per_camera_day": 4.0,
    "mbit_s": 50.0,
}
RULES = {"after_months": [2, 4], "keep_fractions": [0.5, 0.2], "months": 8}
OTHER_RULES = {"after_months": [3, 4], "keep_fractions": [0.6, 0.2], "months": 9}
KEEP = [1.0, 1.0, 0.5, 0.5, 0.2, 0.2, 0.2, 0.2]
OTHER_KEEP = [1.0, 1.0, 0.6, 0.5, 0.2, 0.2, 0.2, 0.2]
MOVED = [0.0, 0.0, 0.5, 0.5, 0.8, 0.8, 0.8, 0.8]
OTHER_MOVED = [0.0, 0.0, 0.4, 0.5, 0.8, 0.8, 0.8, 0.8]

EXAMPLES = {
    "recorded_tb_per_month": Example(base=DAYS, other=OTHER_DAYS, vectors=list(DAYS)),
    "keep_fraction_by_age": Example(base=RULES, other=OTHER_RULES, gives_array=True),
    "moved_fraction_by_age": Example(
        base={**RULES, "goes_there": [True, False]},
        other={**OTHER_RULES, "goes_there": [True, True]},
        gives_array=True,
        no_number=["goes_there"],
    ),
    "held_tb": Example(
        base={
            "intake_tb_by_month": [2.0, 3.0, 2.0, 3.0],
            "keep_fraction_by_age": KEEP[:4],
            "stored_today_tb_by_month": [5.0, 4.0, 3.0, 2.0],
        },
        other={
            "intake_tb_by_month": [2.0, 3.5, 2.0, 3.0],
            "keep_fraction_by_age": OTHER_KEEP[:4],
            "stored_today_tb_by_month": [5.0, 4.0, 3.0, 2.5],
        },
        vectors=["intake_tb_by_month", "keep_fraction_by_age", "stored_today_tb_by_month"],
        gives_array=True,
    ),
    "stored_today_tb": Example(
        base={
            "stored_tb": 10.0,
            "oldest_months": 3,
            "keep_fraction_by_age": KEEP,
            "months": 4,
        },
        other={
            "stored_tb": 11.0,
            "oldest_months": 4,
            "keep_fraction_by_age": OTHER_KEEP,
            "months": 5,
        },
        vectors=["stored_tb", "oldest_months", "keep_fraction_by_age"],
        gives_array=True,
    ),
    "recorded_before_today_tb_by_age": Example(
        base={"stored_tb": 10.0, "oldest_months": 3, "keep_fraction_by_age": KEEP},
        other={"stored_tb": 11.0, "oldest_months": 2.5, "keep_fraction_by_age": OTHER_KEEP},
        vectors=["stored_tb", "oldest_months", "keep_fraction_by_age"],
        gives_array=True,
    ),
    "moved_from_stored_tb": Example(
        base={
            "stored_tb": 10.0,
            "oldest_months": 3,
            "keep_fraction_by_age": KEEP,
            "moved_fraction_by_age": MOVED,
            "months": 4,
        },
        other={
            "stored_tb": 11.0,
            "oldest_months": 4,
            "keep_fraction_by_age": OTHER_KEEP,
            "moved_fraction_by_age": OTHER_MOVED,
            "months": 5,
        },
        vectors=["stored_tb", "oldest_months", "keep_fraction_by_age", "moved_fraction_by_age"],
        gives_array=True,
    ),
}
