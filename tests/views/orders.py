"""Orders by hand: what is ordered in which month of each future, and at which price."""

import numpy as np

from storagecalc.study.money.orders import Order

NEVER = np.inf


def order(what, count, months, costs):
    """One month and one price a future; what is never ordered costs nothing."""
    return Order(what=what, count=count, month=np.array(months, dtype=float)[:, None],
                 cost=np.array(costs, dtype=float)[:, None])  # fmt: skip
