"""Examples for ``models/cashflow.py``."""

from house.examples import Either, Example

COSTS = [1000.0, 40.0, 40.0, 300.0] * 6
OTHER_COSTS = [1000.0, 50.0, 40.0, 300.0] * 6
HELD = [20.0, 21.0, 22.0, 23.0] * 6
OTHER_HELD = [20.0, 21.0, 22.0, 33.0] * 6

EXAMPLES = {
    "net_present_cost": Example(
        base={"cost_by_month": COSTS, "discount_rate_per_year": 0.05},
        other={"cost_by_month": OTHER_COSTS, "discount_rate_per_year": 0.08},
        vectors=["cost_by_month", "discount_rate_per_year"],
        # Money that comes in is a negative cost.
        may_be_negative=["cost_by_month"],
    ),
    "levelised_cost_per_tb_year": Example(
        base={
            "cost_by_month": COSTS,
            "held_tb_by_month": HELD,
            "discount_rate_per_year": 0.05,
        },
        other={
            "cost_by_month": OTHER_COSTS,
            "held_tb_by_month": OTHER_HELD,
            "discount_rate_per_year": 0.08,
        },
        vectors=["cost_by_month", "held_tb_by_month", "discount_rate_per_year"],
        may_be_negative=["cost_by_month"],
    ),
    "equivalent_annual_cost": Example(
        base={"net_present_cost": 9000.0, "discount_rate_per_year": 0.05, "years": 7.0},
        other={
            "net_present_cost": 9500.0,
            "discount_rate_per_year": Either((0.0, 0.08)),
            "years": 8.0,
        },
        vectors=["net_present_cost", "discount_rate_per_year", "years"],
        may_be_negative=["net_present_cost"],
    ),
    "cost_by_year": Example(
        base={"cost_by_month": COSTS},
        other={"cost_by_month": OTHER_COSTS},
        vectors=["cost_by_month"],
        gives_array=True,
        may_be_negative=["cost_by_month"],
    ),
    "with_replacements": Example(
        base={"bought_by_month": [2.0, 0.0, 1.0, 0.0, 0.0], "service_life_months": 2.0},
        other={"bought_by_month": [2.0, 1.0, 0.0, 0.0, 0.0], "service_life_months": 3.0},
        vectors=["bought_by_month"],
        columns=["service_life_months"],
        gives_array=True,
    ),
    "worth_at_end": Example(
        base={
            "price_paid_by_month": [100.0, 90.0, 80.0, 70.0],
            "price_at_end": 85.0,
            "bought_by_month": [2.0, 0.0, 1.0, 0.0],
            "value_kept_per_year_fraction": 0.7,
            "service_life_months": 60.0,
        },
        other={
            "price_paid_by_month": [100.0, 90.0, 75.0, 70.0],
            "price_at_end": 75.0,
            "bought_by_month": [2.0, 0.0, 0.0, 1.0],
            "value_kept_per_year_fraction": 0.6,
            "service_life_months": 3.0,
        },
        vectors=[
            "price_paid_by_month",
            "price_at_end",
            "bought_by_month",
            "value_kept_per_year_fraction",
            "service_life_months",
        ],
    ),
}
