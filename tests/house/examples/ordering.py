"""Examples for ``models/ordering.py``."""

from house.examples import Example

HELD = [5.0, 10.0, 15.0, 25.0]
OTHER_HELD = [5.0, 12.0, 15.0, 25.0]
STEPS = [10.0, 20.0, 30.0]

EXAMPLES = {
    "required_tb": Example(
        base={"held_tb_by_month": HELD, "order_at_fraction": 0.8},
        other={"held_tb_by_month": OTHER_HELD, "order_at_fraction": 0.9},
        vectors=["held_tb_by_month"],
        columns=["order_at_fraction"],
        gives_array=True,
    ),
    "rule_based_growth": Example(
        base={
            "required_tb_by_month": HELD,
            "plannable_tb_by_step": STEPS,
            "lead_time_months": 1.0,
        },
        other={
            "required_tb_by_month": OTHER_HELD,
            "plannable_tb_by_step": [10.0, 14.0, 30.0],
            "lead_time_months": 2.0,
        },
        vectors=["required_tb_by_month", "plannable_tb_by_step"],
        columns=["lead_time_months"],
        gives_array=True,
    ),
    "steps_ordered_by_month": Example(
        base={"held_tb_by_month": HELD, "order_above_tb_by_step": STEPS},
        other={"held_tb_by_month": OTHER_HELD, "order_above_tb_by_step": [10.0, 14.0, 30.0]},
        vectors=["held_tb_by_month", "order_above_tb_by_step"],
        gives_array=True,
    ),
    "first_month_over": Example(
        base={"held_tb_by_month": HELD, "limit_tb": 11.0},
        other={"held_tb_by_month": OTHER_HELD, "limit_tb": 99.0},
        vectors=["held_tb_by_month"],
        columns=["limit_tb"],
    ),
}
