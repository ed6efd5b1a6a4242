"""The studio worked out by hand, with a plan: 10 TB more every month, for a year."""

from storagecalc import Scenario

# Rent is dearer than any drive, so that space is bought for every month but the first.
PLANNED = {
    "horizon_months": 12,
    "builds.box.plan": "best",
    "remedy.elsewhere_price_per_tb_month": 500,
}


def planned(small: Scenario, **changes: object) -> Scenario:
    """The small studio where its box follows the best plan."""
    return small.varied({**PLANNED, **changes})
